"""Which keys answer a doubt about a figure, in words."""

from __future__ import annotations

from typing import TYPE_CHECKING

from headwright.job.unfinished import NOT_FINISHED
from headwright.terminal.bench.digits import short
from headwright.terminal.keys import BENCH, sign_in

if TYPE_CHECKING:
    from headwright.job.slips import Doubt
    from headwright.procedure.plan import Plan, Reading


def answers(plan: Plan, reading: Reading, value: float, doubt: Doubt) -> str:
    """Say how the doubt about a figure (canonical) is answered: which key takes another, keeps it, or clears it."""
    ways = [f"{sign_in(BENCH, 'keep')} keeps {short(plan, reading, value)}", f"{sign_in(BENCH, 'clear')} clears it"]
    if doubt.offer is not None:
        ways.insert(0, f"{sign_in(BENCH, 'tick')} takes {short(plan, reading, doubt.offer)}")
    elif doubt.slip == NOT_FINISHED:
        ways.insert(0, "Type on")
    return f"{', '.join(ways)}."
