"""What a gauge shows in its ring, in words while it is typed: whether its zero held, and what is struck where not."""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

from headwright.job.entry import Misread
from headwright.job.gauges import has_drifted, mastering_of, of_the_work, ring_slip
from headwright.job.half_typed import half_typed
from headwright.terminal.bench.digits import with_unit
from headwright.terminal.bench.gauging import FARTHEST, RingLine, off_words, rests_on, size_words

if TYPE_CHECKING:
    from headwright.job.gauges import GaugeNow
    from headwright.job.state import State
    from headwright.procedure.plan import Reading

IN_RING = "is the gauge in the ring? What is entered here becomes its zero."


class InRing(NamedTuple):
    """A gauge in a ring.

    Attributes:
        state: the job.
        sort: the sort of gauge.
        expected: the size expected of the work, mm; None where it is not known.
        reading: what is read with it.
        known: the gauge as the job knows it.
        ring: the ring.
    """

    state: State
    sort: str
    expected: float | None
    reading: Reading
    known: GaugeNow
    ring: RingLine

    def is_begun(self, text: str, off: float | Misread) -> bool:
        """Tell whether only the first digits of a size are typed: what they would be off by says nothing."""
        if not text.strip("0.,"):
            return False
        near = (self.ring.size - FARTHEST, self.ring.size + FARTHEST)
        missing = half_typed(text, self.reading, self.state.plan, near)
        return missing > 1 or (missing == 1 and (isinstance(off, Misread) or has_drifted(self.state, self.known, off)))

    def say(self, off: float, *, whole: bool = False) -> str:
        """Say whether a zero held, and what is struck where it did not; empty where none is kept by the rules.

        Args:
            off: what the gauge is off by, mm.
            whole: whether a whole size was typed, which may be that of the work, and not graduations off the ring.
        """
        state, reading, known = self.state, self.reading, self.known
        rule = mastering_of(state, self.sort)
        if rule is None:
            return ""
        least = size_words(state, reading, rule.drift)
        words = f"Off by {off_words(state, reading, off)}"
        drifted = has_drifted(state, known, off)
        if whole and not drifted and self._is_of_the_work(off):
            size = self._size(self.ring.size + off)
            return f"~ {words}, within the {least} that it may drift. But {size} is a size of the work: {IN_RING}"
        if not drifted:
            return f"✓ {words}: within the {least} that it may drift. Set the zero, then Enter."
        rests = rests_on(state, known.gauge)
        if not rests:
            return (
                f"■ {words}: beyond {least}. Nothing in this job rests on it; other jobs read with it since are told."
            )
        return (
            f"■ {words}: beyond the {least} that it may drift. Would be struck in this job: {'; '.join(rests)}. Other "
            "jobs that read with it since would be told too."
        )

    def slip(self, text: str, off: float) -> str:
        """Name the slip by which a figure was typed that is far off; empty where none explains it."""
        doubt = ring_slip(self.state, self.sort, self.reading, ring=self.ring.size, off=off, typed=text)
        if doubt is None or doubt.offer is None:
            return ""
        return f"Typed wrong? {doubt.slip[:1].upper()}{doubt.slip[1:]}: {self._size(doubt.offer)}. "

    def _size(self, value: float) -> str:
        return with_unit(self.state.plan, self.reading, value)

    def _is_of_the_work(self, off: float) -> bool:
        return of_the_work(self.state, self.known, self.reading, ring=self.ring.size, off=off, expected=self.expected)
