"""Writes the sample jobs from their stories: `python -m tests.stories.write`.

To be run after a change of the procedures; a test fails while the records in sample_jobs/ are not what the stories
tell.
"""

from __future__ import annotations

from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING, NamedTuple

from headwright.procedure.library import load
from headwright.procedure.plan import plan_bytes
from headwright.procedure.resolve import build_plan
from headwright.store.record import record_text, verified
from tests.stories.alder_1001 import Alder1001
from tests.stories.brant_1004 import Brant1004
from tests.stories.ironwood_1003 import Ironwood1003
from tests.stories.plover_1005 import Plover1005
from tests.stories.sorrel_1002 import Sorrel1002

if TYPE_CHECKING:
    from collections.abc import Callable

    from headwright.procedure.plan import Plan
    from tests.stories.tale import Tale

ROOT = Path(__file__).parents[2]


class Told(NamedTuple):
    """A story, and for which route, family and application it is told."""

    story: Callable[[Plan], Alder1001 | Tale]
    route: str
    family: str
    application: str


STORIES = {
    "1001": Told(Alder1001, "liner", "alder-107", "durability"),
    "1002": Told(Sorrel1002, "chamber-in-head-aluminium", "sorrel-r16", "performance"),
    "1003": Told(Ironwood1003, "flat-face", "ironwood-d6", "heavy"),
    "1004": Told(Brant1004, "comeback", "brant-v8", "durability"),
    "1005": Told(Plover1005, "flat-face", "plover-g", "gas"),
}


@cache
def tell(job: str) -> tuple[Plan, Alder1001 | Tale]:
    """Tell a job by today's procedures."""
    told = STORIES[job]
    plan = build_plan(load(ROOT / "procedures"), told.route, told.family, told.application)
    return plan, told.story(plan).tell()


def text_of(job: str) -> str:
    """Give the text of a sample job as it is told today."""
    plan, story = tell(job)
    return record_text(verified(job, plan_bytes(plan), story.teller.entries, f"story {job}"))


def main() -> None:
    """Write them all."""
    for job in STORIES:
        name = f"{job}.toml"
        (ROOT / "sample_jobs" / name).write_text(text_of(job), encoding="utf-8", newline="\n")
        print(name)  # noqa: T201


if __name__ == "__main__":
    main()
