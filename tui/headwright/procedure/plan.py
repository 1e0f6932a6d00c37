"""The plan of one job: route, family and application resolved, and nothing left to look up.

Every number here is a float in canonical units: mm, N, MPa, °C, s, mm³, degrees, and what follows from them
(N/mm, mm²). A plan is plain data: it turns into canonical JSON and back without pydantic or pint, and a job keeps
the whole of it, so that a later edit of the procedures cannot change what a head was held to.
"""

from __future__ import annotations

import hashlib
from enum import StrEnum

import msgspec
from msgspec import UNSET, Struct, UnsetType

PLAN_FORMAT = 1
JOB_PLACE = "job"


class PlanUnreadable(ValueError):
    """The text is not a plan that this version can read."""


class Level(StrEnum):
    """How wide a place is, widest first."""

    JOB = "job"
    HEAD = "head"
    CHAMBER = "chamber"
    POSITION = "position"


class Kind(StrEnum):
    """Which valve a position takes."""

    INTAKE = "intake"
    EXHAUST = "exhaust"


class Sort(StrEnum):
    """What is written down for a reading."""

    NUMBER = "number"
    YES_NO = "yes-no"
    CHOICE = "choice"
    TEXT = "text"
    REPAIR = "repair"
    """A choice that decides which operations the position goes through."""


class ConditionSort(StrEnum):
    """`work` makes an operation done; `state` passes, and only locks."""

    WORK = "work"
    STATE = "state"


class Tick(StrEnum):
    """Whether a step is ticked: not at all, once for the operation in a head, or at each of its places."""

    NO = "no"
    ONCE = "once"
    EACH = "each"


class Role(StrEnum):
    """What a person may clear, least first."""

    TRAINEE = "trainee"
    MACHINIST = "machinist"
    LEAD = "lead"


class Place(Struct, frozen=True, forbid_unknown_fields=True):
    """Somewhere that work is done or a condition holds.

    `id` is `job`, `head:A`, `chamber:A-1` or, for a position, its bare name (`2I`); `within` are the ids of the wider
    places around it, widest first. `kind` and `cylinder` belong to positions (a chamber has a cylinder too).
    """

    id: str
    level: Level
    name: str
    within: tuple[str, ...] = ()
    kind: Kind | None = None
    cylinder: str = ""


class Unit(Struct, frozen=True, forbid_unknown_fields=True):
    """A unit that may be typed: canonical = typed × factor + offset. `dimension` groups units of one sort."""

    name: str
    dimension: str
    factor: float
    offset: float = 0.0


class Condition(Struct, frozen=True, forbid_unknown_fields=True):
    """Something that can be true of a place, with the sentence that tells a trainee why it matters."""

    id: str
    label: str
    sort: ConditionSort
    why: str


class Caution(Struct, frozen=True, forbid_unknown_fields=True):
    """A hazard, its protection and whom to defer to; `qualified` where the work asks for a qualified person."""

    id: str
    title: str
    hazard: str
    protection: str
    defer: str
    qualified: bool = False
    source: str = ""


class Ref(Struct, frozen=True, forbid_unknown_fields=True):
    """What a name in a formula stands for.

    `sort` is `reading` (of `operation`, `part` a station or empty for all), `result` (of the same operation, `part`
    `least`, `most` or empty) or `spec` (`part` `low`, `high` or empty).
    """

    sort: str
    name: str
    operation: str = ""
    part: str = ""


class Formula(Struct, frozen=True, forbid_unknown_fields=True):
    """One-line arithmetic, or a `constant` in canonical units when the text is a plain quantity."""

    text: str
    constant: float | None = None
    refs: dict[str, Ref] = {}


class Limit(Struct, frozen=True, forbid_unknown_fields=True):
    """What a figure is held to, both ends inside; `spec` names the family value that it comes from, if one."""

    low: Formula | None = None
    high: Formula | None = None
    source: str = ""
    spec: str = ""


class Remedy(Struct, frozen=True, forbid_unknown_fields=True):
    """A way out of a hold.

    `when` is the verdict that it answers (`low`, `high`, `wrong`; empty for any). `redo` names the operation to do
    again, `repair` the path that the position changes to, `advise` a sum whose answer is shown beside it; `stop`
    stops the whole head. `remeasure` takes the readings again without redoing work.
    """

    when: str
    say: str
    redo: str = ""
    repair: str = ""
    advise: str = ""
    stop: bool = False
    remeasure: bool = False


class Step(Struct, frozen=True, forbid_unknown_fields=True):
    """Something to do, and why; `name` is its handle in the record, `wait` the seconds that it has to last.

    `last` steps are ticked after the readings. `readings` names those that it leads to; where there are none it is left
    out of the JSON, so that a plan made before there was such a name keeps its bytes and its hash.
    """

    name: str
    do: str
    why: str = ""
    tick: Tick = Tick.NO
    wait: float = 0.0
    last: bool = False
    readings: tuple[str, ...] | UnsetType = UNSET

    def leads_to(self, reading: str) -> bool:
        """Tell whether it leads to a reading of its operation."""
        return self.readings is not UNSET and reading in self.readings


class Reading(Struct, frozen=True, forbid_unknown_fields=True):
    """A value to be taken at each of its points.

    Points are stations × angles; both empty means one point. `unit` is what a bare typed number means; `resolution`
    and `within` are in canonical units. `expect` ± `within` is the window outside which a figure is questioned.
    `role` is what a sum of the program takes it for: `ball`, `pre-size` and `finished` teach sizing,
    `room-temperature`, `part-temperature` and `gauge-temperature` tell when a head has soaked; empty for others.
    `accept` are the words that pass for yes-no and choice readings (empty: every choice passes). Where `agree` is
    given (canonical), a point wants two figures that agree so far, else three; their mean or median counts.
    """

    name: str
    label: str
    sort: Sort = Sort.NUMBER
    unit: str = ""
    dimension: str = ""
    resolution: float = 0.0
    stations: tuple[str, ...] = ()
    angles: tuple[int, ...] = ()
    gauge: str = ""
    how: str = ""
    why: str = ""
    expect: Formula | None = None
    within: float | None = None
    choices: tuple[str, ...] = ()
    accept: tuple[str, ...] = ()
    limit: Limit | None = None
    remedies: tuple[Remedy, ...] = ()
    role: str = ""
    firm: bool = False
    """A limit of safety or law: nobody concedes it."""
    agree: float | None = None
    proof: bool = False
    """Whether its limits have to be proved, with a guard band for the uncertainty of the figure."""


class Result(Struct, frozen=True, forbid_unknown_fields=True):
    """A value worked out: either `value`, or the pair `least` and `most` over every combination of readings."""

    name: str
    label: str
    unit: str
    dimension: str
    resolution: float = 0.0
    value: Formula | None = None
    least: Formula | None = None
    most: Formula | None = None
    why: str = ""
    limit: Limit | None = None
    remedies: tuple[Remedy, ...] = ()
    firm: bool = False
    proof: bool = False


class Operation(Struct, frozen=True, forbid_unknown_fields=True):
    """One operation of the route; `repairs` are those whose positions pass here (empty: all).

    `tool` is the sort of tool that it is done with, where the first piece after a change of it has to be released
    before the others follow; empty where it does not matter.
    """

    id: str
    title: str
    why: str
    per: Level
    makes: tuple[str, ...]
    needs: tuple[str, ...] = ()
    breaks: tuple[str, ...] = ()
    repairs: tuple[str, ...] = ()
    batch: str = ""
    minutes: float = 0.0
    who: Role = Role.TRAINEE
    cautions: tuple[str, ...] = ()
    steps: tuple[Step, ...] = ()
    readings: tuple[Reading, ...] = ()
    results: tuple[Result, ...] = ()
    tool: str = ""


class SpecEntry(Struct, frozen=True, forbid_unknown_fields=True):
    """One value of a spec: for a kind, for a repair, or (both empty) for all. A range has `low` and `high`."""

    kind: str = ""
    repair: str = ""
    value: float | None = None
    low: float | None = None
    high: float | None = None


class Spec(Struct, frozen=True, forbid_unknown_fields=True):
    """A value of the family, where it comes from, and whether somebody confirmed it for this head."""

    name: str
    label: str
    unit: str
    dimension: str
    entries: tuple[SpecEntry, ...]
    source: str
    confirmed: bool = False

    def at(self, kind: str, repair: str) -> SpecEntry | None:
        """Give the entry for a position of this kind on this repair: the closest fitting one, repair before kind."""
        best: SpecEntry | None = None
        rank = -1
        for entry in self.entries:
            if (entry.kind and entry.kind != kind) or (entry.repair and entry.repair != repair):
                continue
            score = 2 * bool(entry.repair) + bool(entry.kind)
            if score > rank:
                best, rank = entry, score
        return best


class Text(Struct, frozen=True, forbid_unknown_fields=True):
    """A definition file as it was when the job was opened."""

    path: str
    sha256: str
    text: str


class Repair(Struct, frozen=True, forbid_unknown_fields=True):
    """A way to put a position right."""

    id: str
    label: str
    why: str = ""


class Mastering(Struct, frozen=True, forbid_unknown_fields=True):
    """When gauges that only compare have to be zeroed on a ring.

    `gauges` are the sorts that it concerns. A zero counts for `seconds` and for so many `readings`, for whoever set it,
    and for sizes that differ from the ring's by no more than `within` (mm). A gauge that comes back to the ring off by
    more than `drift` (mm) puts what was read with it since in doubt.
    """

    gauges: tuple[str, ...]
    seconds: float
    readings: int
    drift: float
    within: float


class Rules(Struct, frozen=True, forbid_unknown_fields=True):
    """What the shop asks of everybody.

    `gauges` are the sorts of gauge that a reading has to be traced to; `pins` tells that what only a lead may decide
    takes a PIN, `own_concession` that a lead may concede what he has read himself.
    """

    gauges: tuple[str, ...] = ()
    mastering: Mastering | None = None
    pins: bool = False
    own_concession: bool = True


class Plan(Struct, frozen=True, forbid_unknown_fields=True):
    """Route × family × application for one job.

    `operations` stand in route order; `places` widest first and, among positions, in the order in which they stand
    along the head. `received` are the conditions that hold from the start. `facts` are what the family says of the
    parts in words: the material of head and liner, the lubricant, the class of stem.
    """

    format: int
    route: str
    route_title: str
    family: str
    family_title: str
    application: str
    application_title: str
    places: tuple[Place, ...]
    conditions: tuple[Condition, ...]
    cautions: tuple[Caution, ...]
    repairs: tuple[Repair, ...]
    operations: tuple[Operation, ...]
    specs: tuple[Spec, ...]
    units: tuple[Unit, ...]
    received: tuple[str, ...] = ()
    facts: dict[str, str] = {}
    texts: tuple[Text, ...] = ()
    rules: Rules = Rules()


_encoder = msgspec.json.Encoder(order="sorted")
_decoder = msgspec.json.Decoder(Plan)


def plan_bytes(plan: Plan) -> bytes:
    """Give the plan's canonical JSON: UTF-8, keys sorted, no blanks."""
    return _encoder.encode(plan)


def plan_sha256(plan: Plan) -> str:
    """Give the SHA-256 of the plan's canonical JSON, in hexadecimal."""
    return hashlib.sha256(plan_bytes(plan)).hexdigest()


def plan_from(data: bytes | str) -> Plan:
    """Read a plan from its JSON.

    Raises:
        PlanUnreadable: the text is not a plan, or of a format that this version does not know.
    """
    try:
        plan = _decoder.decode(data)
    except msgspec.MsgspecError as error:
        raise PlanUnreadable(f"not a plan that this version can read: {error}") from error
    if plan.format != PLAN_FORMAT:
        raise PlanUnreadable(f"the plan has format {plan.format}; this version reads format {PLAN_FORMAT}")
    return plan
