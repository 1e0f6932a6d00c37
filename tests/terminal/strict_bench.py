"""A job under a shop's rules, in a real store with a kit: gauges traced and zeroed, tools named, PINs asked for.

Shop, people, gauges and sizes are invented.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from msgspec.structs import replace

from headwright.job.events import (
    CameOn,
    CautionAcknowledged,
    GaugeChecked,
    GaugeTaken,
    ReadingTaken,
    StepTicked,
    ToolChosen,
)
from headwright.job.gauges import in_hand
from headwright.procedure.plan import Role
from headwright.store import open_store
from headwright.store.desk import Desk
from tests.job.small import INCH, LEAD, MACHINIST, taken
from tests.job.strict import RULES, strict_plan
from tests.terminal import alder_bench

if TYPE_CHECKING:
    from pathlib import Path

    from headwright.job.events import Event
    from headwright.job.state import State
    from headwright.procedure.plan import Plan
    from tests.terminal.pty_app import PtyApp

JOB = "3001"
PIN = "red kettle"
MARA, LENA, TOM = "Mara Quill", "Lena Ost", "Tom Reed"
ELSEWHERE = "office"
NO_PINS = replace(RULES, pins=False)

KIT = """
shop = "Tern Point Head Works"

[[gauge]]
id = "BG-3"
sort = "bore gauge"
resolution = "0.00005 in"
uncertainty = "0.00013 in"
last_check = 2026-02-16
due = 2036-02-16

[[gauge]]
id = "BG-4"
sort = "bore gauge"
resolution = "0.0001 in"
uncertainty = "0.00015 in"
last_check = 2026-02-16
due = 2036-02-16

[[gauge]]
id = "BG-2"
sort = "bore gauge"
resolution = "0.0001 in"
uncertainty = "0.00015 in"
last_check = 2024-11-04
due = 2025-11-04

[[gauge]]
id = "MIC-1"
sort = "micrometer"
resolution = "0.00005 in"
uncertainty = "0.00008 in"
last_check = 2026-02-16
due = 2036-02-16

[[ring]]
id = "R-3730"
size = "0.37300 in"
uncertainty = "0.00003 in"
last_check = 2026-02-16
due = 2036-02-16

[[ring]]
id = "R-3420"
size = "0.34200 in"
uncertainty = "0.00003 in"
last_check = 2026-02-16
due = 2036-02-16

[[ring]]
id = "R-3415"
size = "0.34150 in"
uncertainty = "0.00003 in"
last_check = 2024-11-04
due = 2025-11-04

[[ring]]
id = "R-3440"
size = "0.34400 in"
uncertainty = "0.00003 in"
last_check = 2026-02-16
due = 2036-02-16
"""


def do(desk: Desk, wanted: Event, operator: str = MACHINIST, pin: str = "") -> None:
    """Have something recorded that must be possible."""
    alder_bench.do(desk, wanted, operator, pin)


def job_at(home: Path, *, plan: Plan | None = None, kit: str = KIT) -> Desk:
    """Put down a job under the rules, with Mara, a machinist, and Lena, the shop's first lead, on."""
    home.mkdir(exist_ok=True)
    if kit:
        (home / "kit.toml").write_text(kit, encoding="utf-8")
    store = open_store(home / "headwright.db")
    desk = Desk.create(store, plan or strict_plan(), JOB, terminal=ELSEWHERE)
    do(desk, CameOn(MACHINIST, MARA, Role.MACHINIST))
    do(desk, CameOn(LEAD, LENA, Role.LEAD), LEAD, PIN)
    return desk


def desk_at(home: Path) -> Desk:
    """Open the job from another terminal."""
    return alder_bench.desk_at(home, JOB, ELSEWHERE)


def state_at(home: Path) -> State:
    """Give the job as it stands on disk."""
    return desk_at(home).state


def to_survey(desk: Desk) -> None:
    """Receive and soak every head."""
    for head in desk.state.index.heads:
        do(desk, replace(taken("receive", head.id, "cracked", 0.0), value=None, unit="", typed="n", word="no"))
        do(desk, StepTicked("soak", head.id, "wait"))


def read(desk: Desk, at: tuple[str, str], reading: str, inches: float, station: str = "") -> None:
    """Take a figure with the gauge in hand; beside the one there where a further one is wanted."""
    state = desk.state
    operation, place = at
    gauge = in_hand(state, MACHINIST, state.index.readings[operation, reading].gauge)
    there = state.writing(operation, place).readings.get((reading, station, None))
    wanted: ReadingTaken = replace(
        taken(operation, place, reading, inches, station),
        gauge=gauge.gauge if gauge else "",
        over=there.number if there else 0,
        repeat=there is not None,
    )
    do(desk, wanted)


def to_bore(desk: Desk, *places: str) -> None:
    """Survey the stems, decide for liners, read the caution: the bore comes next; `places` are all positions."""
    to_survey(desk)
    do(desk, GaugeTaken("MIC-1", "micrometer", due="2036-02-16"))
    for place in places or ("1I", "1E"):
        for _ in range(2):
            read(desk, ("survey", place), "stem", 0.3118)
        decided = replace(
            taken("decide", place, "repair", 0.0), value=None, unit="", typed="liner", word="liner"
        )  # fmt: skip
        do(desk, decided, LEAD)
    do(desk, CautionAcknowledged("carbide"))


def ready_to_read(desk: Desk, *, place: str = "1I", ring: str = "R-3420", size: float = 0.3420) -> None:
    """Name the cutter, take BG-3 in hand and zero it on a ring (inches): the first bore is read next."""
    do(desk, ToolChosen("bore", place, "cutter", "K-3425", 0.3425 * INCH))
    do(desk, GaugeTaken("BG-3", "bore gauge", 0.00005 * INCH, 0.00013 * INCH, "2036-02-16"))
    do(desk, GaugeChecked("BG-3", ring, size * INCH, 0.0))


def at_bench(home: Path, **env: str) -> PtyApp:
    """Start the program on the job and say that Mara is at this terminal."""
    return alder_bench.at_bench(home, JOB, (80, 24), name=MARA, **env)
