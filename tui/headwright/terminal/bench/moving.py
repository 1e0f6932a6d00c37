"""Going about on the bench: to other places, points and operations, while nothing typed would be lost."""

from __future__ import annotations

from headwright.terminal.bench.deciding import DecidingScreen


class MovingScreen(DecidingScreen):
    """A bench whose hand goes about."""

    def _may_move(self) -> bool:
        """Tell whether the hand may go elsewhere: not while something typed would be lost without a word."""
        hand = self.hand
        if hand.typed:
            hand.tell(hand.unsaved())
            self.paint()
            return False
        return True

    def _move(self, down: int, right: int) -> None:
        if self._may_move():
            self.hand.move(down, right)
            self.paint()

    def action_up(self) -> None:
        """Go to the place above."""
        self._move(-1, 0)

    def action_down(self) -> None:
        """Go to the place below."""
        self._move(1, 0)

    def action_left(self) -> None:
        """Go to the point before."""
        self._move(0, -1)

    def action_right(self) -> None:
        """Go to the next point."""
        self._move(0, 1)

    def action_page_up(self) -> None:
        """Go to the first place."""
        self._move(-len(self.hand.rows), 0)

    def action_page_down(self) -> None:
        """Go to the last place."""
        self._move(len(self.hand.rows), 0)

    def _turn(self, by: int) -> None:
        if self._may_move():
            self.hand.turn(by)
            self.paint()

    def action_later(self) -> None:
        """Look at the next operation."""
        self._turn(1)

    def action_earlier(self) -> None:
        """Look at the operation before."""
        self._turn(-1)

    def action_next_up(self) -> None:
        """Go back to what is to be done next."""
        if self._may_move():
            self.hand.clear()
            self.hand.go_home()
            self.paint()
