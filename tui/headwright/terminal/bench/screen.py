"""The bench: the route, the places and their readings, what to do now, and the figure being typed."""

from __future__ import annotations

from typing import TYPE_CHECKING, ClassVar

from textual.containers import Container
from textual.message import Message

from headwright.job.agenda import Now
from headwright.job.events import OperationClosed, ReadingStruck, ReadingTaken, StepTicked
from headwright.procedure.plan import Sort
from headwright.terminal.bench.header import Header
from headwright.terminal.bench.lone import Lone
from headwright.terminal.bench.repaint import paint_now
from headwright.terminal.bench.rest import Rest
from headwright.terminal.bench.route import Route
from headwright.terminal.bench.sharing import Shares, shares
from headwright.terminal.bench.steps import MOST_LINES, MOST_ROOMY, Steps
from headwright.terminal.bench.strip import Strip, lines_wanted
from headwright.terminal.bench.table import Table
from headwright.terminal.bench.tail import Tail
from headwright.terminal.bench.viewing import ViewingScreen
from headwright.terminal.bench.widths import ROUTE_BESIDE
from headwright.terminal.cards.card import Card
from headwright.terminal.keyline import KeyLine
from headwright.terminal.keys import BENCH, KEEP, bindings, in_use, sign_in
from headwright.terminal.small import BESIDE, TooSmall

if TYPE_CHECKING:
    from collections.abc import Sequence

    from textual import events
    from textual.app import ComposeResult
    from textual.binding import BindingType

    from headwright.job.events import Entry
    from headwright.terminal.bench.hand import Hand
    from headwright.terminal.bench.spots import Spot
    from headwright.terminal.bench.typed import Live

POLL = 0.7
"""Seconds between two looks at what other terminals recorded."""
_AT_ONCE = {
    name: key.id
    for key in BENCH
    for name in key.keys.split(",")
    if key.id in {"enter", "tick", "clear", "rub", "up", "down", "left", "right", "next_up"}
}
"""Keys that are acted on as they come: a binding is run a moment later, when what a gauge sends next is there too."""
_AT_A_PLACE = (ReadingTaken, StepTicked, OperationClosed)


class BenchScreen(ViewingScreen):
    """One job at this terminal. It holds no rule: it shows what the job says and hands it what is wanted.

    Args:
        hand: the job in hand.
        stop: whether to ask at once why its head is stopped.
        asked: whether it was asked already who is there.
    """

    CSS_PATH = ["../screens.tcss", "../views.tcss"]  # noqa: RUF012 - as Textual declares it
    BINDINGS: ClassVar[list[BindingType]] = [*bindings(BENCH)]
    AUTO_FOCUS = None

    class Begun(Message):
        """The bench is laid out and stands where the next thing is to be done: keys may come."""

        def __init__(self, bench: BenchScreen) -> None:
            super().__init__()
            self.bench = bench

    def __init__(self, hand: Hand, *, stop: bool = False, asked: bool = False) -> None:
        super().__init__(hand)
        self._stop = stop
        self._who_asked = asked
        self._tail = Tail()
        self._shown = ""
        self._lone = Lone(self)
        self._rest = Rest(self._work_ahead)
        self._saving = False
        # Held here, for looking them up by a query takes a good part of the time that a key may take.
        self._header, self._route, self._table, self._strip = Header(), Route(), Table(), Strip()
        self._steps, self._last_steps = Steps(last=False), Steps(last=True)
        self._work = Container(id="work")

    def compose(self) -> ComposeResult:
        """Lay the bench out."""
        yield self._header
        with Container(id="body"):
            yield self._route
            with self._work:
                yield self._steps
                yield self._table
                yield self._last_steps
                yield self._strip
        yield KeyLine(BENCH)
        yield TooSmall()

    def on_mount(self) -> None:
        """Begin at what is to be done next."""
        self.set_interval(POLL, self.poll)
        self.call_after_refresh(self.begin)

    def begin(self) -> None:
        """Ask who is there when nobody is, else go where the next thing is to be done."""
        rules = self.hand.state.plan.rules
        if rules.gauges or rules.mastering:
            self.hand.counsel.shop.load()
        self._route.look(self.hand.state)
        self.hand.follow()
        self.paint()
        if self._stop:
            self.action_stop()
        elif self.hand.next.now is Now.CAUTION or (self.hand.next.now is Now.COME_ON and not self._who_asked):
            self.answer_what_is_next()
        self.post_message(self.Begun(self))

    def on_resize(self) -> None:
        """Lay out for the new size; what is typed stays."""
        self.call_after_refresh(self.paint)

    def paint(self) -> None:
        """Show everything as it stands now; each part paints only what changed."""
        hand = self.hand
        route, table = self._route, self._table
        if self._shown != hand.operation_id:
            self._shown = hand.operation_id
            table.turn_to(hand.state, hand.operation)
        now = hand.next.place if hand.next.operation == hand.operation_id else ""
        if not self._saving:
            self.share_columns(route, table)
        standing = next((s for s in route.standings if s.operation == hand.operation_id), None)
        self._header.show(hand, standing)
        route.show(hand.operation_id, hand.next.operation)
        live = hand.live()
        table.show(hand.spot, hand.typed, now, live)
        if self._saving:
            # What is saved is seen before room is shared anew and the lines for the next figure are made, which are as
            # much work again.
            paint_now(self)
            self.call_later(self._paint_next)
        else:
            self._paint_hand(live)

    def _paint_next(self) -> None:
        self.share_columns(self._route, self._table)
        self._paint_hand(self.hand.live())
        paint_now(self)

    def _paint_hand(self, live: Live) -> None:
        self._share_lines()
        self._paint_strip(live)
        self.paint_views(live)

    def _paint_strip(self, live: Live | None = None) -> None:
        hand, face = self.hand, self._table.face
        neighbours = face.values(hand.spot) if face is not None and hand.spot is not None else []
        self._strip.show(hand, live or hand.live(), neighbours)

    def _share_lines(self) -> None:
        """Share the lines there are between the steps and the table: places come first, the step at hand stays."""
        hand, table, strip = self.hand, self._table, self._strip
        steps, last = self._steps, self._last_steps
        columns, lines = self.size
        work = self._work.size.width or columns
        most = MOST_ROOMY if lines >= BESIDE[1] else MOST_LINES
        strip_lines = lines_wanted(hand, work, lines, figures=not self.view)
        room = lines - 4 - strip_lines - (1 if columns < ROUTE_BESIDE else 0)
        wanted = Shares(
            steps.look(hand.state, hand.operation, hand.spot, work, most),
            table.wanted(work),
            last.look(hand.state, hand.operation, hand.spot, work, most),
        )
        before, high, after = shares(wanted, room, hand.step, steps.lead)
        gap = 1 if before and high and before + high + after < room else 0
        for widget, height in ((steps, before), (table, high), (last, after), (strip, strip_lines + 1)):
            if widget.styles.height is None or widget.styles.height.value != height:
                widget.styles.height = height
        if table.styles.margin.top != gap:
            table.styles.margin = (gap, 0, 0, 0)
        steps.show(before)
        last.show(after)

    def poll(self) -> None:
        """Take in what other terminals recorded; what is typed here stays."""
        found = self.hand.refresh()
        if found:
            self.took(found)
        if self.take_only_gauge() or found:
            self.paint()
        elif self.hand.bad or self.hand.to_go() is not None or self.hand.gauge is not None:
            self._paint_strip()

    def took(self, entries: Sequence[Entry]) -> None:
        """Take in entries that were recorded, here or elsewhere."""
        hand = self.hand
        self._table.look(hand.state, _places(entries, hand.operation_id))
        self._route.look(hand.state)

    def on_key(self, event: events.Key) -> None:
        """Take characters for the reading at hand, and the keys that must keep their order with them."""
        character = "." if event.key == "decimal" else event.character
        self._lone.end(typed_on=character is not None and character.isprintable())
        if self._passes_by(event, character):
            action = "none"
        elif event.key == "ctrl+j":  # the line feed with which some gauges end a figure
            action = "enter" if self.hand.typed else "none"
        elif character is not None and character.isprintable() and self._is_entry(character):
            action = "take"
        elif self._keeps(event.key) and character is not None:
            self._lone.begin(character, self.hand.keep)
            action = "none"
        else:
            action = _AT_ONCE.get(event.key, "")
        if not action:
            return
        event.stop()
        event.prevent_default()
        if action == "take" and character is not None:
            apart = self.hand.arrivals.is_apart(event.time)
            self.hand.arrivals.key(event.time)
            self.take(character, apart=apart)
        elif action == "enter" and self.hand.typed:
            self._saving = True
            self.came(self.hand.enter(event.time))
            self._saving = False
        elif action != "none":
            getattr(self, f"action_{action}")()
        paint_now(self)
        self._rest.begin()

    def _work_ahead(self) -> None:
        hand = self.hand
        state = hand.work_ahead()
        if state is not None and hand.spot is not None:
            self._table.look_ahead(state, hand.spot.place)

    def _passes_by(self, event: events.Key, character: str | None) -> bool:
        """Tell whether a key is the rest of what was taken or asked about before."""
        if self._tail.lets_pass(event.key, character):
            return True
        if event.key == "ctrl+j" and self.hand.arrivals.ends_line(event.time):
            return True
        sent = event.key in {"enter", "ctrl+j"} or (character is not None and character.isprintable())
        if sent and self.hand.runs_on(event.time):
            self._paint_strip()
            return True
        return False

    def _is_entry(self, character: str) -> bool:
        hand = self.hand
        if hand.reading is None:
            return hand.step is not None and (bool(hand.typed) or character not in {" ", "?", "[", "]"})
        is_text = hand.reading.sort is Sort.TEXT
        if character == "?":
            return is_text and bool(hand.typed)
        if hand.typed:
            return hand.doubt is None or not (character == " " or self._keeps(character))
        return character not in ({" "} if is_text else {" ", "[", "]"})

    def take(self, text: str, *, apart: bool = False) -> None:
        """Add to what is typed; an answer of one key is saved at once, if it is one that passes.

        `apart` tells that a key came too late to be of one burst with what is typed.
        """
        hand = self.hand
        hand.type(text, apart=apart)
        word = hand.answered()
        if word and hand.passes(word):
            self._tail.begin("" if hand.typed.isdigit() else word[1:])
            self.came(hand.enter())
            return
        self._typed()

    def _typed(self) -> None:
        """Paint what a key changes and nothing else: the cell, the strip, and whether it is saved."""
        hand = self.hand
        now = hand.next.place if hand.next.operation == hand.operation_id else ""
        live = hand.live()
        self._table.show(hand.spot, hand.typed, now, live)
        self._paint_strip(live)
        self.paint_views(live, typing=True)
        standing = next((s for s in self._route.standings if s.operation == hand.operation_id), None)
        self._header.show(hand, standing)

    def on_paste(self, event: events.Paste) -> None:
        """Take pasted text: each line is a reading, entered one after the other while nothing asks for an answer."""
        event.stop()
        lines = event.text.splitlines()
        saved = 0
        self.hand.arrivals.forget()
        for number, line in enumerate(lines):
            if self.hand.spot is None or self.app.screen is not self:
                break
            self.hand.type("".join(c for c in line if c.isprintable()))
            if number < len(lines) - 1 or event.text.endswith("\n"):
                came = self.hand.enter()
                self.came(came)
                if not came.entries:
                    break
                saved += 1
        if len(lines) > 1:
            told = f"{saved} of {len(lines)} lines are saved."
            self.hand.say = f"{told} {self.hand.say}".strip()
            top = self.app.screen
            if isinstance(top, Card):
                top.call_after_refresh(top.say, f"{told} The others are not taken: this comes first.")
        self.paint()

    def on_table_picked(self, message: Table.Picked) -> None:
        """Take the spot that was clicked in hand."""
        self._pick(message.spot)

    def on_steps_picked(self, message: Steps.Picked) -> None:
        """Take the step that was clicked in hand."""
        self._pick(message.spot)

    def _pick(self, spot: Spot) -> None:
        if self._may_move():
            self.hand.pick(spot)
            self.paint()

    def on_route_picked(self, message: Route.Picked) -> None:
        """Look at the operation that was clicked."""
        if self._may_move():
            self.hand.look_at(message.operation)
            self.paint()

    def action_enter(self) -> None:
        """Save what is typed; where nothing is, answer what the line asks for. It never ticks a step."""
        hand = self.hand
        if not hand.typed:
            if self.answer_what_is_next():
                return
            if hand.next.now is Now.SCRAPPED:
                hand.tell(f"{hand.next.say} {sign_in(BENCH, 'jobs')} goes to the list of jobs.")
                self.paint()
                return
            if hand.step is not None and hand.spot is not None and hand.is_written(hand.spot):
                self.action_next_up()
                return
        self.came(hand.enter())

    def action_tick(self) -> None:
        """Tick the step, or take the figure that is offered for a doubtful one."""
        hand = self.hand
        if hand.doubt is not None and hand.doubt.offer is not None:
            self._lone.begin(" ", hand.take_offer)
        elif hand.step is not None:
            self._lone.begin(" ", hand.tick)

    def action_keep(self) -> None:
        """Keep the figure that is questioned."""
        if self.hand.doubt is not None:
            self.came(self.hand.keep())

    def _keeps(self, key: str) -> bool:
        """Tell whether a key that types something keeps the figure at hand, which is questioned."""
        return self.hand.doubt is not None and key in in_use(KEEP).keys.split(",")

    def action_clear(self) -> None:
        """Clear what is typed; where nothing is, put the table back in place of a view."""
        if self.view and not self.hand.typed:
            self.end_view()
            return
        self.hand.clear()
        self.paint()

    def action_rub(self) -> None:
        """Rub out the last character."""
        self.hand.rub()
        self._typed()


def _places(entries: Sequence[Entry], operation: str) -> set[str] | None:
    """Give the places of an operation that entries touch, None where they may touch any: then all is looked at."""
    places: set[str] = set()
    for event in (entry.event for entry in entries):
        if isinstance(event, _AT_A_PLACE) and event.operation == operation:
            places.add(event.place)
        elif not isinstance(event, ReadingStruck):
            return None
    return places or None
