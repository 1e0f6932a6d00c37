"""A small plan of two positions, made by hand, so that the job's rules are tested without the loader.

Invented sizes; the order of work is the trade's: survey, decide, bore, line, size, wash, verify.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from headwright.job.chain import chained
from headwright.job.decide import Refused, decide
from headwright.job.events import CameOn, CautionAcknowledged, Event, Opened, ReadingTaken, StepTicked
from headwright.job.evolve import fold
from headwright.job.state import State, begin
from headwright.procedure.plan import (
    PLAN_FORMAT,
    Caution,
    Condition,
    ConditionSort,
    Formula,
    Kind,
    Level,
    Limit,
    Operation,
    Place,
    Plan,
    Reading,
    Ref,
    Remedy,
    Repair,
    Result,
    Role,
    Sort,
    Spec,
    SpecEntry,
    Step,
    Tick,
    Unit,
)

if TYPE_CHECKING:
    from headwright.job.events import Entry

INCH = 25.4
LEAD, MACHINIST, TRAINEE = "02", "07", "31"


def reading_ref(operation: str, name: str, part: str = "") -> Ref:
    return Ref("reading", name, operation, part)


def formula(text: str, **refs: Ref) -> Formula:
    return Formula(text, refs=refs)


def _condition(name: str, sort: ConditionSort = ConditionSort.WORK) -> Condition:
    return Condition(name, name, sort, f"Because {name} matters.")


CLEARANCE = formula(
    "least(finished_id) - stem",
    finished_id=reading_ref("size", "finished_id"),
    stem=reading_ref("survey", "stem"),
)
CLEARANCE_MOST = formula(
    "greatest(finished_id) - stem",
    finished_id=reading_ref("size", "finished_id"),
    stem=reading_ref("survey", "stem"),
)


def _bore_reading(name: str, **more: Any) -> Reading:
    return Reading(
        name,
        name.replace("_", " ").capitalize(),
        unit="in",
        dimension="length",
        resolution=0.0001 * INCH,
        stations=("top", "bottom"),
        **more,
    )


OPERATIONS = (
    Operation(
        "receive",
        "Receive",
        "A head that is not known cannot be released.",
        Level.HEAD,
        ("received",),
        readings=(
            Reading(
                "cracked",
                "Cracks seen",
                Sort.YES_NO,
                accept=("no",),
                remedies=(Remedy("wrong", "Stop the head and tag it.", stop=True),),
            ),
        ),
    ),
    Operation(
        "soak",
        "Soak",
        "A warm head reads small.",
        Level.HEAD,
        ("soaked", "mastered"),
        needs=("received",),
        steps=(Step("wait", "Let head and gauge share the room.", tick=Tick.ONCE),),
    ),
    Operation(
        "survey",
        "Survey",
        "The wear decides the repair.",
        Level.POSITION,
        ("surveyed",),
        needs=("soaked",),
        batch="kind",
        readings=(Reading("stem", "Stem", unit="in", dimension="length", resolution=0.0001 * INCH),),
    ),
    Operation(
        "decide",
        "Decide",
        "The first cut cannot be taken back.",
        Level.POSITION,
        ("decided",),
        needs=("surveyed",),
        who=Role.LEAD,
        readings=(Reading("repair", "Repair", Sort.REPAIR, choices=("reuse", "liner", "next-liner")),),
    ),
    Operation(
        "bore",
        "Bore",
        "The liner wants a round hole.",
        Level.POSITION,
        ("bored",),
        needs=("decided", "dry"),
        breaks=("lined", "sized", "washed", "verified"),
        repairs=("liner", "next-liner"),
        batch="kind",
        cautions=("carbide",),
        readings=(
            _bore_reading(
                "bored_id",
                limit=Limit(source="sheet", spec="hole"),
                expect=formula("spec.hole.low", **{"spec.hole.low": Ref("spec", "hole", part="low")}),
                within=0.25,
                remedies=(
                    Remedy("high", "Bore for the next liner.", redo="bore", repair="next-liner"),
                    Remedy("low", "Run the cutter again.", redo="bore"),
                    Remedy("high", "Over every band: stop.", stop=True),
                ),
            ),
        ),
    ),
    Operation(
        "install",
        "Install",
        "Iron holds the liner round.",
        Level.POSITION,
        ("lined", "oiled"),
        needs=("bored",),
        breaks=("dry", "sized", "washed", "verified"),
        repairs=("liner", "next-liner"),
        steps=(Step("drive", "Drive the liner.", tick=Tick.EACH),),
    ),
    Operation(
        "oil",
        "Oil",
        "A dry ball tears bronze.",
        Level.POSITION,
        ("oil-checked", "oiled"),
        needs=("lined",),
        repairs=("liner", "next-liner"),
        steps=(Step("oil", "Oil the liner.", tick=Tick.EACH),),
    ),
    Operation(
        "size",
        "Size",
        "Sizing sets the clearance.",
        Level.POSITION,
        ("sized",),
        needs=("lined", "oiled"),
        breaks=("oiled", "dry", "washed", "verified"),
        repairs=("liner", "next-liner"),
        batch="kind",
        cautions=("carbide",),
        steps=(Step("tray", "Put the balls in the padded tray.", tick=Tick.ONCE),),
        readings=(_bore_reading("finished_id"),),
        results=(
            Result(
                "clearance",
                "Clearance",
                "in",
                "length",
                0.0001 * INCH,
                least=CLEARANCE,
                most=CLEARANCE_MOST,
                limit=Limit(source="sheet", spec="clearance"),
                remedies=(
                    Remedy("low", "Go up in ball.", redo="size", advise="ball"),
                    Remedy("high", "Take the liner out and reline.", redo="install"),
                ),
            ),
        ),
    ),
    Operation(
        "wash",
        "Wash",
        "Abrasive left behind kills a guide.",
        Level.POSITION,
        ("washed", "dry"),
        needs=("sized",),
        breaks=("oiled", "soaked"),
        repairs=("liner", "next-liner"),
        steps=(Step("wash", "Wash and dry.", tick=Tick.EACH),),
    ),
    Operation(
        "verify",
        "Verify",
        "The last cheap chance.",
        Level.POSITION,
        ("verified",),
        needs=("decided", "dry", "soaked"),
        batch="kind",
        readings=(
            Reading(
                "drops",
                "Valve drops freely",
                Sort.YES_NO,
                accept=("yes",),
                remedies=(
                    Remedy("wrong", "Size it again.", redo="size"),
                    Remedy("wrong", "Decide it again.", redo="decide"),
                ),
            ),
        ),
    ),
    Operation(
        "sign",
        "Sign",
        "Somebody answers for it.",
        Level.HEAD,
        ("signed",),
        needs=("verified",),
        who=Role.LEAD,
        steps=(Step("check", "Look the head over.", tick=Tick.ONCE),),
    ),
)


def plan(*, confirmed: bool = True, heads: tuple[str, ...] = ("A",)) -> Plan:
    """Make the plan; with two heads the positions carry the head's letter."""
    places = [Place("job", Level.JOB, "job")]
    for head in heads:
        wide = ("job", f"head:{head}", f"chamber:{head}-1")
        letter = head if len(heads) > 1 else ""
        places += [
            Place(wide[1], Level.HEAD, head, wide[:1]),
            Place(wide[2], Level.CHAMBER, f"{head}-1", wide[:2], cylinder="1"),
            Place(f"{letter}1E", Level.POSITION, f"{letter}1E", wide, Kind.EXHAUST, "1"),
            Place(f"{letter}1I", Level.POSITION, f"{letter}1I", wide, Kind.INTAKE, "1"),
        ]
    return Plan(
        format=PLAN_FORMAT,
        route="liner",
        route_title="Liners",
        family="small",
        family_title="Small one",
        application="plain",
        application_title="Plain",
        places=tuple(places),
        conditions=(
            *(_condition(n) for n in ("received", "mastered", "surveyed", "decided", "bored", "lined", "oil-checked")),
            *(_condition(n) for n in ("sized", "washed", "verified", "signed")),
            *(_condition(n, ConditionSort.STATE) for n in ("soaked", "dry", "oiled")),
        ),
        cautions=(Caution("carbide", "Carbide", "It shatters.", "Face shield.", "The machine's manual."),),
        repairs=(Repair("reuse", "Reuse"), Repair("liner", "Liner"), Repair("next-liner", "Next liner")),
        operations=OPERATIONS,
        specs=(
            Spec(
                "clearance",
                "Clearance",
                "in",
                "length",
                (
                    SpecEntry("intake", low=0.0010 * INCH, high=0.0020 * INCH),
                    SpecEntry("exhaust", low=0.0015 * INCH, high=0.0025 * INCH),
                ),
                "invented sheet",
                confirmed=confirmed,
            ),
            Spec(
                "hole",
                "Bored hole",
                "in",
                "length",
                (
                    SpecEntry(repair="liner", low=0.3415 * INCH, high=0.3430 * INCH),
                    SpecEntry(repair="next-liner", low=0.3465 * INCH, high=0.3480 * INCH),
                ),
                "invented sheet",
                confirmed=True,
            ),
        ),
        units=(Unit("in", "length", 25.4), Unit("mm", "length", 1.0)),
        received=("dry",),
    )


class Shop:
    """Drives a job the way a terminal does: decide, record, fold."""

    def __init__(self, the_plan: Plan | None = None) -> None:
        self.state: State = begin(the_plan or plan())
        self.entries: tuple[Entry, ...] = ()
        self.do(Opened("1", "sha"))
        for operator, name, role in (
            (MACHINIST, "Mara", Role.MACHINIST),
            (LEAD, "Lena", Role.LEAD),
            (TRAINEE, "Tom", Role.TRAINEE),
        ):
            self.do(CameOn(operator, name, role), operator)

    def ask(self, wanted: Event, operator: str = MACHINIST) -> tuple[Event, ...] | Refused:
        return decide(self.state, wanted, operator, "bench")

    def do(self, wanted: Event, operator: str = MACHINIST) -> tuple[Event, ...]:
        answer = self.ask(wanted, operator)
        assert not isinstance(answer, Refused), str(answer)
        new = chained(
            "1", self.entries[-1] if self.entries else None, answer, time="t", operator=operator, terminal="bench"
        )
        self.entries += new
        self.state = fold(self.state, new)
        return answer

    def refused(self, wanted: Event, operator: str = MACHINIST) -> Refused:
        answer = self.ask(wanted, operator)
        assert isinstance(answer, Refused), answer
        return answer

    def inch(self, operation: str, place: str, reading: str, *values: float, operator: str = MACHINIST) -> None:
        """Take a reading in inches: at top and bottom, or at its one point."""
        stations = ("top", "bottom") if len(values) > 1 else ("",)
        for station, value in zip(stations, values, strict=True):
            self.do(taken(operation, place, reading, value, station), operator)

    def word(self, operation: str, place: str, reading: str, word: str, operator: str = MACHINIST) -> None:
        self.do(ReadingTaken(operation, place, reading, word, word=word), operator)

    def tick(self, operation: str, place: str, step: str, operator: str = MACHINIST) -> None:
        self.do(StepTicked(operation, place, step), operator)

    def acknowledge(self, caution: str = "carbide", operator: str = MACHINIST) -> None:
        self.do(CautionAcknowledged(caution), operator)

    def to_survey(self) -> None:
        for head in self.state.index.heads:
            self.word("receive", head.id, "cracked", "no")
            self.tick("soak", head.id, "wait")

    def to_bore(self, *repairs: str) -> None:
        """Go as far as the bore; the repairs are given for the positions in working order (liner by default)."""
        self.to_survey()
        survey = self.state.index.operations["survey"]
        for number, place in enumerate(self.state.index.places_of(survey)):
            self.inch("survey", place, "stem", 0.3118 if place.endswith("I") else 0.3113)
            self.word("decide", place, "repair", repairs[number] if number < len(repairs) else "liner", LEAD)
        self.acknowledge()

    def to_size(self, *places: str) -> None:
        self.to_bore()
        for place in places or ("1I", "1E"):
            self.inch("bore", place, "bored_id", 0.3424, 0.3424)
            self.tick("install", place, "drive")
            self.tick("oil", place, "oil")
        self.tick("size", "head:A", "tray")

    def finish(self, *places: str) -> None:
        """From sized to verified."""
        for place in places:
            self.tick("wash", place, "wash")
        self.tick("soak", "head:A", "wait")
        for place in places:
            self.word("verify", place, "drops", "yes")


def taken(operation: str, place: str, reading: str, inches: float, station: str = "") -> ReadingTaken:
    return ReadingTaken(operation, place, reading, f"{inches:.4f}", "in", inches * INCH, station=station)
