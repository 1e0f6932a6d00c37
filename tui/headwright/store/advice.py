"""Which ball to push next, in words for the hold card and the bench: the kit's balls against what the shop learned."""

from __future__ import annotations

from typing import TYPE_CHECKING

from headwright.calc.ball import ENOUGH_IN, Plan
from headwright.calc.ball_words import percent
from headwright.calc.springback import ENOUGH
from headwright.job.show import decimals, short_digits, unit_of, unit_sign
from headwright.job.sizing import BALL, FACTS, FINISHED, ball_advice, ball_question
from headwright.procedure.problems import listed

if TYPE_CHECKING:
    from collections.abc import Mapping

    from headwright.calc.ball import Advice
    from headwright.calc.springback import Springback
    from headwright.job.sizing import Stratum
    from headwright.job.state import At, State
    from headwright.procedure.kit import Kit
    from headwright.procedure.plan import Reading
    from headwright.store.contract import JobStore

YEARS = 2
"""Sizings older than this teach nothing: liners, lubricant and hands have changed since (our choice)."""
MOST = 200
"""Sizings that are learned from, the newest (our choice): more would not make the line any surer."""


def ball_words(store: JobStore, state: State, at: At, kit: Kit, now: str = "") -> str:
    """Say which ball to push next, what to expect of it, and how sure that is.

    Args:
        store: has the sizings of every job.
        state: the job.
        at: the operation and the position that the ball is for.
        kit: the shop's balls; one that is not measured, or overdue for it, is left out.
        now: the time, as records have it; empty for that of the job's last entry.

    Returns:
        One to three sentences, sizes in the unit and resolution of the readings; empty where nothing can be worked
        out (yet), or no ball is asked for here.

    Raises:
        StoreError: the store cannot be read.
    """
    question = ball_question(state, at)
    if question is None:
        return ""
    now = now or state.time
    balls = kit.measured_balls(now[:10])
    if not balls:
        return "No ball of the kit is measured and in date, so none can be named. Measure the balls first."
    unnamed = _unnamed(question.stratum)
    # Where a family does not name its parts, sizings of all such families would count as alike.
    records = () if unnamed else store.past_sizings(question.stratum, limit=MOST, since=_years_before(now))
    advice = ball_advice(question, (size for _, size in balls), records)
    if advice is None:
        return ""
    words = _Words(state, at[0], {size: name for name, size in balls}, len(kit.balls) - len(balls))
    return words.say(advice, _unknown(unnamed) if unnamed else _knowledge(advice.model))


def _unnamed(stratum: Stratum) -> tuple[str, ...]:
    return tuple(fact.replace("_", " ") for fact in FACTS if not getattr(stratum, fact))


def _years_before(now: str) -> str:
    return f"{int(now[:4]) - YEARS:04}{now[4:]}"


class _Words:
    """Sentences in the units of one operation."""

    def __init__(self, state: State, operation: str, names: Mapping[float, str], left_out: int) -> None:
        readings = state.index.operations[operation].readings
        roles = {reading.role: reading for reading in readings}
        self._plan = state.plan
        self._hole = roles[FINISHED]
        self._ball_reading = roles.get(BALL, self._hole)
        self._names = names
        self._left_out = left_out

    def say(self, advice: Advice, knowledge: str) -> str:
        """Put the advice into words; `knowledge` says what it rests on."""
        chosen = next((each for each in advice.chances if each.ball == advice.ball), None)
        if advice.plan is Plan.DONE:
            return f"The hole is in limits on average already ({self._size(advice.pre_size)}): push no larger ball."
        if advice.plan is Plan.OVER:
            return (
                f"The hole is {self._size(advice.pre_size)} on average, over {self._size(advice.high)}: "
                "no ball makes it smaller."
            )
        if chosen is None:
            return (
                f"No ball of the kit serves: each is too small, or too likely to go over.{self._without()} {knowledge}"
            )
        guess = _guess(advice.model)
        push = f"{f'{guess}: push' if guess else 'Push'} {self._ball(chosen.ball)}"
        expect = f"expect {self._size(chosen.prediction.finished)}"
        odds = f"{percent(chosen.p_in)} in limits, {percent(chosen.p_over)} over"
        if advice.plan is Plan.ONE_PUSH:
            return f"{push}: {expect}, {odds}. {knowledge}"
        return (
            f"{push}, measure, and ask again: {expect}, {odds}; no single ball reaches "
            f"{percent(ENOUGH_IN)}{self._second(advice)}. {knowledge}"
        )

    def _second(self, advice: Advice) -> str:
        if advice.second is None:
            return ""
        if advice.second == advice.ball:
            return "; the same ball once more is the likely second"
        return f"; {self._ball(advice.second)} is the likely second"

    def _without(self) -> str:
        if not self._left_out:
            return ""
        balls = "1 ball is" if self._left_out == 1 else f"{self._left_out} balls are"
        return f" {balls} left out, not measured or overdue for it."

    def _ball(self, ball: float) -> str:
        return f"{self._names[ball]} ({self._shown(self._ball_reading, ball)})"

    def _size(self, size: float) -> str:
        return self._shown(self._hole, size)

    def _shown(self, reading: Reading, value: float) -> str:
        unit = unit_of(self._plan, reading.unit, reading.dimension)
        return f"{short_digits(value, unit, decimals(reading.resolution, unit))} {unit_sign(unit.name)}"


def _guess(model: Springback) -> str:
    """Say how little stands behind the odds, empty where that is enough."""
    if not model.assumed:
        return ""
    return f"Guess from {_sizings(model)}" if model.records else "Guess"


def _sizings(model: Springback) -> str:
    return f"{model.records} sizing{'' if model.records == 1 else 's'}"


def _knowledge(model: Springback) -> str:
    alike = f"{_sizings(model)} alike"
    if not model.assumed:
        return f"Learned from {alike}."
    if model.records == 0:
        return "No sizing like this is on record yet, so this is a first guess, from memory of the trade."
    if model.records < ENOUGH:
        return f"Few records: a weak assumption from memory of the trade, brought up to date with {alike}."
    return f"The {alike} were all at one interference: the slope is still a weak assumption."


def _unknown(unnamed: tuple[str, ...]) -> str:
    return (
        f"The family does not name its {listed(unnamed, 'and')}, so no sizings are alike: a weak assumption from "
        "memory of the trade stands in."
    )
