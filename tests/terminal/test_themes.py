"""The themes: every text can be read on what it stands on, in all the colours of a terminal and in 256 of them."""

from __future__ import annotations

import re
from pathlib import Path
from typing import TYPE_CHECKING

import pytest
from rich.color import Color, ColorSystem

from headwright import terminal
from headwright.job.verdict import Verdict
from headwright.terminal.bench.verdicts import said
from headwright.terminal.theme import DARK, PAIRS, ROLES, STROKES, THEMES, theme_name
from tests.terminal import screens
from tests.terminal.alder_bench import HEADWRIGHT
from tests.terminal.pty_app import PtyApp

if TYPE_CHECKING:
    from collections.abc import Iterator

TEXT = {"dark": 4.5, "light": 4.5, "contrast": 7.0}
"""WCAG 2.2, success criterion 1.4.3 (AA): 4.5 to 1 for text; 1.4.6 (AAA), to which high contrast is held: 7 to 1."""
STROKE = 3.0
"""WCAG 2.2, success criterion 1.4.11 (AA): 3 to 1 for what is drawn."""
DEPTHS = {"truecolor": "truecolor", "256 colours, as over SSH": ""}
"""What the terminal says of its colours in COLORTERM."""


def luminance(colour: str) -> float:
    """Relative luminance of an sRGB colour, as WCAG 2.2 defines it."""
    red, green, blue = (int(colour[at : at + 2], 16) / 255 for at in (1, 3, 5))
    return 0.2126 * _linear(red) + 0.7152 * _linear(green) + 0.0722 * _linear(blue)


def _linear(share: float) -> float:
    return share / 12.92 if share <= 0.04045 else ((share + 0.055) / 1.055) ** 2.4


def contrast(one: str, other: str) -> float:
    """Contrast ratio of two colours, as WCAG 2.2 defines it: 1 to 21."""
    light, dark = sorted((luminance(one), luminance(other)), reverse=True)
    return (light + 0.05) / (dark + 0.05)


def test_the_contrast_is_reckoned_as_the_guidelines_have_it() -> None:
    """WCAG 2.2: 21 to 1 for black on white. That #767676 is the lightest grey that reaches 4.5 is from memory."""
    assert contrast("#ffffff", "#000000") == pytest.approx(21.0)
    assert contrast("#767676", "#ffffff") >= 4.5 > contrast("#777777", "#ffffff")


def _in_256(colour: str) -> str:
    """Give the colour that a terminal of 256 colours is sent in place of another."""
    number = Color.parse(colour).downgrade(ColorSystem.EIGHT_BIT).number
    assert number is not None
    # xterm's own table: six steps for each of three colours, then 24 greys.
    if number >= 232:
        return f"#{8 + 10 * (number - 232):02x}" + f"{8 + 10 * (number - 232):02x}" * 2
    steps = (0, 95, 135, 175, 215, 255)
    red, rest = divmod(number - 16, 36)
    return "#" + "".join(f"{steps[each]:02x}" for each in (red, *divmod(rest, 6)))


@pytest.mark.parametrize("name", ROLES)
@pytest.mark.parametrize("pair", [*PAIRS, *STROKES], ids="-on-".join)
def test_every_role_can_be_told_from_what_it_stands_on_in_full_colour_and_in_256(
    name: str, pair: tuple[str, str]
) -> None:
    least = STROKE if pair in STROKES else TEXT[name]
    word, ground = (ROLES[name][role] for role in pair)
    assert contrast(word, ground) >= least
    assert contrast(_in_256(word), _in_256(ground)) >= least


def test_the_themes_have_the_same_roles_and_no_colour_beside_them() -> None:
    assert len({frozenset(roles) for roles in ROLES.values()}) == 1
    assert {pair[0] for pair in (*PAIRS, *STROKES)} | {pair[1] for pair in PAIRS} == set(ROLES["dark"])
    for name, theme in zip(ROLES, THEMES, strict=True):
        assert theme.name == theme_name(name)
        own = {theme.primary, theme.secondary, theme.accent, theme.warning, theme.error, theme.success}
        own |= {theme.foreground, theme.background, theme.surface, theme.panel, *theme.variables.values()}
        assert own == set(ROLES[name].values())


SHEETS = sorted(Path(terminal.__file__).parent.rglob("*.tcss"))


@pytest.mark.parametrize("sheet", SHEETS, ids=lambda sheet: sheet.name)
def test_every_colour_of_the_style_sheets_comes_from_the_theme(sheet: Path) -> None:
    text = re.sub(r"/\*.*?\*/", "", sheet.read_text(encoding="utf-8"), flags=re.DOTALL)
    ours = {"background", "surface", "panel", "foreground", "accent", "success", "warning", "error", *DARK.variables}
    coloured = r"(?<![\w:-])([a-z-]*(?:color|background|border|tint|outline)[a-z-]*):\s*([^;{}]+);"
    for name, value in re.findall(coloured, text):
        words = value.split()
        named = {word[1:] for word in words if word.startswith("$")}
        assert named <= ours, f"{name}: {value}"
        left = [word for word in words if not word.startswith("$")]
        assert all(word in {"solid", "round", "heavy", "none", "0%", "transparent"} for word in left), (
            f"{name}: {value}"
        )


def _walk(app: PtyApp) -> Iterator[str]:
    """Go through the screens; after each step the screen that is seen can be looked at."""
    screens.board(app)
    yield "the jobs board"
    screens.who(app)
    yield "a card"
    app.press("esc")
    app.wait_for("? why")
    yield "the bench"
    screens.keys(app)
    yield "the help"
    screens.words(app, "liner", "thin split tube")
    yield "the words"
    screens.left_words(app)
    screens.sums(app)
    yield "the sums"


@pytest.mark.parametrize("depth", DEPTHS)
@pytest.mark.parametrize("name", ROLES)
def test_whatever_is_written_on_a_real_terminal_can_be_read(name: str, depth: str, sampled: Path) -> None:
    (sampled / "config.toml").write_text(f'theme = "{name}"\n', encoding="utf-8")
    with PtyApp(HEADWRIGHT, 100, 30, env={"COLORTERM": DEPTHS[depth]}) as app:
        for shown in _walk(app):
            app.settled()
            poor = {f"{text} on {ground}: {what!r}" for text, ground, what in _poor(app, TEXT[name])}
            assert not poor, shown


def _poor(app: PtyApp, least: float) -> Iterator[tuple[str, str, str]]:
    """Find letters, digits and signs of verdicts whose colour is too near that of their ground."""
    for row in app.screen.buffer.values():
        for cell in row.values():
            if cell.data.isalnum() or cell.data in "■▸✓?+":
                text, ground = (cell.bg, cell.fg) if cell.reverse else (cell.fg, cell.bg)
                if contrast(f"#{text}", f"#{ground}") < least:
                    yield text, ground, cell.data


def test_every_verdict_has_a_word_and_every_failing_one_a_sign_of_its_own() -> None:
    """Colour alone tells nothing: without it each verdict still reads differently."""
    words = {verdict: said(verdict) for verdict in Verdict}
    assert len(set(words.values())) == len(Verdict)
    assert all(text.split()[1:] for text in words.values())
    assert words[Verdict.IN].split()[0] not in {words[verdict].split()[0] for verdict in Verdict if verdict.fails}
