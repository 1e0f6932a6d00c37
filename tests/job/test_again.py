"""Why something that was done is to be done again: which work needs the state that it made."""

from __future__ import annotations

from headwright.job.again import again_words
from headwright.job.agenda import next_up
from headwright.job.evolve import fold
from headwright.job.state import begin
from headwright.procedure.plan import ConditionSort
from tests.terminal.views_jobs import record


def test_every_time_that_work_goes_back_to_restore_a_state_the_line_names_what_needs_it() -> None:
    """Through a whole job as it was recorded: the head is washed, so it soaks again before its guides are verified."""
    known = record("1001")
    state, told = begin(known.plan), set()
    states = {c.label for c in known.plan.conditions if c.sort is ConditionSort.STATE}
    for entry in known.entries:
        state = fold(state, (entry,))
        person = next((p.operator for p in state.people.values() if p.on), "")
        found = next_up(state, person)
        if not found.operation or not found.place:
            continue
        operation = state.index.operations[found.operation]
        words = again_words(state, operation, found.place)
        back = state.is_done(operation, found.place) and state.is_due(operation, found.place)
        assert bool(words) == back
        if words:
            assert words.startswith(f"{operation.title} again: ")
            assert any(f"'{label}'" in words for label in states)
            told.add(words)
    assert (
        "Soak to one temperature again: 'Verify the guide' needs 'at room temperature', "
        "which 'Brush and wash the guides' took away." in told
    )


def test_what_was_never_done_is_not_said_to_be_done_again() -> None:
    state = begin(record("1001").plan)
    for operation in state.plan.operations:
        assert not any(again_words(state, operation, place) for place in state.index.places_of(operation))
