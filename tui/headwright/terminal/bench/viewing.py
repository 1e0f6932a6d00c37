"""The drawn views at the bench: the head map, the profile of a bore, the figure in large digits, the trends."""

from __future__ import annotations

from typing import TYPE_CHECKING

from textual.containers import Container

from headwright.job.entry import Entered
from headwright.job.events import ReadingTaken
from headwright.job.turn import position_in_turn
from headwright.terminal.bench.moving import MovingScreen
from headwright.terminal.bench.spots import places_here
from headwright.terminal.bench.widths import ROUTE_BESIDE, Widths, widths
from headwright.terminal.keyline import KeyLine
from headwright.terminal.keys import BENCH
from headwright.terminal.small import BESIDE

if TYPE_CHECKING:
    from collections.abc import Sequence

    from textual.timer import Timer
    from textual.widget import Widget

    from headwright.job.events import Entry
    from headwright.terminal.bench.hand import Came, Hand
    from headwright.terminal.bench.route import Route
    from headwright.terminal.bench.table import Table
    from headwright.terminal.bench.typed import Live
    from headwright.terminal.keys import Key
    from headwright.terminal.views.big_panel import BigPanel
    from headwright.terminal.views.map_panel import MapPanel
    from headwright.terminal.views.profile_panel import ProfilePanel

AFTER = 0.03
"""Seconds until map and profile follow: called after a refresh, they would still come before what they follow."""
VIEWS = ("large", "profile")
"""What can stand in place of the table while one goes on typing; each is the id of its key too."""


class ViewingScreen(MovingScreen):
    """A bench with views, of which each is built when it is first wanted."""

    def __init__(self, hand: Hand) -> None:
        super().__init__(hand)
        self.view = ""
        """What stands in place of the table: one of `VIEWS`, or nothing."""
        self._large: BigPanel | None = None
        self._saved: Entry | None = None
        self._profile: ProfilePanel | None = None
        self._side: tuple[MapPanel, ProfilePanel] | None = None
        self.side: Container | None = None
        """What map and profile stand in beside the table, once there was room for them."""
        self._widths = Widths(0, 0)
        self._following: Timer | None = None
        self._map_behind = False

    @property
    def keys_here(self) -> tuple[Key, ...]:
        """The keys of the bench; the one that ends a view comes first while there is one."""
        ends = [key._replace(label="back", rank=1) for key in BENCH if key.id == self.view]
        return (*ends, *(key for key in BENCH if key.id != self.view))

    def action_map(self) -> None:
        """Show the head map, and go to the valve that is picked there."""
        from headwright.terminal.views.map_panel import MapScreen  # noqa: PLC0415 - on first use

        hand = self.hand
        screen = MapScreen(hand.state, hand.operation_id, hand.place_at_hand(), self._next_place())
        self.app.push_screen(screen, lambda picked: None if picked is None else self.go_to(picked.place))

    def action_trends(self) -> None:
        """Show the finished bores in their limits, and how balls sprang back."""
        from headwright.terminal.views.trends_screen import TrendsScreen  # noqa: PLC0415 - on first use

        self.app.push_screen(TrendsScreen(self.hand.state, self.hand.counsel.store))

    def action_profile(self) -> None:
        """Put the profile of the bore in place of the table, or the table back."""
        self._turn_view("profile")

    def action_large(self) -> None:
        """Put the figure in large digits in place of the table, or the table back."""
        self._turn_view("large")

    def came(self, came: Came) -> None:
        """Go on from what came of something; at arm's length the figure that was saved stays until the next key."""
        if came.entries:
            self._saved = saved_here(came.entries, self.hand.terminal)
            self._keep_large()
        super().came(came)

    def _keep_large(self) -> None:
        """Let the figure that was saved last stay in large digits, as long as nobody went elsewhere since."""
        if self._large is not None:
            self._large.keep(self._saved if self.view == "large" else None)

    def _may_move(self) -> bool:
        may = super()._may_move()
        if may:
            self._saved = None
            self._keep_large()
        return may

    def end_view(self) -> None:
        """Put the table back."""
        self._turn_view(self.view)

    def _turn_view(self, view: str) -> None:
        self.view = "" if self.view == view else view
        self._keep_large()
        for each in VIEWS:
            self.set_class(self.view == each, f"-{each}")
        self.query_one(KeyLine).show(self.keys_here)
        self.paint()
        self.call_after_refresh(self.paint)  # once more for the lines that there are now

    def on_map_panel_picked(self, message: MapPanel.Picked) -> None:
        """Go to the valve that was clicked on the map beside the table."""
        self.go_to(message.place)

    def go_to(self, place: str) -> None:
        """Take in hand what is to be written down first at a place of the operation looked at.

        Args:
            place: its id; where the operation does nothing there, that is said.
        """
        hand = self.hand
        if not self._may_move():
            return
        spots = [spot for row in hand.rows for spot in row if spot.place == place]
        if place not in places_here(hand.state, hand.operation) or not spots:
            hand.tell(f"'{hand.operation.title}' has nothing to write down there.")
        else:
            hand.pick(next((spot for spot in spots if not hand.is_written(spot)), spots[0]))
        self.paint()

    def _next_place(self) -> str:
        hand = self.hand
        return hand.next.place if hand.next.operation == hand.operation_id else ""

    def paint_views(self, live: Live, *, typing: bool = False) -> None:
        """Show what is at hand in the views that are there.

        Args:
            live: what the typed text would mean and come to.
            typing: nothing but the typed text has changed.
        """
        if self.view == "large":
            self._large_panel().show(self.hand, live)
        elif self.view == "profile":
            self._draw_profile(self._profile_panel(), live)
        columns, lines = self.size
        if self.view != "large" and columns >= BESIDE[0] and lines >= BESIDE[1]:
            self._side_panels()
            self._map_behind = self._map_behind or not typing
            if self._following is None:
                self._following = self.set_timer(AFTER, self._follow)

    def _follow(self) -> None:
        """Let map and profile follow the table, of which they show the same: a frame later, once for many keys."""
        self._following = None
        columns, lines = self.size
        if self._side is None or self.view == "large" or columns < BESIDE[0] or lines < BESIDE[1]:
            return
        hand = self.hand
        drawn_map, profile = self._side
        if self.view != "profile":
            self._draw_profile(profile, hand.live())
        profile.display = self.view != "profile" and profile.bore is not None
        if self._map_behind:
            self._map_behind = False
            drawn_map.show(hand.state, hand.operation_id, hand.place_at_hand(), self._next_place())

    def _draw_profile(self, panel: ProfilePanel, live: Live) -> None:
        hand, spot = self.hand, self.hand.spot
        position = position_in_turn(hand.state, hand.operation, hand.place_at_hand())
        point = spot.point if spot is not None and spot.place == position else None
        typed = None
        if point is not None and isinstance(live.read, Entered) and live.read.value is not None:
            typed = {point: live.read.value}
        panel.show(hand.state, hand.operation, position, typed, point)

    def _large_panel(self) -> BigPanel:
        if self._large is None:
            from headwright.terminal.views.big_panel import BigPanel  # noqa: PLC0415 - on first use

            self._large = BigPanel(id="large")
            self._keep_large()
            self._mount(self._large, "#work")
        return self._large

    def _profile_panel(self) -> ProfilePanel:
        if self._profile is None:
            from headwright.terminal.views.profile_panel import ProfilePanel  # noqa: PLC0415 - on first use

            self._profile = ProfilePanel(id="profile")
            self._mount(self._profile, "#work")
        return self._profile

    def _side_panels(self) -> tuple[MapPanel, ProfilePanel]:
        if self._side is None:
            from headwright.terminal.views.map_panel import MapPanel  # noqa: PLC0415 - on first use
            from headwright.terminal.views.profile_panel import ProfilePanel  # noqa: PLC0415 - on first use

            self._side = MapPanel(id="side-map"), ProfilePanel(id="side-profile")
            self.side = Container(*self._side, id="side")
            self._mount(self.side, "#body")
        return self._side

    def share_columns(self, route: Route, table: Table) -> None:
        """Share the columns there are between the route, the work and what stands beside it."""
        columns, lines = self.size
        beside = columns >= BESIDE[0] and lines >= BESIDE[1] and self.view != "large"
        found = widths(columns, table.whole, route.whole, side=beside) if columns >= ROUTE_BESIDE else Widths(0, 0)
        if found == self._widths and (self.side is None or self.side.styles.inline.has_rule("width") or not found.side):
            return
        self._widths = found
        for widget, width in ((route, found.route), (self.side, found.side)):
            if widget is not None and width:
                widget.styles.width = width
            elif widget is not None:
                widget.styles.clear_rule("width")
        self.call_after_refresh(self.paint)  # once more for the columns that there are then

    def _mount(self, widget: Widget, into: str) -> None:
        """Put a view on the screen, and paint once it has its size."""
        self.query_one(into).mount(widget)
        self.call_after_refresh(self.paint)


def saved_here(entries: Sequence[Entry], terminal: str) -> Entry | None:
    """Give the entry of the figure that was recorded at this terminal last, None where these have none."""
    mine = (e for e in reversed(entries) if e.terminal == terminal and isinstance(e.event, ReadingTaken))
    return next(mine, None)
