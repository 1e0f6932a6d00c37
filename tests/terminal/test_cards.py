"""The cards of cautions, reasons, notes, struck readings, people, whys and help."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest
from textual.containers import VerticalScroll
from textual.widgets import Input

from headwright.data import shipped
from headwright.job.events import CameOn, ReadingStruck, WentOff
from headwright.procedure.plan import Caution, Role
from headwright.store.front import Somebody, who_may
from headwright.terminal import keys, outer_keys
from headwright.terminal.cards.caution import CautionCard
from headwright.terminal.cards.confirm import ReasonCard
from headwright.terminal.cards.help import HelpScreen
from headwright.terminal.cards.note import NoteCard
from headwright.terminal.cards.read import ALONE
from headwright.terminal.cards.strike import StrikeCard
from headwright.terminal.cards.who import Comes, Goes, WhoCard
from headwright.terminal.cards.why import WhyCard
from headwright.terminal.keyline import KeyLine
from tests.job.small import LEAD, MACHINIST, TRAINEE, Shop
from tests.terminal.cards_app import HOSTILE, SIZES, TYPED, OneScreen, is_in_sight, seen, words

if TYPE_CHECKING:
    from textual.pilot import Pilot

    from headwright.job.state import Taken

PRESSURE = Caution(
    "pressure",
    "Pressure test",
    "A plate that lets go is a projectile.",
    "Stand off the plates.",
    "The manual of the test bench.",
    qualified=True,
    source="common practice, no source",
)


def _taken() -> tuple[Shop, Taken]:
    shop = Shop()
    shop.to_survey()
    shop.inch("survey", "1I", "stem", 0.3118)
    (taken,) = shop.state.attempt("survey", "1I").readings.values()
    return shop, taken


# Cautions


async def test_a_caution_tells_hazard_protection_whom_to_defer_to_and_that_rules_on_the_spot_win() -> None:
    app = OneScreen(CautionCard(PRESSURE, "Mara (07)"))
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.pause()
        text = words(app)
        assert "Caution: Pressure test" in text
        assert "Hazard A plate that lets go is a projectile." in text
        assert "Protection Stand off the plates." in text
        assert "Defer to The manual of the test bench." in text
        assert "Only for a qualified person" in text
        for rule in ("Local codes", "safety data sheet", "machine's manual", "shop's rules win"):
            assert rule in text
        assert "Mara (07): press a when you have read it; it goes on record." in text
        await _acknowledge(pilot)
    assert app.answers == [True]


async def _acknowledge(pilot: Pilot[None]) -> None:
    """Press the key that acknowledges, by itself."""
    await pilot.pause(ALONE + 0.1)
    await pilot.press("a")
    await pilot.pause(ALONE + 0.1)


@pytest.mark.parametrize(
    "pressed",
    [
        ["enter"],
        ["space"],
        [*".3132", "enter"],
        [*"ERR", "enter"],
        ["a"],
        [*"maybe"],
        [*"a17"],
        [*"17a"],
        ["a", "enter"],
    ],
)
async def test_what_is_typed_ahead_or_sent_by_a_gauge_acknowledges_no_hazard(pressed: list[str]) -> None:
    """Neither a figure, nor a word typed before the card was seen, nor a bar code with an a at either end."""
    app = OneScreen(CautionCard(PRESSURE, "Mara (07)"))
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.press(*pressed)
        await pilot.pause(ALONE + 0.1)
        assert app.answers == []
        if len(pressed) > 1:
            await pilot.press(*pressed)
            await pilot.pause(ALONE + 0.1)
            assert app.answers == []
        await pilot.press("escape")
        await pilot.pause()
    assert app.answers == [None]


async def test_a_caution_says_which_key_it_waits_for_where_another_comes() -> None:
    app = OneScreen(CautionCard(PRESSURE, "Mara (07)"))
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.pause(ALONE + 0.1)
        await pilot.press("k")
        await pilot.pause()
        assert "a counts only by itself: press it when you have read this." in words(app)
        assert "PgDn" not in words(app), "all of it is in sight"
        assert app.answers == []


async def test_a_caution_that_does_not_fit_must_be_read_to_its_end() -> None:
    long = Caution("long", "Long", "Hot. " * 200, "Gloves. " * 200, "The last line of it.")
    app = OneScreen(CautionCard(long, "Mara (07)"))
    async with app.run_test(size=(80, 24)) as pilot:
        await _acknowledge(pilot)
        assert app.answers == []
        assert "There was more below: read on, then press a." in words(app)
        text = app.screen.query_one(VerticalScroll)
        for _ in range(20):
            if text.scroll_offset.y >= text.max_scroll_y:
                break
            await _acknowledge(pilot)
            assert app.answers == []
        assert "Local codes" in words(app)
        await _acknowledge(pilot)
    assert app.answers == [True]


def _shipped_cautions() -> list[Caution]:
    import tomllib  # noqa: PLC0415 - for this list only

    tables = tomllib.loads((shipped("procedures") / "cautions.toml").read_text(encoding="utf-8"))
    return [
        Caution(name, t["title"], t["hazard"], t["protection"], t["defer"], t.get("qualified", False), t["source"])
        for name, t in tables.items()
    ]


@pytest.mark.parametrize("caution", _shipped_cautions(), ids=lambda caution: caution.id)
async def test_every_caution_that_comes_with_the_program_is_seen_whole_on_a_small_terminal(caution: Caution) -> None:
    app = OneScreen(CautionCard(caution, "Mara (07)"))
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.pause()
        await pilot.pause()
        assert app.screen.query_one(VerticalScroll).max_scroll_y == 0
        assert is_in_sight(app, app.screen.query_one(KeyLine))


# Reasons and notes


async def test_a_reason_is_handed_back_in_the_operators_words() -> None:
    app = OneScreen(ReasonCard("Stop head A", "Nothing more is written.\n\nIt goes on the tag.", "Reason", "Say why."))
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.pause()
        text = words(app)
        assert "Stop head A" in text
        assert "Nothing more is written." in text
        assert "It goes on the tag." in text
        await pilot.press("enter")
        assert "Say why." in words(app)
        await pilot.press(*"  crack at 2E ", "enter")
        await pilot.pause()
    assert app.answers == ["crack at 2E"]


@pytest.mark.parametrize("typed", [".3132", "0,3132", "+2", "8.73 mm", "95F", "ERR"])
async def test_a_reading_is_no_reason(typed: str) -> None:
    app = OneScreen(ReasonCard("Stop head A", "", "Reason"))
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.press(*typed, "enter")
        assert f"'{typed}' looks like a reading from a gauge: it was not taken." in words(app)
        assert app.screen.query_one(Input).value == ""
        await pilot.press("escape")
        await pilot.pause()
    assert app.answers == [None]


async def test_a_note_names_its_place_and_is_handed_back() -> None:
    app = OneScreen(NoteCard("2I"))
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.pause()
        assert "Note on 2I" in words(app)
        await pilot.press(*"seat rings replaced before", "enter")
        await pilot.pause()
    assert app.answers == ["seat rings replaced before"]


async def test_control_characters_that_are_pasted_do_not_come_back() -> None:
    app = OneScreen(NoteCard("2I"))
    async with app.run_test(size=(80, 24)) as pilot:
        app.screen.query_one(Input).value = "a\x1b[31mb\u202ec\ud800"
        await pilot.press("enter")
        await pilot.pause()
    assert app.answers == ["a [31mb c"]


# Struck readings


async def test_a_struck_reading_is_named_and_wants_a_reason() -> None:
    shop, taken = _taken()
    app = OneScreen(StrikeCard(taken, "1I: Stem"))
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.pause()
        text = words(app)
        assert "Reading 1I: Stem" in text
        assert "As typed 0.3118 in" in text
        assert f"by 07, entry {taken.number}," in text
        assert "It stays on record as struck" in text
        await pilot.press("2", "enter")
        assert app.answers == []
        await pilot.press("enter")
        await pilot.pause()
    assert app.answers == ["gauge misread"]
    shop.do(ReadingStruck(taken.number, "gauge misread"))


async def test_something_else_wants_words() -> None:
    _, taken = _taken()
    app = OneScreen(StrikeCard(taken, "1I: Stem"))
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.press("6", "enter", "enter")
        assert "A reason is expected" in words(app)
        await pilot.press(*"valve mixed up", "enter")
        await pilot.pause()
    assert app.answers == ["valve mixed up"]


# People


def those_of(shop: Shop) -> tuple[Somebody, ...]:
    return who_may(shop.state.people.values(), ())


async def test_the_first_person_gives_initials_name_and_role() -> None:
    app = OneScreen(WhoCard())
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.press(*"07", "enter", *"Mara Quill", "enter")
        assert "Your role by its number; then Enter." in words(app)
        assert "Enter next 1–3 role Esc back" in words(app), "the keys of the form, not those of the list of people"
        await pilot.press("1", "enter")
        await pilot.pause()
    assert app.answers == [Comes("07", "Mara Quill", "machinist")]


async def test_an_empty_field_is_asked_for() -> None:
    app = OneScreen(WhoCard())
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.press("enter")
        assert "Initials expected." in words(app)
        await pilot.press(*"07", "enter", "enter")
        assert "Name expected." in words(app)
        await pilot.press("tab", "3", "enter")
        assert "Name expected." in words(app)
        assert app.answers == []


async def test_somebody_who_is_on_takes_over_with_their_number() -> None:
    app = OneScreen(WhoCard(those_of(Shop())))
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.pause()
        assert "1 07 Mara machinist, on since" in words(app)
        await pilot.press("2", "enter")
        await pilot.pause()
    assert [(answer.operator, answer.on) for answer in app.answers if isinstance(answer, Comes)] == [(LEAD, True)]


async def test_the_list_of_people_begins_at_whoever_is_at_the_bench() -> None:
    people = those_of(Shop())
    (*_, last) = (person.operator for person in people if person.on)
    app = OneScreen(WhoCard(people, here=last))
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.pause()
        (line,) = (line for line in seen(app).splitlines() if "at this bench now" in line)
        assert line.startswith("│ ▸ ")
        assert f" {last}  " in line
        await pilot.press("enter")
    assert [answer.operator for answer in app.answers if isinstance(answer, Comes)] == [last]


async def test_somebody_who_went_off_comes_on_again() -> None:
    shop = Shop()
    shop.do(WentOff(TRAINEE), TRAINEE)
    app = OneScreen(WhoCard(those_of(shop)))
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.pause()
        assert "3 31 Tom trainee, not on; comes on again" in words(app)
        await pilot.press("3", "enter")
        await pilot.pause()
    assert app.answers == [Comes(TRAINEE, "Tom", "trainee")]


async def test_going_off_is_for_the_line_at_hand() -> None:
    app = OneScreen(WhoCard(those_of(Shop())))
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.press("9", "g")
        assert "Go to the line of somebody who is on, then press g." in words(app)
        await pilot.press("1", "g")
        await pilot.pause()
    assert app.answers == [Goes(MACHINIST)]


async def test_initials_of_somebody_who_is_on_are_not_taken_by_another_name() -> None:
    app = OneScreen(WhoCard(those_of(Shop())))
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.press("9", "enter", *"07", "enter")
        name = next(field for field in app.screen.query(Input) if field.name == "name")
        assert name.value == "Mara"
        name.value = "Otto"
        await pilot.press("enter", "1", "enter")
        assert "07 is Mara, who is on now" in words(app)
        assert app.answers == []
        await pilot.press("escape", "escape")
        await pilot.pause()
    assert app.answers == [None]


# Why and help


async def test_a_why_shows_its_paragraphs_and_leaves_out_empty_ones() -> None:
    app = OneScreen(
        WhyCard("Stem", [("How", "With a micrometer.\nTwice."), ("In the way", ""), "It wears at the seal."])
    )
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.pause()
        text = words(app)
        assert "How With a micrometer. Twice. It wears at the seal." in text
        lines = [line.strip("│ ") for line in seen(app).splitlines()]
        assert lines[lines.index("How") + 1 :][:2] == ["With a micrometer.", "Twice."], "each on a line of its own"
        assert "In the way" not in text
        await pilot.press("escape")
        await pilot.pause()
    assert app.answers == [None]


async def test_the_help_lists_every_key_with_what_it_does() -> None:
    app = OneScreen(HelpScreen(keys.BENCH))
    async with app.run_test(size=(160, 500)) as pilot:
        await pilot.pause()
        await pilot.pause()
        text = words(app)
    for key in (key for group in outer_keys.GROUPS for key in group.keys):
        assert f"{key.sign} {key.label} {' '.join(key.tooltip.split())}" in text


async def test_the_help_opens_on_the_keys_at_hand() -> None:
    app = OneScreen(HelpScreen(keys.BENCH))
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.pause()
        lines = [line.strip("│ ") for line in seen(app).splitlines()]
    assert lines.index("Keys here") <= 4
    first = keys.BENCH[0]
    assert f"{first.sign} {first.label}" in " ".join(" ".join(lines).split())


async def test_the_help_scrolls_to_its_end_on_a_small_terminal() -> None:
    app = OneScreen(HelpScreen(keys.BENCH))
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.pause()
        await pilot.press(*(["pagedown"] * 25))
        assert 'strike = "F12"' in words(app)


# Every card


def _cards() -> dict[str, object]:
    shop, taken = _taken()
    for initials in ("aa", "bb"):
        shop.do(CameOn(initials, TYPED, Role.MACHINIST), initials)
    return {
        "caution": CautionCard(Caution("x", HOSTILE, HOSTILE, HOSTILE, HOSTILE, qualified=True), HOSTILE),
        "reason": ReasonCard(HOSTILE, HOSTILE, HOSTILE, HOSTILE),
        "note": NoteCard(HOSTILE),
        "strike": StrikeCard(taken, HOSTILE),
        "who": WhoCard(those_of(shop)),
        "why": WhyCard(HOSTILE, [(HOSTILE, HOSTILE), HOSTILE]),
    }


@pytest.mark.parametrize("size", SIZES)
@pytest.mark.parametrize("name", ["caution", "reason", "note", "strike", "who", "why"])
async def test_hostile_text_is_shown_as_text_and_the_keys_stay_in_sight(name: str, size: tuple[int, int]) -> None:
    card = _cards()[name]
    app: OneScreen[object] = OneScreen(card)  # type: ignore[arg-type]
    async with app.run_test(size=size) as pilot:
        await pilot.pause()
        await pilot.pause()
        assert "[/b][@click=app.quit]q[/]" in words(app)
        assert not set(seen(app)) & {"\x1b", "\x07", "\u202e"}
        assert is_in_sight(app, app.screen.query_one(KeyLine))
        assert app.screen.focused is not None
        assert is_in_sight(app, app.screen.focused)
        await pilot.press("escape")
        await pilot.pause()
    assert app.answers == [None]


@pytest.mark.parametrize(
    "group",
    [
        *("TEXT", "CHOICES", "LINE", "CAUTION", "WHO", "FIRST_START", "NEW_JOB", "JOBS"),
        *("HELP_CARD", "SEARCH", "LOOK_CARD"),
    ],
)
def test_the_line_of_keys_fits_a_small_terminal_with_six_labels_at_most(group: str) -> None:
    shown = keys.in_line(getattr(outer_keys, group))
    assert len(shown) <= 6
    assert sum(len(f" {key.sign} {key.label} ") for key in shown) <= 78
