"""Do one sum of the trade, with units.

Inputs are written KEY=VALUE, a value with its unit, as bore=9.525mm, or the
name of a file. Without a sum it lists them all. Answers are in mm, N, MPa, °C
unless --unit asks for another. 'headwright calc NAME --help' tells what a sum
takes, what it gives, its formula and where that is from.
"""

from __future__ import annotations

import argparse
import json
from typing import TYPE_CHECKING

from headwright.cli import say
from headwright.cli.parser import Parser
from headwright.errors import UsageError
from headwright.sheet.plain import columns, wrapped

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping, Sequence

    from headwright.sums.evaluate import Answer, Worked
    from headwright.sums.model import Input, Result, Sum

_WIDTH = 80


def arguments(parser: argparse.ArgumentParser) -> None:
    """Say what may follow the command."""
    parser.usage = "headwright calc [-h] [NAME] [KEY=VALUE …] [--unit UNIT] [--json]"
    parser.add_argument("name", nargs="?", metavar="NAME", help="the sum")
    parser.add_argument("words", nargs=argparse.REMAINDER, metavar="KEY=VALUE", help="its inputs")
    _options(parser)


def _options(parser: argparse.ArgumentParser) -> None:
    parser.add_argument(
        "--unit", metavar="UNIT", action="append", default=[], help="give answers in this unit; may be repeated"
    )
    parser.add_argument("--json", action="store_true", help="as JSON, for another program")


def run(asked: argparse.Namespace) -> int:
    """List the sums, tell of one, or work it."""
    from headwright.sums.catalogue import SUMS, named  # noqa: PLC0415 - not for the other commands

    if asked.name is None:
        if asked.unit or asked.json:
            raise UsageError("calc: a sum is expected", "'headwright calc' lists them.")
        say.data("\n".join(columns([(each.name, each.purpose) for each in SUMS.values()])))
        return 0
    sum_ = named(asked.name)
    parser = Parser(f"headwright calc {sum_.name}", _told(sum_), usage=_usage(sum_))
    _options(parser)
    texts, options = _sorted(sum_, asked.words)
    further = parser.taken(options)
    _work(sum_, texts, [*asked.unit, *further.unit], as_json=asked.json or further.json)
    return 0


def _sorted(sum_: Sum, words: Iterable[str]) -> tuple[dict[str, str], list[str]]:
    """Part the inputs from the other words."""
    texts: dict[str, str] = {}
    options = []
    for word in words:
        key, sign, text = word.partition("=")
        if not sign or word.startswith("-"):
            options.append(word)
        elif key in texts:
            raise UsageError(f"{sum_.name}: {key} is given twice", "Leave one of them out.")
        else:
            texts[key] = text
    return texts, options


def _work(sum_: Sum, texts: Mapping[str, str], asked: Sequence[str], *, as_json: bool) -> None:
    from headwright.sums.evaluate import evaluate  # noqa: PLC0415 - not for --help

    try:
        worked = evaluate(sum_, texts)
    except UsageError as error:
        hint = error.hint or f"'headwright calc {sum_.name} --help' shows what it takes."
        raise UsageError(error.message, hint) from None
    _check_units(worked, asked)
    answers = worked.answers(asked=asked)
    if as_json:
        say.json(_json(sum_, answers))
        return
    say.data("\n".join(columns([_row(worked, key, answer) for key, answer in answers.items()])))
    for remark in worked.remarks(asked=asked):
        for line in wrapped(remark, _WIDTH):
            say.talk(line)


def _check_units(worked: Worked, asked: Iterable[str]) -> None:
    from headwright.sums.written import Unread, dimension_of, scales  # noqa: PLC0415 - not for --help

    dimensions = [found for each in worked.sum.results if (found := worked.dimension(each)) is not None]
    for unit in asked:
        try:
            dimension = dimension_of(unit)
        except Unread as fault:
            raise UsageError(f"calc: --unit: {fault}", "Units are written as in 'in', 'mm', 'psi', 'lbf'.") from None
        if not any(unit in scales(each) for each in dimensions):
            say.talk(f"None of the answers is {dimension.called}: '{unit}' changes nothing.")


def _json(sum_: Sum, answers: Mapping[str, Answer]) -> str:
    results = {
        key: answer.value
        if answer.value is None or isinstance(answer.value, str | bool)
        else {"value": answer.value, "unit": answer.unit}
        for key, answer in answers.items()
    }
    return json.dumps({"sum": sum_.name, "results": results}, ensure_ascii=False, allow_nan=False, indent=2)


def _row(worked: Worked, key: str, answer: Answer) -> tuple[str, str, str, str]:
    result = next(each for each in worked.sum.results if each.key == key)
    label = result.label
    if answer.value is None and result.needs:
        label += f" (needs {' and '.join(result.needs)})"
    return key, answer.text, answer.unit if answer.value is not None else "", label


def _usage(sum_: Sum) -> str:
    return f"headwright calc {sum_.name} [-h] KEY=VALUE … [--unit UNIT] [--json]"


def _told(sum_: Sum) -> str:
    """Tell of a sum: what it takes and gives, formula, source, an example."""
    lines = [f"{sum_.purpose[:1].upper()}{sum_.purpose[1:]}."]
    rows = [(f"  {each.key}", each.label, _units(each)) for each in sum_.inputs]
    for heading, required in (("inputs:", True), ("may be left out:", False)):
        chosen = [row for row, each in zip(columns(rows), sum_.inputs, strict=True) if each.required is required]
        if chosen:
            lines += ["", heading, *chosen]
    lines += ["", "answers:", *columns([(f"  {each.key}", each.label, _usual(each)) for each in sum_.results])]
    example = " ".join(f"{key}={text}" for key, text in sum_.example.items())
    for heading, text in (
        ("formula", sum_.formula),
        ("source", sum_.source),
        ("note", sum_.note),
        ("files", _files(sum_)),
        ("example", f"headwright calc {sum_.name} {example}"),
    ):
        if text:
            lines += ["", f"{heading}:", *wrapped(text, _WIDTH, "  ")]
    return "\n".join(lines)


def _units(each: Input) -> str:
    if each.columns:
        return "a file"
    names = dict.fromkeys((each.dimension.metric, each.dimension.inch))
    units = "any unit" if each.dimension.name == "any" else ", ".join(filter(None, names)) or "a number"
    return f"{units}; several" if each.many else units


def _usual(each: Result) -> str:
    return "" if each.dimension is None else each.dimension.metric


def _files(sum_: Sum) -> str:
    told = ""
    for each in sum_.inputs:
        if each.columns:
            keys = ", ".join(column.key for column in each.columns)
            told = f"{each.key} has one row a line: {keys}, with commas between."
            if all(column.dimension.name == "ratio" for column in each.columns):
                return f"{told} A heading may name them."
            first = each.columns[0].dimension.metric
            usual = f"the unit of {' or '.join(each.unit_of)}" if each.unit_of else first or "no unit"
            told += (
                f" A heading may name them with their unit, as '{each.columns[0].key} [mm]'; without, it is {usual}."
            )
    return told
