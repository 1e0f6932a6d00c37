"""Without colours no colour is sent, and in plain signs nothing but ASCII: shown on the bytes that a terminal gets."""

from __future__ import annotations

import ast
import re
import tomllib
from pathlib import Path
from typing import TYPE_CHECKING, Any

import pytest
from rich.cells import cell_len
from rich.segment import Segment
from rich.style import Style
from textual.color import Color as TextualColor

import headwright
from headwright.data import shipped
from headwright.store import open_store
from headwright.store.desk import Desk
from headwright.terminal import signs
from headwright.terminal.bench import verdicts
from headwright.terminal.signs import TWINS, WORDS, PlainSigns, plain_cells, twin, wanted_plain
from headwright.terminal.theme import ROLES, Colourless, Undimmed
from headwright.terminal.views.profile import LEFT_HALF, RIGHT_HALF
from tests.job.small import plan
from tests.terminal import screens
from tests.terminal.alder_bench import HEADWRIGHT
from tests.terminal.pty_app import PtyApp

if TYPE_CHECKING:
    from collections.abc import Iterator

ALLOWED = {"", "0", "1", "2", "4", "7"}
"""Select graphic rendition (ECMA-48, 8.3.117): reset, bold, faint, underlined, negative; 30 to 49 are colours."""
_SGR = re.compile(rb"\x1b\[([0-9;:]*)m")


def _go_through(app: PtyApp, note: str = "a note") -> None:
    """See the board, cards, the bench with something typed, the help, the words, the commands and the sums."""
    screens.board(app)
    screens.who(app)
    app.press("enter")
    app.wait_for("Who is at the bench?", gone=True)
    app.press("?")
    app.wait_for("Esc leave")
    app.press("esc")
    app.wait_for("Esc leave", gone=True)
    app.press("f2")
    app.wait_for("Note on")
    app.press(note, "enter")
    app.wait_for("Note on", gone=True)
    screens.keys(app)
    app.press(*["pgdn"] * 6)
    screens.words(app, "out of", "two ways across")
    screens.left_words(app)
    app.press("ctrl+p")
    app.wait_for("What can be done here")
    screens.sums(app, "sums", "enter")
    app.press("pgdn")
    app.wait_for("clearance when hot")
    app.read(0.3)


def _attributes(raw: bytes) -> set[str]:
    return {part for found in _SGR.findall(raw) for part in found.decode().split(";")}


@pytest.mark.usefixtures("sampled")
def test_without_colours_no_colour_is_sent_and_what_is_at_hand_is_told_in_another_way() -> None:
    """no-color.org: present and not empty, NO_COLOR asks for no added colour."""
    with PtyApp(HEADWRIGHT, 100, 30, env={"NO_COLOR": "1"}) as app:
        app.wait_for("1001", "F9 sample")
        row = next(y for y, line in enumerate(app.lines) if " 1001 " in line)
        assert app.screen.buffer[row][4].reverse
        _go_through(app)
        assert _attributes(bytes(app.raw)) <= ALLOWED
        assert {"1", "4", "7"} <= _attributes(bytes(app.raw))


@pytest.mark.usefixtures("sampled")
def test_an_empty_no_color_asks_for_nothing() -> None:
    with PtyApp(HEADWRIGHT, env={"NO_COLOR": ""}) as app:
        app.wait_for("1001", "F9 sample")
        assert any(part.startswith("38") for part in _attributes(bytes(app.raw)))


@pytest.mark.parametrize("asked", ["variable", "setting", "locale"])
def test_in_plain_signs_every_byte_is_ascii(sampled: Path, asked: str) -> None:
    env = {"variable": {"HEADWRIGHT_ASCII": "1"}, "setting": {}, "locale": {"LC_ALL": "C"}}[asked]
    if asked == "setting":
        (sampled / "config.toml").write_text('signs = "plain"\n', encoding="utf-8")
    with PtyApp(HEADWRIGHT, 100, 30, env=env) as app:
        _go_through(app)
        assert max(app.raw) < 0x7F
        assert "at 20 degC" in app.text
        assert "|" in app.text


@pytest.mark.usefixtures("sampled")
def test_full_signs_can_be_asked_for_whatever_the_locale_says() -> None:
    with PtyApp(HEADWRIGHT, env={"HEADWRIGHT_ASCII": "0", "LC_ALL": "C"}) as app:
        app.wait_for("1001", "F9 sample")
        assert "▸ 1001" in app.text


@pytest.mark.parametrize(("env", "shown"), [({"HEADWRIGHT_ASCII": "1"}, "Zoë x 2"), ({"LC_ALL": "C"}, "Zoe x 2")])
def test_letters_that_people_wrote_stay_on_a_terminal_that_has_them(
    home: Path, env: dict[str, str], shown: str
) -> None:
    home.mkdir()
    store = open_store(home / "headwright.db")
    Desk.create(store, plan(), "1", terminal="bench 1", tag="Zoë × 2")
    store.close()
    with PtyApp(HEADWRIGHT, env=env) as app:
        app.wait_for("F9 sample")
        assert shown in app.text


def test_plain_signs_take_the_cells_of_the_full_ones() -> None:
    for sign in {*TWINS, *WORDS}:
        assert len(TWINS[sign]) == cell_len(sign) == 1
        assert TWINS[sign].isascii()
        assert WORDS.get(sign, "").isascii()


@pytest.mark.parametrize(
    ("line", "plain"),
    [
        ("20.6 °C · saved    ", "20.6 degC . saved  "),
        ("│ 90°     │ 12 │", "| 90deg   | 12 |"),
        ("   90°│", " 90deg|"),
        ("90° 45° 0°", "90d 45d 0d"),
        ("│  │90°│  │", "|  |90d|  |"),
        ("at 0°  │ 12", "at 0deg| 12"),
        ("middle, 90°  Top and bottom, 0° a…", "middle, 90deg  Top and bottom, 0d~"),
        ("90°  12   Top and bottom…", "90deg  12 Top and bottom~"),
        ("8.725 mm × 2, 5 µm", "8.725 mm x 2, 5 um"),
        ("±0.0005 in  ", "~0.0005 in  "),
        ("±0.0005 in    ", "+/-0.0005 in  "),
        ("Reading …    ", "Reading ...  "),
        ("a long na…  3/8", "a long na~  3/8"),
        (".0014–.0016", ".0014-.0016"),
        ("日本 12", "???? 12"),
    ],
)
def test_a_unit_is_written_out_where_blanks_give_it_room_and_no_column_moves(line: str, plain: str) -> None:
    assert "".join(plain_cells(line, letters=False)) == plain
    assert cell_len(line) == len(plain)


def test_letters_of_people_stay_where_the_terminal_has_them_and_go_to_their_base_letter_where_not() -> None:
    assert twin("é", letters=True) == "é"
    assert twin("é", letters=False) == "e"
    assert twin("日", letters=False) == "??"
    assert twin("\u0301", letters=False) == ""
    assert twin("✗", letters=True) == "?"


def test_the_filters_leave_what_acts_under_the_mouse() -> None:
    acts = Style(color="#ff0000", bgcolor="#00ff00", bold=True, meta={"@click": "x"})
    black = TextualColor(0, 0, 0)
    (plain,) = PlainSigns(letters=False).apply([Segment("a°  b", acts)], black)
    assert plain == Segment("ad  b", acts)
    (bare,) = Colourless().apply([Segment("x", acts)], black)
    assert bare.style is not None
    assert (bare.style.color, bare.style.bgcolor, bare.style.bold) == (None, None, True)
    assert bare.style.meta == acts.meta


def test_what_is_dim_is_written_in_the_quiet_colour() -> None:
    dim = Style(dim=True, color="#ffffff", bgcolor="#000000")
    (segment,) = Undimmed("dark").apply([Segment("x", dim)], TextualColor(0, 0, 0))
    assert segment.style is not None
    assert not segment.style.dim
    assert segment.style.color == Style(color=ROLES["dark"]["quiet"]).color


def test_no_two_signs_of_a_state_have_one_twin() -> None:
    states = (verdicts.DONE, verdicts.HELD, verdicts.NOW, verdicts.DUE, verdicts.NOT_HERE, "×", "~")
    assert twin(LEFT_HALF, letters=False) == twin(RIGHT_HALF, letters=False) != twin(verdicts.HELD, letters=False)
    assert len({twin(sign, letters=False) if not sign.isascii() else sign for sign in states}) == len(states)


def _written(path: Path) -> Iterator[str]:
    """Give the texts of a module that may be shown: every string that is no docstring."""
    tree = ast.parse(path.read_text(encoding="utf-8"))
    told = {id(node.value) for node in ast.walk(tree) if isinstance(node, ast.Expr)}
    for node in ast.walk(tree):
        if isinstance(node, ast.Constant) and isinstance(node.value, str) and id(node) not in told:
            yield node.value


def _strings(value: Any) -> Iterator[str]:
    if isinstance(value, str):
        yield value
    elif isinstance(value, dict):
        for key, each in value.items():
            yield key
            yield from _strings(each)
    elif isinstance(value, list):
        for each in value:
            yield from _strings(each)


def test_every_sign_that_the_program_or_its_procedures_write_has_a_twin() -> None:
    code = sorted(Path(headwright.__file__).parent.rglob("*.py"))
    files = [*sorted(shipped("procedures").rglob("*.toml")), *sorted(Path(signs.__file__).parent.glob("*.toml"))]
    texts = [text for path in code for text in _written(path)]
    texts += [text for path in files for text in _strings(tomllib.loads(path.read_text(encoding="utf-8")))]
    used = {sign for text in texts for sign in text if not sign.isascii() and sign.isprintable() and cell_len(sign)}
    assert used >= {"°", "µ", "×", "✓", "─"}
    assert not {sign for sign in used - set(TWINS) if not sign.isalpha()}
    assert not {sign for sign in used - set(TWINS) if twin(sign, letters=False) == signs.UNKNOWN}


@pytest.mark.parametrize(
    ("variable", "configured", "wanted"),
    [
        ("", "full", "full"),
        ("", "plain", "plain"),
        ("1", "full", "plain"),
        ("0", "plain", "full"),
        (" ", "full", "full"),
    ],
)
def test_the_variable_wins_over_the_setting(
    monkeypatch: pytest.MonkeyPatch, variable: str, configured: str, wanted: str
) -> None:
    monkeypatch.setattr("locale.getencoding", lambda: "UTF-8")
    monkeypatch.setenv(signs.VARIABLE, variable)
    assert wanted_plain(configured) is (wanted == "plain")
