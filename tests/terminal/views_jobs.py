"""The sample jobs as the views see them, at the end and part of the way; and drawings as text."""

from __future__ import annotations

from functools import lru_cache
from pathlib import Path
from typing import TYPE_CHECKING

from rich.cells import cell_len

from headwright import terminal
from headwright.data import shipped
from headwright.job.evolve import fold
from headwright.job.state import begin
from headwright.store.record import read_record
from headwright.terminal.signs import plain_cells
from tests.terminal.cards_app import Answer, OneScreen

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from headwright.job.state import State
    from headwright.store.record import Record
    from headwright.terminal.drawn import Line

JOBS = ("1001", "1002", "1003", "1004", "1005")
PARTS = (0.25, 0.5, 0.75, 1.0)
"""How far the jobs are gone when they are looked at."""
HOSTILE_NAMES = ("\u05d0\u05d1\u05d2\u05d3", "\u202eback", "漢字漢字", "e\u0301\u0301", "[/b]", "w" * 12, "a\nb\x1b")
"""Right to left, an override, two cells to a sign, combining marks, markup, as long as it gets, control codes."""


@lru_cache(maxsize=8)
def record(job: str) -> Record:
    return read_record(shipped("sample_jobs") / f"{job}.toml")


@lru_cache(maxsize=32)
def state_of(job: str, part: float = 1.0) -> State:
    """Give a sample job after a part of its entries."""
    known = record(job)
    return fold(begin(known.plan), known.entries[: max(1, int(len(known.entries) * part))])


def texts(lines: Iterable[Line]) -> list[str]:
    return ["".join(text for text, _ in line) for line in lines]


def plain(lines: Iterable[Line]) -> list[str]:
    """Give the lines as a terminal shows them that has nothing but ASCII."""
    return ["".join(plain_cells(text, letters=False)) for text in texts(lines)]


def is_plain(lines: Sequence[Line]) -> bool:
    """Tell whether every sign has a twin of its own in plain ASCII, and nothing moves for it."""
    full, bare = texts(lines), plain(lines)
    return all(b.isascii() and len(b) == cell_len(f) for f, b in zip(full, bare, strict=True))


def fits(lines: Iterable[Line], width: int) -> bool:
    return all(cell_len(text) <= width for text in texts(lines))


class ViewScreen(OneScreen[Answer]):
    """Shows one of the views with its own style sheet."""

    CSS = Path(terminal.__file__).with_name("views.tcss").read_text(encoding="utf-8")
