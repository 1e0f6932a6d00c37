"""The keys of the cards, of the jobs board and of the screens that open a job; declared once, as those of the bench."""

from __future__ import annotations

from headwright.terminal.keys import SUMS, Key

LEAVE = Key("card_leave", "escape", "Esc", "leave", "Leave the card; everything stays as it is.", 9)

CARD = (LEAVE,)
"""Every card."""

FURTHER = Key("card_further", "pagedown,space", "PgDn", "further", "Read on where there is more below.", 2)

TEXT = (FURTHER, LEAVE)
"""A card with a text to read."""

CHOICES = (
    Key("card_number", "1,2,3,4,5,6,7,8,9", "1–9", "choose", "Go to the choice with this number.", 1),
    Key("card_settle", "enter", "Enter", "take it", "Take the choice; then, on the line for the reason, settle it.", 2),
    Key("card_further", "pagedown", "PgDn", "further", "Read on where there is more below; the choice stays.", 3),
    LEAVE,
)
"""A card with numbered choices."""

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

HELP = Key("help", "f1", "F1", "help", "Every key, and how to begin.", 5)
QUIT = Key("app.quit_program", "ctrl+c", "Ctrl+C", "leave", "Leave the program; everything that says saved is kept.", 6)

JOBS = (
    Key("open_job", "enter", "Enter", "open", "Open the job at hand.", 1),
    Key("new_job", "n", "n", "new job", "Put down a new job for a head.", 2),
    Key(
        "find_job", "slash", "/", "find", "Show the jobs with what is typed; other letters and digits begin it too.", 3
    ),
    Key("sample_job", "f9", "F9", "sample", "Open the sample job; it is brought in where it is not there yet.", 4),
    HELP,
    QUIT,
    Key("all_jobs", "escape", "Esc", "all", "Show every job again."),
    Key("job_up", "up", "↑", "up", "The job above."),
    Key("job_down", "down", "↓", "down", "The job below."),
    Key("jobs_up", "pageup", "PgUp", "page up", "A page up."),
    Key("jobs_down", "pagedown", "PgDn", "page down", "A page down."),
    SUMS,
)
"""The jobs board."""

FIRST_START = (
    Key("card_number", "1,2,3", "1–3", "choose", "Go to the choice with this number.", 1),
    Key("card_settle", "enter", "Enter", "take it", "Take the choice.", 2),
    HELP,
    LEAVE,
)
"""The question of a shop without a job."""

NEW_JOB = (
    Key("next_field", "tab,enter", "Tab", "next", "Go to the next field.", 1),
    Key("create_job", "f10", "F10", "open this job", "Open the job as it is put down here.", 2),
    HELP,
    Key("card_leave", "escape", "Esc", "leave", "Leave without a new job.", 9),
)
"""The screen of a new job."""
