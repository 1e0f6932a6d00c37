"""The small plan worked through at a desk on a real store: what is done is on disk, with times that go on."""

from __future__ import annotations

from typing import TYPE_CHECKING

from headwright.job.chain import chained
from headwright.job.events import CameOn, Disposed, Disposition, Noted, Opened, Released, Stopped
from headwright.job.evolve import fold
from headwright.job.state import begin
from headwright.job.summary import summary
from headwright.procedure.plan import Role, plan_bytes, plan_sha256
from headwright.store.desk import Desk, Done
from tests.job.small import LEAD, MACHINIST, TRAINEE, Shop, plan

if TYPE_CHECKING:
    from headwright.job.events import Event
    from headwright.procedure.plan import Plan
    from headwright.store import JobStore
    from tests.frozen_clock import FrozenClock

ESCAPES = "\x1b[31mred\x1b[0m \x1b]8;;http://x\x07link [bold]text[/bold]\r\nsecond line"
"""What nobody types by hand: colours, a link and a line break, all of which must reach no terminal."""


def opened(store: JobStore, the_plan: Plan, job: str, *, tag: str = "", customer: str = "") -> None:
    """Keep a new job as another program might have recorded it: with texts that nobody may write down here."""
    event = Opened(job, plan_sha256(the_plan), tag, customer)
    entries = chained(job, None, (event,), time="2025-03-04T08:00:00.000000Z", operator="", terminal="elsewhere")
    store.create(plan_bytes(the_plan), entries, summary(fold(begin(the_plan), entries)))


def recorded(store: JobStore, desk: Desk, operator: str, *events: Event) -> None:
    """Let things be on record that may not happen here, as another program might have recorded them."""
    last = desk.entries[-1]
    entries = chained(desk.job, last, events, time=last.time, operator=operator, terminal="elsewhere")
    store.append(desk.job, entries, summary(fold(desk.state, entries)))
    desk.refresh()


class DeskShop(Shop):
    """Works as `Shop` does, but every entry is kept; a minute goes by between two of them."""

    def __init__(self, store: JobStore, clock: FrozenClock, job: str = "1", the_plan: Plan | None = None) -> None:
        self.clock = clock
        self.store = store
        self.desk = Desk.create(
            store, the_plan or plan(), job, terminal="bench 1", tag="T-1", customer="Heron", clock=clock
        )
        self._look()
        for operator, name, role in (
            (MACHINIST, "Mara", Role.MACHINIST),
            (LEAD, "Lena", Role.LEAD),
            (TRAINEE, "Tom", Role.TRAINEE),
        ):
            self.do(CameOn(operator, name, role), operator)

    def do(self, wanted: Event, operator: str = MACHINIST) -> tuple[Event, ...]:
        self.clock.forward(minutes=1)
        answer = self.desk.submit(wanted, operator)
        assert isinstance(answer, Done), str(answer)
        self._look()
        return tuple(entry.event for entry in answer.entries)

    def _look(self) -> None:
        self.state, self.entries = self.desk.state, self.desk.entries

    def to_hold(self) -> None:
        """Go as far as 1I in 'Size', where the clearance comes out at 0.0005 in against 0.0010 to 0.0020 in."""
        self.to_size()
        self.inch("size", "1I", "finished_id", 0.3123, 0.3123)

    def out_of_hold(self) -> None:
        """Send 1I back to sizing."""
        self.do(Disposed("size", "1I", "clearance", Disposition.REWORK, "next ball", redo="size"))

    def to_release(self) -> None:
        """Finish both positions, one of them by concession, and release the head."""
        self.inch("size", "1I", "finished_id", 0.3133, 0.3132)
        self.inch("size", "1E", "finished_id", 0.3126, 0.3127)
        self.do(Disposed("size", "1E", "clearance", Disposition.CONCESSION, "race engine", agreed="Heron"), LEAD)
        self.finish("1I", "1E")
        recorded(self.store, self.desk, MACHINIST, Noted(ESCAPES, "1I"))
        self._look()
        self.tick("sign", "head:A", "check", LEAD)
        self.do(Released("signed"), LEAD)

    def stop(self) -> None:
        """Stop the head."""
        self.do(Stopped("head:A", "crack seen"))
