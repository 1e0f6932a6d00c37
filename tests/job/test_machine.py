"""Random machinists, trainees and leads on random routes, with good and bad readings: nothing bad gets past.

HEADWRIGHT_STEPS asks for more steps than the ten thousand of every run.
"""

from __future__ import annotations

import os

import pytest
from hypothesis import HealthCheck, Phase, settings
from hypothesis.stateful import run_state_machine_as_test

from tests.job.machine import Bench, ShippedBench

STEPS = int(os.environ.get("HEADWRIGHT_STEPS", "10000"))
LENGTH = 50
"""Steps of one history; one step of work is up to six wishes."""


@pytest.mark.parametrize(("machine", "share"), [(Bench, 0.6), (ShippedBench, 0.4)])
def test_nothing_bad_gets_past(machine: type[Bench], share: float) -> None:
    run_state_machine_as_test(
        machine,
        settings=settings(
            max_examples=round(STEPS * share / LENGTH),
            stateful_step_count=LENGTH,
            deadline=None,
            phases=[Phase.generate],
            suppress_health_check=list(HealthCheck),
            database=None,
        ),
    )
