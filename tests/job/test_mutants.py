"""A gate that is broken on purpose is caught by the random histories, each time."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest
from hypothesis import HealthCheck, Phase, settings
from hypothesis.stateful import run_state_machine_as_test

from tests.job.machine import Bench, small_plans
from tests.job.mutants import MUTANTS, Mutant
from tests.job.oracle import Broken

if TYPE_CHECKING:
    from headwright.procedure.plan import Plan

MOST = 4000
"""Histories that a mutant may survive before it counts as not caught."""


@pytest.fixture
def broken(mutant: Mutant, monkeypatch: pytest.MonkeyPatch) -> None:
    for owner, name, replacement in mutant.breaks:
        monkeypatch.setattr(owner, name, replacement)


@pytest.mark.parametrize("mutant", MUTANTS, ids=lambda mutant: mutant.lets_past)
@pytest.mark.usefixtures("broken")
def test_a_broken_gate_is_caught(mutant: Mutant) -> None:
    class Focused(Bench):
        """The crowd on the plan in which the mutant shows soonest."""

        def plans(self) -> tuple[Plan, ...]:
            return small_plans() if mutant.plan is None else (small_plans()[mutant.plan],)

    with pytest.raises(Broken):
        run_state_machine_as_test(
            Focused,
            settings=settings(
                max_examples=MOST,
                stateful_step_count=50,
                deadline=None,
                derandomize=True,
                phases=[Phase.generate],
                suppress_health_check=list(HealthCheck),
                report_multiple_bugs=False,
            ),
        )
