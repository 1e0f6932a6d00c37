"""The deck by straightedge and feelers: six lines, height, stock."""

from collections.abc import Mapping
from dataclasses import dataclass

from headwright.calc.errors import NotEnough, not_negative, positive
from headwright.calc.limits import SLACK

# Two long sides, the middle, two diagonals, and the worst of the lines across at each chamber.
LINES = ("left side", "right side", "middle", "diagonal 1", "diagonal 2", "across")


@dataclass(frozen=True, slots=True)
class Gap:
    """One straightedge line: largest feeler that passes on the whole line and within any 150 mm (6 in), mm."""

    whole: float
    span: float


@dataclass(frozen=True, slots=True)
class DeckVerdict:
    """The worst of the lines, mm, where it lies, and whether each limit is kept."""

    whole: float
    whole_line: str
    span: float
    span_line: str
    whole_kept: bool
    span_kept: bool

    @property
    def flat(self) -> bool:
        """Whether the deck needs no surfacing for flatness."""
        return self.whole_kept and self.span_kept


def six_lines(gaps: Mapping[str, Gap], whole_limit: float, span_limit: float) -> DeckVerdict:
    """Judge a deck by the gaps under a straightedge on six lines.

    Args:
        gaps: gaps on each line of LINES, mm, zero or more.
        whole_limit: most gap allowed on a whole line, mm, zero or more.
        span_limit: most gap allowed within any 150 mm, mm, zero or more.

    Returns:
        The worst gaps, their lines, and whether each limit is kept.

    Raises:
        NotEnough: a line is not measured yet.
        Impossible: a gap or limit is below zero.
    """
    not_negative(whole_limit=whole_limit, span_limit=span_limit)
    missing = [line for line in LINES if line not in gaps]
    if missing:
        raise NotEnough(f"not measured yet: {', '.join(missing)}")
    for gap in gaps.values():
        not_negative(gap=gap.whole, gap_within_150_mm=gap.span)
    whole_line = max(gaps, key=lambda line: gaps[line].whole)
    span_line = max(gaps, key=lambda line: gaps[line].span)
    whole, span = gaps[whole_line].whole, gaps[span_line].span
    return DeckVerdict(whole, whole_line, span, span_line, whole <= whole_limit + SLACK, span <= span_limit + SLACK)


@dataclass(frozen=True, slots=True)
class Height:
    """Height of a head after a cut, and what may still come off, mm (below zero: too low already)."""

    after: float
    left: float


def height_after(height: float, removal: float, least: float) -> Height:
    """Give the height of a head after a cut on its deck.

    Args:
        height: height before, mm, above zero.
        removal: stock taken off, mm, zero or more.
        least: least height that the engine maker allows, mm, above zero.

    Returns:
        Height after, and stock left to the least height.

    Raises:
        Impossible: an input is out of range.
    """
    positive(height=height, least=least)
    not_negative(removal=removal)
    after = height - removal
    return Height(after, after - least)
