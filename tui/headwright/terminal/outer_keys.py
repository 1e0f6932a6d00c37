"""The keys of the cards, of the jobs board and of the screens that open a job; declared once, as those of the bench."""

from __future__ import annotations

from headwright.terminal.keys import Key

LEAVE = Key("card_leave", "escape", "Esc", "leave", "Leave the card; everything stays as it is.", 9)

CARD = (LEAVE,)
"""Every card."""

FURTHER = Key("card_further", "pagedown,space", "PgDn", "further", "Read on where there is more below.", 2)

TEXT = (FURTHER, LEAVE)
"""A card with a text to read."""

CHOICES = (
    Key("card_number", "1,2,3,4,5,6,7,8,9", "1–9", "choose", "Go to the choice with this number.", 1),
    Key("card_settle", "enter", "Enter", "take it", "Take the choice; then, on the line for the reason, settle it.", 2),
    LEAVE,
)
"""A card with numbered choices."""

LINE = (Key("card_settle", "enter", "Enter", "give it", "Give what stands on the line.", 1), LEAVE)
"""A card with one line to type."""

CAUTION = (
    Key("card_read", "a", "a", "I have read it", "Acknowledge the caution for this shift.", 1),
    FURTHER,
    LEAVE,
)
"""The caution card: a letter acknowledges, for Enter is what a gauge sends."""

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

JOBS = (
    Key("open_job", "enter", "Enter", "open", "Open the job of this line.", 1),
    Key("new_job", "n", "n", "new job", "Open a new job for a head.", 2),
    Key("find_job", "slash", "/", "find", "Show only jobs with what is typed; a digit or letter begins it too.", 3),
    Key("sample_job", "f9", "F9", "sample", "Bring in the sample job and open it.", 4),
    Key("help", "f1", "F1", "help", "Every key, and how to begin.", 5),
    Key("quit_program", "q", "q", "leave", "Leave the program.", 6),
)
"""The jobs board."""

FIRST_START = (
    Key("card_number", "1,2,3", "1–3", "choose", "Go to the choice with this number.", 1),
    Key("take_first", "enter", "Enter", "take it", "Take the choice.", 2),
    Key("help", "f1", "F1", "help", "Every key, and how to begin.", 5),
    Key("quit_program", "q", "q", "leave", "Leave the program.", 6),
)
"""The screen of a shop without a job."""

NEW_JOB = (
    Key("next_field", "tab,enter", "Tab", "next", "Go to the next field.", 1),
    Key("create_job", "f10", "F10", "open it", "Open the job as it is put down here.", 2),
    Key("help", "f1", "F1", "help", "Every key, and how to begin.", 3),
    Key("card_leave", "escape", "Esc", "leave", "Leave without a new job.", 9),
)
"""The screen of a new job."""
