"""What is typed at the bench, what it would mean and come to, and the line of talk about it. No screen in here."""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

from msgspec.structs import replace

from headwright.job.arrivals import TWO, Arrivals
from headwright.job.entry import Entered, Misread, entered
from headwright.job.events import ReadingTaken
from headwright.job.figures import Bench
from headwright.job.half_typed import half_typed
from headwright.job.unfinished import NOT_FINISHED
from headwright.procedure.plan import Sort
from headwright.terminal.bench.doubts import answers
from headwright.terminal.bench.looking import Looking

if TYPE_CHECKING:
    from headwright.job.blocks import Block
    from headwright.job.figures import Figure
    from headwright.job.slips import Doubt
    from headwright.procedure.plan import Reading
    from headwright.store.desk import Clock, Desk
    from headwright.terminal.bench.counsel import Counsel

AFTER_IT = " What was sent after it is not taken."
LONGEST = 200
"""Characters that may be typed in one entry."""


class Live(NamedTuple):
    """What the typed text would mean and come to, before it is entered.

    Of a figure that is only `begun`, it is nothing yet: the figures are those on record.
    """

    read: Entered | Misread | None
    figures: tuple[Figure, ...]
    begun: bool = False


class Typing(Looking):
    """Where the hand is, the text being typed there, and one line of talk; nothing is recorded from here.

    Args:
        desk: the job.
        counsel: knows the shop's tags.
        clock: tells the time.
    """

    def __init__(self, desk: Desk, counsel: Counsel, clock: Clock) -> None:
        super().__init__(desk, clock)
        self.counsel = counsel
        self.typed = ""
        self.over = 0
        self.arrivals = Arrivals()
        self.doubt: Doubt | None = None
        self._refused = False
        self._warned = False
        self.say = ""
        self.bad = False
        self.blocks: tuple[Block, ...] = ()

    def type(self, text: str, *, apart: bool = False) -> None:
        """Add to what is typed; the reading that is there when typing begins is the one that it would replace.

        After a figure that was not taken as it stands, the next one begins, but for one that is not finished; rubbing
        out goes on with the old one. A figure begins, too, after letters alone, where its first character comes
        `apart` from them: they were meant for a card that was gone already, and no scanner sends a tag so slowly.
        """
        doubted = self.doubt is not None and self.doubt.slip != NOT_FINISHED
        stray = apart and self.typed.isalpha() and (text == "." or text.isdecimal()) and self._is_number_here()
        if not self.typed or self._refused or doubted or stray or self._answers_anew(text):
            self.typed = ""
            self.over = self._number_here()
        self.typed = (self.typed + text)[:LONGEST]
        self.tell("")

    def _is_number_here(self) -> bool:
        return self.reading is not None and self.reading.sort is Sort.NUMBER

    def _answers_anew(self, text: str) -> bool:
        """Tell whether a key begins the other answer to yes or no: it goes on with nothing that may be answered."""
        if self.reading is None or self.reading.sort is not Sort.YES_NO:
            return False
        whole, alone = (self.typed + text).lower(), text.lower()
        choices = self.choices()
        return not any(word.startswith(whole) for word in choices) and any(word.startswith(alone) for word in choices)

    def unsaved(self) -> str:
        """Say that what is typed is not saved, and which key does what with it."""
        text = self.typed[:40].strip()
        read = self.live().read
        if isinstance(read, Misread):
            return f"Not saved: {read.say} Esc clears it."
        keys = "Enter enters it, Esc clears it." if self.reading is not None else "Esc clears it."
        return f"'{text}' is not saved yet: {keys}"

    def _number_here(self) -> int:
        spot = self.spot
        if spot is None or spot.point is None:
            return 0
        taken = self.state.writing(self.operation_id, spot.place).readings.get(spot.point)
        return taken.number if taken is not None else 0

    def rub(self) -> None:
        """Rub out the last character."""
        self.typed = self.typed[:-1]
        self.tell("")

    def clear(self) -> None:
        """Clear what is typed."""
        self.typed = ""
        self.arrivals.forget()
        self.tell("")

    def tell(self, say: str, *, bad: bool = False, blocks: tuple[Block, ...] = ()) -> None:
        """Say something on the line of talk; what was asked before is gone with it."""
        self.say, self.bad, self.blocks = say, bad, blocks
        self.doubt = None
        self._refused = False
        self._warned = False

    def live(self) -> Live:
        """Work out what the typed text would mean and come to."""
        spot, reading = self.spot, self.reading
        if spot is None or reading is None or spot.point is None:
            return Live(None, ())
        read = self._read(reading) if self.typed else None
        typed = {spot.point: read.value} if isinstance(read, Entered) and read.value is not None else None
        state = self.state.written(self.operation_id, spot.place)
        figures = Bench(state, self.operation, spot.place, typed).figures()
        missing = half_typed(self.typed, reading, self.state.plan, self.window()) if self.typed else 0
        # The last digit may be a nought that is left out by habit: what passes is shown without it.
        if missing > 1 or (missing and (typed is None or any(figure.verdict.fails for figure in figures))):
            return Live(None, Bench(state, self.operation, spot.place).figures() if typed else figures, begun=True)
        return Live(read, figures)

    def _read(self, reading: Reading) -> Entered | Misread:
        window = self.window()
        check = self.gauge.check if self.gauge is not None else None
        master = check.size if check is not None else None
        return entered(
            self.typed,
            reading,
            self.state.plan,
            window=window,
            master=master,
            choices=self.choices(),
            tags={self.state.job, self.state.tag, *self.counsel.shop.tags},
        )

    def answered(self) -> str:
        """Give the word that the one key typed so far stands for, empty when there is more to type."""
        reading, choices, typed = self.reading, self.choices(), self.typed
        if reading is None or len(typed) != 1 or not choices:
            return ""
        if reading.sort is Sort.YES_NO:
            return next((word for word in choices if word[0] == typed.lower()), "")
        if typed.isdigit() and len(choices) <= 9 and not any(word[:1].isdigit() for word in choices):
            return choices[int(typed) - 1] if 1 <= int(typed) <= len(choices) else ""
        return ""

    def passes(self, word: str) -> bool:
        """Tell whether a word passes as an answer to the reading at hand: it holds nothing and stops nothing."""
        reading = self.reading
        return reading is None or not reading.accept or word in reading.accept

    def _wanted(self, typed: str, unit: str, value: float | None, word: str = "") -> ReadingTaken | None:
        """Give the reading that a figure or word would be at the spot at hand; None where none is taken there."""
        spot, reading = self.spot, self.reading
        if spot is None or reading is None or spot.point is None:
            return None
        _, station, angle = spot.point
        return ReadingTaken(
            self.operation_id, spot.place, reading.name, typed, unit, value, word, station=station, angle=angle
        )

    def _beside(self, wanted: ReadingTaken) -> ReadingTaken:
        """Give a reading with the figure that it stands beside or replaces, and the gauge that it is read with."""
        gauge, beside = self.gauge, self.repeated()
        repeats = beside is not None and beside.number == self.over
        return replace(wanted, over=self.over, repeat=repeats, gauge=gauge.gauge if gauge is not None else "")

    def runs_on(self, at: float) -> bool:
        """Tell whether a key at a time (monotonic s) is of what a cable goes on sending after a figure asked about."""
        if self.doubt is None or self.doubt.slip != TWO or not self.arrivals.runs_on(at):
            return False
        if not self.say.endswith(AFTER_IT):
            self.say += AFTER_IT
        return True

    def _question(self, doubt: Doubt) -> None:
        self.tell(f"{doubt.say} {self._answers(doubt)}", bad=True)
        self.doubt = doubt

    def _answers(self, doubt: Doubt) -> str:
        reading = self.reading
        read = self._read(reading) if reading is not None else None
        if reading is None or not isinstance(read, Entered) or read.value is None:
            return ""
        return answers(self.state.plan, reading, read.value, doubt)
