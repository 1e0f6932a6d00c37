"""Another process at the same list: `python people_worker.py WHAT STORE INITIALS`, begun by a line of stdin."""

from __future__ import annotations

import sys
from pathlib import Path

from headwright.errors import HeadwrightError
from headwright.procedure.plan import Role
from headwright.store import open_store

NOW = "2025-03-04T08:12:09.120000Z"
TRIES = 4


def say(text: str) -> None:
    """Answer the test, at once."""
    sys.stdout.write(f"{text}\n")
    sys.stdout.flush()


def main(what: str, path: Path, initials: str) -> None:
    """Guess a PIN over and over, or come on the list as its first lead; say what came of each."""
    store = open_store(path)
    say("ready")
    sys.stdin.readline()
    for number in range(TRIES if what == "guess" else 1):
        try:
            if what == "guess":
                store.people.check(initials, f"wrong{number}", NOW)
            else:
                store.people.add(initials, f"Lead {initials}", Role.LEAD, now=NOW, pin="heron 88")
            say("done")
        except HeadwrightError as error:
            say(error.message)
    store.close()


if __name__ == "__main__":
    main(sys.argv[1], Path(sys.argv[2]), sys.argv[3])
