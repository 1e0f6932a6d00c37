"""When a head has soaked, told from two temperatures, and what its warmth does to a size.

Newton's law of cooling and linear expansion, worked out by hand; minutes and limits are common practice, no source.
"""

from __future__ import annotations

from math import exp, log

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from msgspec.structs import replace

from headwright.job.chain import chained
from headwright.job.events import Disposed, Disposition, Event, ReadingTaken
from headwright.job.evolve import fold
from headwright.job.figures import Bench, figures_at
from headwright.job.holds import hold_at
from headwright.job.temperature import (
    Correction,
    Forecast,
    Warmth,
    correction,
    soak_forecast,
    soak_words,
    temperatures,
)
from headwright.job.verdict import Verdict
from headwright.procedure.plan import Formula, Level, Limit, Mastering, Operation, Plan, Reading, Remedy, Result, Rules
from tests.job.small import MACHINIST, OPERATIONS, Shop, plan, reading_ref

AT = ("soak", "head:A")
ROLES = {"room": "room-temperature", "head": "part-temperature", "gauge": "gauge-temperature"}


def degrees(value: float) -> Formula:
    return Formula(f"{value} delta_degC", constant=value)


def thermal_plan(text: str = "head - gauge", low: float | None = -1.0, metal: str = "grey-iron") -> Plan:
    """Give the small plan with a soak that reads three temperatures, and the head within one degree of the gauge."""
    readings = tuple(
        Reading(name, name.capitalize(), unit="degC", dimension="temperature", resolution=0.1, role=role)
        for name, role in ROLES.items()
    )
    value = Formula(text, refs={name: reading_ref("soak", name) for name in ROLES if name in text})
    held = Result(
        "over", "Head over gauge", "degC", "temperature", 0.1, value=value,
        limit=Limit(low=None if low is None else degrees(low), high=degrees(1.0)),
        remedies=(Remedy("", "More time.", remeasure=True, advise="soak"),),
    )  # fmt: skip
    soak = Operation(
        "soak", "Soak", "A warm head.", Level.HEAD, ("soaked",), needs=("received",), readings=readings, results=(held,)
    )
    bore = next(op for op in OPERATIONS if op.id == "bore")
    bored = replace(bore, readings=(replace(bore.readings[0], gauge="bore gauge"),))
    made = plan()
    units = (*made.units, *(replace(made.units[1], name=name, dimension="temperature") for name in ("degC",)))
    others = {"soak": soak, "bore": bored}
    return replace(
        made,
        operations=tuple(others.get(op.id, op) for op in OPERATIONS),
        units=units,
        facts={"head": metal} if metal else {},
        rules=Rules(mastering=Mastering(("bore gauge",), 1800.0, 10, 0.00254, 0.127)),
    )


class Warm(Shop):
    """A shop with a clock that stands where it is put, in minutes after eight."""

    def __init__(self, the_plan: Plan | None = None) -> None:
        self.minute = 0.0
        super().__init__(the_plan or thermal_plan())
        self.word("receive", "head:A", "cracked", "no")

    def do(self, wanted: Event, operator: str = MACHINIST) -> tuple[Event, ...]:
        answer = self.ask(wanted, operator)
        assert isinstance(answer, tuple), str(answer)
        new = chained(
            "1", self.entries[-1] if self.entries else None, answer, time=clock(self.minute), operator=operator,
            terminal="bench",
        )  # fmt: skip
        self.entries += new
        self.state = fold(self.state, new)
        return answer

    def read(self, minute: float, head: float, gauge: float | None = 20.5, room: float | None = 20.5) -> None:
        """Read the temperatures that are given."""
        self.minute = minute
        for name, value in (("room", room), ("gauge", gauge), ("head", head)):
            if value is not None:
                self.do(ReadingTaken("soak", "head:A", name, f"{value:.1f}", "degC", value))

    def again(self) -> None:
        self.do(Disposed("soak", "head:A", "over", Disposition.REMEASURE, "more time"))

    def twice(self, first: float, later: float, minutes: float = 12.0, **beside: float) -> Forecast:
        self.read(0, first, **beside)
        self.again()
        self.read(minutes, later, beside.get("gauge", 20.5), None)
        found = soak_forecast(self.state, AT)
        assert found is not None
        return found


def clock(minute: float) -> str:
    seconds = round(minute * 60)
    return f"2026-03-04T{8 + seconds // 3600:02}:{seconds // 60 % 60:02}:{seconds % 60:02}.000000Z"


def test_two_temperatures_tell_how_long_a_head_still_soaks() -> None:
    """From 27.0 to 25.0 °C in 12 minutes in a room of 20.5 °C: τ = 12 min / ln(6.5 / 4.5); to 21.5 °C τ ln(4.5 / 1)."""
    shop = Warm()
    found = shop.twice(27.0, 25.0)
    minutes = 12 / log(6.5 / 4.5) * log(4.5)
    assert minutes == pytest.approx(49.08, abs=0.01)
    assert found.left == pytest.approx(60 * minutes, abs=0.01)
    assert found.done[:16] == "2026-03-04T09:01"
    assert found.say == "About 50 minutes more: it went from 27.0 °C to 25.0 °C in 12 minutes, the room at 20.5 °C."
    assert soak_words(shop.state, AT, clock(42)).startswith("About 20 minutes more")
    assert soak_words(shop.state, AT, clock(62)) == "It should have soaked by now: take the temperatures again."


def test_the_forecast_stands_while_the_head_waits_to_be_read_again() -> None:
    shop = Warm()
    found = shop.twice(27.0, 25.0)
    shop.again()
    assert soak_forecast(shop.state, AT) == found


def test_the_hold_names_the_wait_as_its_way_out() -> None:
    shop = Warm()
    shop.read(0, 27.0)
    hold = hold_at(shop.state, AT)
    assert hold is not None
    assert [way.disposition for way in hold.ways if way.advise == "soak"] == [Disposition.REMEASURE]
    say = "One temperature is on record: take it again after 10 minutes, and the wait can be told."
    assert soak_forecast(shop.state, AT) == Forecast(say)


def test_a_head_in_its_limit_waits_for_nothing() -> None:
    shop = Warm()
    shop.read(0, 21.5)
    assert soak_forecast(shop.state, AT) is None
    assert soak_forecast(shop.state, ("survey", "1I")) is None


def test_a_cold_head_warms_up_by_the_same_law() -> None:
    """From 12 to 15 °C in 10 minutes in a room of 20 °C, to 19 °C: τ = 10 / ln(8 / 5), τ ln 5 = 34.24 min."""
    found = Warm().twice(12.0, 15.0, 10, gauge=20.0, room=20.0)
    assert found.left / 60 == pytest.approx(34.24, abs=0.01)


def test_a_difference_without_its_sign_is_held_alike() -> None:
    shop = Warm(thermal_plan("abs(head - gauge)", None))
    assert shop.twice(12.0, 15.0, 10, gauge=20.0, room=20.0).left / 60 == pytest.approx(34.24, abs=0.01)


def test_the_gauge_need_not_be_as_warm_as_the_room() -> None:
    """Limit: one degree over a gauge of 20.2 °C in a room of 20.6 °C, so 0.6 K from the room."""
    found = Warm().twice(27.0, 25.0, 12, gauge=20.2, room=20.6)
    assert found.left / 60 == pytest.approx(12 / log(6.4 / 4.4) * log(4.4 / 0.6), abs=0.01)


AGAIN = "take it again after 10 minutes, and the wait can be told."
UNTOLD = "How long cannot be told: it went from"


@pytest.mark.parametrize(
    ("first", "later", "minutes", "say"),
    [
        (
            25.0,
            27.0,
            12,
            (
                f"{UNTOLD} 25.0 °C to 27.0 °C in 12 minutes, no nearer to the room at 20.5 °C. "
                "Look at the probe, and what warms it."
            ),
        ),
        (25.0, 25.0, 12, f"{UNTOLD} 25.0 °C to 25.0 °C in 12 minutes, too little to tell; {AGAIN}"),
        (25.0, 24.9, 12, f"{UNTOLD} 25.0 °C to 24.9 °C in 12 minutes, too little to tell; {AGAIN}"),
        (25.0, 24.0, 4, f"The last two temperatures are less than 5 minutes apart: {AGAIN}"),
    ],
)
def test_nonsense_is_refused_with_a_sentence(first: float, later: float, minutes: float, say: str) -> None:
    found = Warm().twice(first, later, minutes)
    assert (found.say, found.done, found.left) == (say, "", 0.0)


def test_a_gauge_from_a_colder_room_keeps_it_waiting_for_ever() -> None:
    found = Warm().twice(27.0, 25.0, 12, gauge=18.0, room=20.5)
    assert found.say == (
        "It settles at the room's 20.5 °C, and is in its limit from 19.0 °C only: lay gauge and ring in the same room "
        "beside it."
    )


def test_too_short_a_time_looks_further_back() -> None:
    shop = Warm()
    shop.read(0, 27.0)
    shop.again()
    shop.read(10, 25.4, room=None)
    shop.again()
    shop.read(12, 25.0, room=None)
    found = soak_forecast(shop.state, AT)
    assert found is not None
    assert "from 27.0 °C to 25.0 °C in 12 minutes" in found.say


def test_temperatures_from_before_hot_water_do_not_count() -> None:
    """The head had soaked, was warmed, and is called for again: the old temperature tells nothing of this cooling."""
    shop = Warm()
    shop.read(0, 21.0)
    assert shop.state.is_done(shop.state.index.operations["soak"], "head:A")
    for place in ("1I", "1E"):
        shop.state.held[place] -= {"soaked"}
    shop.read(60, 30.0)
    found = soak_forecast(shop.state, AT)
    assert found is not None
    assert found.say.startswith("One temperature is on record")


def test_what_is_typed_at_a_head_that_is_called_for_again_is_not_set_beside_its_old_temperatures() -> None:
    """Soaked at 21.0 °C, warmed, and called for again: 30.0 °C typed now differs from no gauge that was read yet."""
    shop = Warm()
    shop.read(0, 21.0)
    for place in ("1I", "1E"):
        shop.state.held[place] -= {"soaked"}
    operation = shop.state.index.operations["soak"]
    state = shop.state.written(*AT)
    typed = Bench(state, operation, AT[1], {("head", "", None): 30.0}).figure("over")
    assert (typed.least, typed.complete, typed.verdict) == (None, False, Verdict.OPEN)
    shop.read(60, 30.0)
    assert shop.state.written(*AT) is shop.state, "under way: what is typed next stands beside what was read"
    (figure,) = (f for f in figures_at(shop.state, *AT) if f.item == "over")
    assert figure.least == pytest.approx(9.5)
    assert figure.verdict is Verdict.HIGH


@settings(max_examples=30, deadline=None)
@given(tau=st.floats(15, 300), start=st.floats(25, 60), minutes=st.integers(8, 30))
def test_a_head_that_cools_by_the_law_is_told_right(tau: float, start: float, minutes: int) -> None:
    """A head with a time constant of tau minutes, read at two moments: what is left is told from the law backwards."""
    room = 20.5
    later = room + (start - room) * exp(-minutes / tau)
    if start - later < 0.25 or later < room + 1.1:
        return
    found = Warm().twice(start, later, minutes)
    end = room + (later - room) * exp(-found.left / 60 / tau)
    assert end == pytest.approx(room + 1.0, abs=1e-6)


def test_the_last_temperatures_of_a_head_hold_for_the_places_inside_it() -> None:
    shop = Warm()
    shop.read(0, 27.0)
    shop.again()
    shop.read(12, 25.0, room=None)
    found = temperatures(shop.state, "1I")
    assert found == temperatures(shop.state, "head:A")
    assert (found.part, found.room) == (
        Warmth(25.0, clock(12), shop.state.number),
        Warmth(20.5, clock(0), found.room.number if found.room else 0),
    )
    assert found.part is not None
    before = temperatures(shop.state, "1I", found.part.number)
    assert before.part is not None
    assert before.part.value == 27.0


def corrected(shop: Warm, value: float) -> Correction | None:
    return correction(shop.state, shop.state.index.readings["bore", "bored_id"], "1I", value)


def test_a_hole_in_a_warm_head_is_told_for_20_degrees() -> None:
    """8.7 mm in aluminium at 24 °C, steel at 21 °C: 8.7 (1 + 11.5e-6 × 1) / (1 + 21.5e-6 × 4) = 8.699352 mm."""
    shop = Warm(thermal_plan(metal="aluminium"))
    shop.read(0, 24.0, gauge=21.0, room=21.0)
    found = corrected(shop, 8.7)
    assert found is not None
    assert found.size is not None
    assert found.size == pytest.approx(8.7 * (1 + 11.5e-6) / (1 + 21.5e-6 * 4), abs=1e-12)
    assert found.size == pytest.approx(8.699352, abs=5e-7)
    assert found.difference == pytest.approx(found.size - 8.7)
    assert found.say == (
        "At 20 °C 0.34249 in, 0.00003 in less (head 24.0 °C, gauge 21.0 °C; the hole follows the aluminium). "
        "The figure as read counts."
    )


def test_what_is_not_worth_telling_is_not_told() -> None:
    shop = Warm()
    assert corrected(shop, 8.7) is None  # no temperature yet
    shop.read(0, 24.0, gauge=24.0, room=24.0)
    assert corrected(shop, 8.7) is None  # iron and steel grow alike
    stem = shop.state.index.readings["survey", "stem"]
    assert correction(shop.state, stem, "1I", 7.9) is None  # no hole in the head
    unknown = Warm(thermal_plan(metal=""))
    unknown.read(0, 24.5, gauge=20.0, room=20.0)
    assert corrected(unknown, 8.7) is None


@pytest.mark.parametrize(("head", "gauge"), [(34.0, 21.0), (14.9, 20.0), (20.0, 25.1)])
def test_far_from_20_degrees_no_figure_is_told(head: float, gauge: float) -> None:
    shop = Warm()
    shop.read(0, head, gauge=gauge, room=gauge)
    say = f"Not to be told for 20 °C (head {head:.1f} °C, gauge {gauge:.1f} °C): both must come to 15 to 25 °C first."
    assert corrected(shop, 8.7) == Correction(say)
