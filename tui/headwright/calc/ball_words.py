"""The advice on a ball in words: what, why, and how sure."""

from collections.abc import Callable

from headwright.calc.ball import ENOUGH_IN, MOST_OVER, Advice, Plan
from headwright.calc.springback import ENOUGH, Springback


def in_mm(size: float) -> str:
    """Write a size in millimetres.

    Args:
        size: size, mm.

    Returns:
        The size to a tenth of a micron with its unit.
    """
    return f"{size:.4f} mm"


def explain(advice: Advice, show: Callable[[float], str] = in_mm) -> str:
    """Say which ball to push, why, and how sure that is.

    Args:
        advice: the advice.
        show: writes a size (given in mm) in the reader's unit.

    Returns:
        Two to four sentences.
    """
    return " ".join([*_what(advice, show), _knowledge(advice.model, show)])


def _what(advice: Advice, show: Callable[[float], str]) -> list[str]:
    if advice.plan is Plan.DONE:
        return [f"{show(advice.pre_size)} is in limits already; push no ball."]
    if advice.plan is Plan.OVER:
        return [f"{show(advice.pre_size)} is over {show(advice.high)} already; no ball makes a hole smaller."]
    chosen = next((each for each in advice.chances if each.ball == advice.ball), None)
    if chosen is None:
        return [
            f"No ball of the kit serves: each is too small to open {show(advice.pre_size)} or too likely to go over."
        ]
    expected = chosen.prediction
    expect = (
        f"Push {show(chosen.ball)}: expect {show(expected.finished)}, "
        f"19 times in 20 between {show(expected.low)} and {show(expected.high)}; "
        f"in limits {percent(chosen.p_in)}, over {percent(chosen.p_over)}."
    )
    say = [expect]
    if advice.plan is Plan.ONE_PUSH:
        say.append(f"No ball with at most {percent(MOST_OVER)} chance of over does better.")
        larger = next((each for each in advice.chances if each.ball > chosen.ball and each.p_over > MOST_OVER), None)
        if larger is not None:
            say.append(f"{show(larger.ball)} would go over in {percent(larger.p_over)}.")
    else:
        say.append(f"No single ball reaches {percent(ENOUGH_IN)} in limits, so this is the first of two pushes.")
        say.append(f"Measure after it and ask again; {_second(advice, show)}.")
    return say


def _second(advice: Advice, show: Callable[[float], str]) -> str:
    if advice.second is None:
        return "as known now, no ball of the kit is likely to finish after it"
    if advice.second == advice.ball:
        return "the same ball once more is the likely second"
    return f"{show(advice.second)} is the likely second"


def _knowledge(model: Springback, show: Callable[[float], str]) -> str:
    line = f"springback {show(model.intercept)} plus {percent(model.slope)} of the interference"
    left_out = f", {model.left_out} left out" if model.left_out else ""
    count = f"{model.records} {'sizing' if model.records == 1 else 'sizings'}"
    if not model.assumed:
        return f"Learnt from {count} of this kind{left_out}: {line}, scatter {show(model.scatter)}."
    if model.records == 0:
        return f"No records of this kind{left_out}: a weak assumption from memory of the trade stands in, {line}."
    if model.records < ENOUGH:
        return f"Few records ({count}{left_out}): a weak assumption brought up to date with them, {line}."
    return f"{count} of this kind{left_out}, all at one interference: the slope is still a weak assumption, {line}."


def percent(share: float) -> str:
    """Write a probability or share as a percentage that never shows certainty where there is none.

    Args:
        share: 0 to 1.

    Returns:
        Such as "96.0 %", "under 0.1 %" or "over 99.9 %".
    """
    if 0 < share < 0.001:
        return "under 0.1 %"
    if 0.999 < share < 1:
        return "over 99.9 %"
    return f"{share:.1%}".replace("%", " %")
