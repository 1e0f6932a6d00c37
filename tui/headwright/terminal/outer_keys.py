"""The keys of the cards, of the jobs board and of the screens that open a job; declared once, as those of the bench."""

from __future__ import annotations

from typing import NamedTuple

from headwright.terminal.keys import BENCH, EVERYWHERE, KIT, SUMS, Key
from headwright.terminal.views.view_keys import MAP, TRENDS

LEAVE = Key("card_leave", "escape", "Esc", "leave", "Leave the card; everything stays as it is.", 9)

STOP = Key(
    "app.stop", "f6", "F6", "stop", "Stop the whole head with a reason, or let a lead resume it; from any screen."
)
"""Stops a head from any screen; a card stays as it was underneath."""

CARD = (LEAVE,)
"""Every card."""

FURTHER = Key("card_further", "pagedown,space", "PgDn", "further", "Read on where there is more below.", 2)

TEXT = (FURTHER, LEAVE)
"""A card with a text to read."""

NUMBER = Key("card_number", "1,2,3,4,5,6,7,8,9", "1–9", "choose", "Go to the choice with this number.", 1)
CHOICES = (
    NUMBER,
    Key("card_settle", "enter", "Enter", "take it", "Take the choice, and go to the line for the reason.", 2),
    Key("card_further", "pagedown", "PgDn", "further", "Read on where there is more below; the choice stays.", 3),
    LEAVE,
)
"""A card with numbered choices."""

REASON = (
    Key("card_settle", "enter", "Enter", "settle it", "Settle the choice with the reason that stands there.", 1),
    Key("card_further", "pagedown", "PgDn", "further", "Read on where there is more above; the choice stays.", 2),
    LEAVE._replace(label="the choices", tooltip="Go back to the choices."),
)
"""The same card on the line for the reason."""

LONG_WORK = (LEAVE._replace(label="give it up", tooltip="Stop at the next step; nothing of it is kept."),)
"""A card that shows how far some work is."""

LINE = (Key("card_settle", "enter", "Enter", "give it", "Give what stands on the line.", 1), LEAVE)
"""A card with one line to type."""

CAUTION = (
    Key(
        "card_read",
        "a",
        "a",
        "I have read it",
        "Acknowledge the caution for this shift; it counts only when no other key comes with it.",
        1,
    ),
    FURTHER,
    LEAVE,
)
"""The caution card: a letter acknowledges, for Enter is what a gauge sends."""

FIRST_PIECE = (
    Key("card_read", "a", "a", "let them follow", "The others follow the first piece; counts only by itself.", 1),
    FURTHER,
    LEAVE,
)
"""The card of a first piece."""

HANDOVER = (
    Key("card_read", "a", "a", "that is how it stands", "Acknowledge how the job stands; counts only by itself.", 1),
    FURTHER,
    LEAVE,
)
"""The card on which the bench is handed over."""

WHO = (
    Key("card_number", "1,2,3,4,5,6,7,8,9", "1–9", "choose", "Go to the person with this number.", 1),
    Key(
        "card_settle",
        "enter",
        "Enter",
        "that is me",
        "Take over this terminal, or come on, as the person of this line.",
        2,
    ),
    Key("card_off", "g", "g", "go off", "The person of this line goes off; their shift ends.", 3),
    LEAVE,
)
"""The card of who is at the bench."""

WHO_FORM = (
    Key("card_settle", "enter", "Enter", "next", "Go to the next line of the form; after the role, come on.", 1),
    Key("card_number", "1,2,3", "1–3", "role", "Go to the role with this number.", 2),
    Key("card_leave", "escape", "Esc", "back", "Go back to the people who were here before, or leave.", 9),
)
"""The same card while it asks for somebody who was not here before."""

GAUGE = (
    Key("card_number", "1,2,3,4,5,6,7,8,9", "1–9", "choose", "Go to the gauge or ring with this number.", 1),
    Key("card_settle", "enter", "Enter", "take it", "Take the gauge or ring.", 2),
    Key("card_other", "ctrl+r", "Ctrl+R", "another", "Back to the choice of rings, and from there to the gauges.", 3),
    LEAVE,
)
"""The card of gauges."""

GAUGE_LINE = (
    Key("card_settle", "enter", "Enter", "give it", "Give what is typed.", 1),
    Key("card_other", "ctrl+r", "Ctrl+R", "another", "Back to the choice of rings, and from there to the gauges.", 2),
    LEAVE,
)
"""The same card on the line for a figure or a name."""

PICK = (
    NUMBER,
    Key("card_settle", "enter", "Enter", "take it", "Take the choice.", 2),
    LEAVE,
)
"""A card with choices and nothing else."""

TOOL = (
    Key("card_number", "1,2,3,4,5,6,7,8,9", "1–9", "choose", "Go to the tool with this number.", 1),
    Key("card_settle", "enter", "Enter", "take it", "Take the tool.", 2),
    LEAVE,
)
"""The card of tools."""

TOOL_LINE = (Key("card_settle", "enter", "Enter", "next", "Go to the next line; from the last, give both.", 1), LEAVE)
"""The same card on its lines."""

HELP = Key(
    "help", "f1", "F1", "help", "Every key, and how to begin.", 5, "keys keyboard manual limits spec clearance how"
)
QUIT = Key(
    "app.leave",
    "ctrl+c",
    "Ctrl+C",
    "leave",
    "Leave the program; everything that says saved is kept.",
    6,
    "quit exit close end",
)

JOBS = (
    Key("open_job", "enter", "Enter", "open", "Open the job at hand.", 1),
    Key("new_job", "n", "n", "new job", "Put down a new job for a head.", 2),
    Key(
        "find_job", "slash", "/", "find", "Show the jobs with what is typed; other letters and digits begin it too.", 3
    ),
    Key("sample_job", "f9", "F9", "sample", "Open the sample job; it is brought in where it is not there yet.", 4),
    HELP,
    QUIT,
    STOP,
    KIT,
    Key(
        "all_jobs",
        "escape",
        "Esc",
        "back",
        "Show every job again; once more, go back to the job that was left for the list.",
    ),
    Key("job_up", "up", "↑", "up", "The job above."),
    Key("job_down", "down", "↓", "down", "The job below."),
    Key("jobs_up", "pageup", "PgUp", "page up", "A page up."),
    Key("jobs_down", "pagedown", "PgDn", "page down", "A page down."),
    SUMS,
    *EVERYWHERE,
)
"""The jobs board."""

KIT_KEYS = (
    Key("kit_page_down", "pagedown,space", "PgDn", "further", "A page down.", 1),
    Key("kit_page_up", "pageup", "PgUp", "page up", "A page up.", 2),
    Key("read_again", "r", "r", "read again", "Read the kit's file again, as it is now.", 3),
    HELP,
    Key("card_leave", "escape", "Esc", "leave", "Go back.", 9),
    Key("kit_down", "down", "↓", "down", "A line down."),
    Key("kit_up", "up", "↑", "up", "A line up."),
    *EVERYWHERE,
)
"""The shop's kit."""

FIRST_START = (
    Key("card_number", "1,2,3", "1–3", "choose", "Go to the choice with this number.", 1),
    Key("card_settle", "enter", "Enter", "take it", "Take the choice.", 2),
    HELP,
    LEAVE,
)
"""The question of a shop without a job."""

NEW_JOB = (
    Key("next_field", "tab,enter", "Tab", "next", "Go to the next field.", 1),
    Key("create_job", "f2,f10", "F2", "open this job", "Open the job as it is put down here.", 2),
    HELP,
    Key("card_leave", "escape", "Esc", "leave", "Leave without a new job.", 9),
)
"""The screen of a new job."""

SUMS_KEYS = (
    Key("next_figure", "down,enter", "Enter", "next", "Go to the next figure; from the list, to the first.", 1),
    Key("other_system", "f2", "F2", "mm/in", "Answer in the other system; what is typed keeps its meaning.", 2),
    Key("example", "f3", "F3", "example", "Fill empty figures in with those of an example.", 3),
    Key("clear_figures", "f4", "F4", "clear", "Clear the figures of this sum.", 4),
    Key("help", "f1", "F1", "help", "Every key, and how to begin.", 5),
    Key("back", "escape", "Esc", "back", "Go from the figures to the list; from the list, leave.", 6),
    Key("last_figure", "up", "↑", "up", "The figure above; in the list, the sum above."),
    Key("sum_after", "pagedown", "PgDn", "next sum", "The next sum of the list."),
    Key("sum_before", "pageup", "PgUp", "last sum", "The sum above in the list."),
    *EVERYWHERE,
)
"""The screen of the sums; letters typed over the list narrow it."""

HELP_CARD = (
    Key("help_words", "w", "w", "words", "The words of the trade, with search.", 1),
    Key("help_commands", "c", "c", "commands", "Everything that can be done on the screen below, with search.", 2),
    Key("help_look", "l", "l", "colours", "Dark, light or high contrast; full or plain signs.", 3),
    *TEXT,
)
"""The help."""

SEARCH = (
    Key("found_take", "enter", "Enter", "take it", "Take the line at hand.", 1),
    Key("found_down", "down", "↓", "below", "The line below.", 2),
    Key("found_up", "up", "↑", "above", "The line above.", 3),
    Key("found_page_down", "pagedown", "PgDn", "page down", "A page down."),
    Key("found_page_up", "pageup", "PgUp", "page up", "A page up."),
    LEAVE,
)
"""A card that is searched while one types."""

LOOK_CARD = (
    Key("card_number", "1,2,3,4,5", "1–5", "choose", "Go to the choice with this number.", 1),
    Key("card_settle", "enter", "Enter", "take it", "Take the choice; it is kept for the next start.", 2),
    LEAVE,
)
"""The card of colours and signs."""


def numbered(keys: tuple[Key, ...], sign: str) -> tuple[Key, ...]:
    """Give the keys of a card as its line shows them where these are the numbers that choose: `1–4` and not `1–9`."""
    return tuple(key._replace(sign=sign) if key.id == NUMBER.id else key for key in keys)


class Group(NamedTuple):
    """The keys of one screen or card.

    `line` tells whether figures or words are typed there; `free` are the signs that are never part of them.
    """

    title: str
    keys: tuple[Key, ...]
    line: bool = False
    free: frozenset[str] = frozenset()


GROUPS = (
    Group(
        "The bench",
        BENCH,
        line=True,
        free=frozenset({"question_mark", "left_square_bracket", "right_square_bracket"}),
    ),
    Group("The list of jobs", JOBS),
    Group("A new job", NEW_JOB, line=True),
    Group("The kit", KIT_KEYS),
    Group("The sums", SUMS_KEYS, line=True),
    Group("Every card", TEXT),
    Group("A card with choices", CHOICES),
    Group("Work that takes a while", LONG_WORK),
    Group("A reason for a choice", REASON, line=True),
    Group("A card with a line to type", LINE, line=True),
    Group("A caution", CAUTION),
    Group("A first piece", FIRST_PIECE),
    Group("Handing over", HANDOVER),
    Group("A gauge", GAUGE),
    Group("A gauge's figure or name", GAUGE_LINE, line=True),
    Group("A tool", TOOL),
    Group("A tool's name and size", TOOL_LINE, line=True),
    Group("Who is at the bench", WHO),
    Group("Somebody who was not here before", WHO_FORM, line=True),
    Group("A shop without a job", FIRST_START),
    Group("The help", HELP_CARD),
    Group("Words and commands", SEARCH, line=True),
    Group("Colours and signs", LOOK_CARD),
    Group("The head map", MAP),
    Group("The trends", TRENDS),
)
"""Every screen and card with its keys: the help lists them, and what a person sets is checked against them."""
