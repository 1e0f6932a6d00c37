"""What the screen of the sums says: its labels, answers, what is wrong so far, what a sum is about."""

from __future__ import annotations

from typing import TYPE_CHECKING

from rich.text import Text

from headwright.sums.written import usual
from headwright.terminal.drawn import Line, clean, fit

if TYPE_CHECKING:
    from collections.abc import Iterator

    from headwright.sums.evaluate import SumFault, Worked
    from headwright.sums.model import Input, Sum, System


def label_line(each: Input, *, given: bool, wrong: bool, width: int, keys: int) -> Line:
    """Give the label of a figure: ■ before one that is wrong, · before one still to come, brackets where optional.

    Args:
        each: the input.
        given: something is typed for it.
        wrong: what is typed is wrong.
        width: columns for all of it.
        keys: columns for its key, 0 to leave that out.
    """
    sign = "■" if wrong else " " if given or not each.required else "·"
    label = each.label if each.required else f"({each.label})"
    style = "bad" if wrong else ""
    key = fit(each.key, keys) if keys else ""
    return ((f"{sign} ", style), (key, "quiet"), (fit(label, width - 3 - keys) + " ", style))


def unit_word(each: Input, system: System) -> str:
    """Say what a bare figure is taken in."""
    if each.columns:
        return "file"
    if each.dimension.name == "any":
        return "any unit"
    return usual(each.dimension, system) or "number"


def answer_lines(chosen: Sum, worked: Worked | None, system: System) -> list[Line]:
    """Give the answers, a dash for each that is not there yet."""
    found = worked.answers(system) if worked else {}
    wide = max(len(each.label) for each in chosen.results) + 2
    lines: list[Line] = []
    for each in chosen.results:
        answer = found.get(each.key)
        text, unit = (answer.text, answer.unit) if answer else ("–", "")
        needs = [chosen.input(key).label for key in each.needs]
        lack = f"  needs {' and '.join(needs)}" if answer and answer.value is None and needs else f" {unit}"
        lines.append(((fit(f"  {each.label}", wide + 2), ""), (text, "strong"), (lack, "quiet")))
    return lines


def said(chosen: Sum, worked: Worked | None, fault: SumFault | None, system: System) -> str:
    """Say what is wrong so far, what is still to come, or what is to be said of the answers."""
    if worked is not None:
        return clean(" ".join(worked.remarks(system)))
    if fault is None:
        return ""
    if fault.missing:
        return f"Still to come: {', '.join(chosen.input(key).label for key in fault.missing)}."
    at = f"{chosen.input(fault.key).label}: " if fault.key else ""
    told = f"{at}{fault.why}."
    return clean(f"{told[:1].upper()}{told[1:]} {fault.hint}".strip())


def about(chosen: Sum) -> Iterator[Text]:
    """Give what a sum is about, what matters most at the bench first."""
    # One answer a line, under the first.
    formula = chosen.formula.replace("; ", f";\n{' ' * len('Formula  ')}")
    for title, text in (("Note", chosen.note), ("Formula", formula), ("Source", chosen.source)):
        if text:
            yield Text.assemble((f"{title}  ", "bold"), text)
