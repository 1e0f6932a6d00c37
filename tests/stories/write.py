"""Writes the sample jobs from their stories: `python -m tests.stories.write`.

To be run after a change of the procedures; a test fails while the records in sample_jobs/ are not what the stories
tell.
"""

from __future__ import annotations

from pathlib import Path

from headwright.procedure.library import load
from headwright.procedure.plan import plan_bytes
from headwright.procedure.resolve import build_plan
from headwright.store.record import record_text, verified
from tests.stories.alder_1001 import Alder1001

ROOT = Path(__file__).parents[2]


def told() -> dict[str, str]:
    """Give the text of every sample job by file name."""
    plan = build_plan(load(ROOT / "procedures"), "liner", "alder-107", "durability")
    alder = Alder1001(plan).tell().teller
    return {"1001.toml": record_text(verified("1001", plan_bytes(plan), alder.entries, "story 1001"))}


def main() -> None:
    """Write them all."""
    for name, text in told().items():
        (ROOT / "sample_jobs" / name).write_text(text, encoding="utf-8", newline="\n")
        print(name)  # noqa: T201


if __name__ == "__main__":
    main()
