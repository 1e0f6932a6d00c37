"""A question that Enter raised is not answered by the same press."""

from __future__ import annotations

import pytest

from headwright.terminal.sure import PAUSE, Question


@pytest.mark.parametrize(
    ("asked", "pressed", "answers"),
    [
        (10.0, 10.0, False),
        (10.0, 10.05, False),
        (10.0, 10.0 + PAUSE - 0.01, False),
        (10.0, 10.0 + PAUSE + 0.01, True),
        (None, 10.0, True),
        (10.0, None, True),
    ],
)
def test_a_press_answers_only_when_the_question_could_be_read(
    asked: float | None, pressed: float | None, *, answers: bool
) -> None:
    question = Question()
    assert question.may_answer(pressed), "nothing was asked yet"
    question.ask(asked)
    assert question.may_answer(pressed) is answers
