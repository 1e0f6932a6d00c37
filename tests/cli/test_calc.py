"""`headwright calc`: one sum, from the words on the command line to the table, the JSON and the exit code."""

from __future__ import annotations

import json
import re
import subprocess
import sys
from typing import TYPE_CHECKING, Any

import pytest

from headwright.sums.catalogue import SUMS
from tests.sums.figures import FIVE, GUM_H1, MAVRO, SIZINGS, table

if TYPE_CHECKING:
    from collections.abc import Callable
    from pathlib import Path

    from tests.cli.conftest import Outcome

CLEARANCE = ("guide_least=0.3429in", "guide_most=0.3432in", "stem_least=0.3413in", "stem_most=0.3415in")
HEAVY = ("textual", "pint", "pydantic", "sqlite3", "numpy", "scipy")


def test_without_a_name_it_lists_the_sums(headwright: Callable[..., Outcome]) -> None:
    told = headwright("calc")
    assert (told.code, told.err) == (0, "")
    assert [line.split()[0] for line in told.out.splitlines()] == list(SUMS)
    assert "clearance      least and most clearance of stem and guide\n" in told.out


@pytest.mark.parametrize("name", SUMS)
def test_help_of_a_sum_tells_inputs_answers_formula_and_source(name: str, headwright: Callable[..., Outcome]) -> None:
    told = headwright("calc", name, "--help")
    assert (told.code, told.err) == (0, "")
    said = told.out.splitlines()
    assert said[0] == f"usage: headwright calc {name} [-h] KEY=VALUE … [--unit UNIT] [--json]"
    assert max(map(len, said)) <= 80
    for heading in ("answers:", "formula:", "source:", "example:"):
        assert heading in said
    for key, label in [(each.key, each.label) for each in SUMS[name].inputs] + [
        (each.key, each.label) for each in SUMS[name].results
    ]:
        assert any(re.match(rf"  {key} +{re.escape(label)}( |$)", line) for line in said)


def test_help_of_a_sum_word_for_word(headwright: Callable[..., Outcome]) -> None:
    assert headwright("calc", "capability", "-h").out == (
        "usage: headwright calc capability [-h] KEY=VALUE … [--unit UNIT] [--json]\n"
        "\n"
        "How well a run of sizes keeps its limits.\n"
        "\n"
        "may be left out:\n"
        "  mean    mean of the sizes                any unit\n"
        "  s       standard deviation of the sizes  any unit\n"
        "  low     least size allowed               any unit\n"
        "  high    most size allowed                any unit\n"
        "  values  file of sizes for mean and s     a file\n"
        "\n"
        "answers:\n"
        "  pp   Pp, spread against the limits\n"
        "  ppk  Ppk, the nearer limit\n"
        "\n"
        "formula:\n"
        "  pp = (high − low)/(6·s); ppk = the smaller of (high − mean) and (mean − low),\n"
        "  over 3·s\n"
        "\n"
        "source:\n"
        "  Common definitions; s with n − 1.\n"
        "\n"
        "note:\n"
        "  Either limit may be left out. Intake and exhaust, and each gauge, are runs of\n"
        "  their own.\n"
        "\n"
        "files:\n"
        "  values has one row a line: value, with commas between. A heading may name them\n"
        "  with their unit, as 'value [mm]'; without, it is the unit of low or high.\n"
        "\n"
        "example:\n"
        "  headwright calc capability mean=0.00150in s=0.000103in low=0.0010in\n"
        "  high=0.0020in\n"
        "\n"
        "options:\n"
        "  -h, --help   show this help message and exit\n"
        "  --unit UNIT  give answers in this unit; may be repeated\n"
        "  --json       as JSON, for another program\n"
    )


def test_a_table_for_people(headwright: Callable[..., Outcome]) -> None:
    assert headwright("calc", "clearance", *CLEARANCE) == (
        0,
        "least  0.03556  mm  least clearance\nmost   0.04826  mm  most clearance\n",
        "",
    )


@pytest.mark.parametrize(
    "words",
    [
        ("clearance", *CLEARANCE, "--unit", "in"),
        ("clearance", "--unit", "in", *CLEARANCE),
        ("clearance", *CLEARANCE, "--unit=in"),
        ("--unit", "in", "clearance", *CLEARANCE),
    ],
)
def test_options_stand_anywhere(words: tuple[str, ...], headwright: Callable[..., Outcome]) -> None:
    assert headwright("calc", *words) == (
        0,
        "least  0.001400  in  least clearance\nmost   0.001900  in  most clearance\n",
        "",
    )


def test_json_for_programs(headwright: Callable[..., Outcome]) -> None:
    told = headwright("calc", "clearance", *CLEARANCE, "--json", "--unit", "in")
    assert (told.code, told.err) == (0, "")
    found = json.loads(told.out)
    assert found == {
        "sum": "clearance",
        "results": {
            "least": {"value": pytest.approx(0.0014), "unit": "in"},
            "most": {"value": pytest.approx(0.0019), "unit": "in"},
        },
    }


def test_words_and_yes_or_no_are_bare_and_what_was_not_asked_for_is_null(headwright: Callable[..., Outcome]) -> None:
    found = _json(headwright, "conformity", "value=8.7005mm", "u=0.002mm", "low=8.700mm")
    assert found["verdict"] == "not proven"
    assert found["accept_high"] is None
    assert found["accept_low"] == {"value": pytest.approx(8.70329, abs=1e-6), "unit": "mm"}
    assert found["probability"]["unit"] == ""
    example = (f"{key}={text}" for key, text in SUMS["press-fit"].example.items())
    found = _json(headwright, "press-fit", *example)
    assert found["yields"] is True
    assert found["push_out"] == {"value": pytest.approx(6850, rel=0.01), "unit": "N"}


def test_what_needs_more_says_so_in_the_table(headwright: Callable[..., Outcome]) -> None:
    told = headwright("calc", "spring", "load_1=500N", "height_1=45mm", "load_2=1300N", "height_2=33mm")
    assert told == (
        0,
        (
            "rate         66.6667   N/mm  rate\n"
            "free_length  52.50000  mm    free length\n"
            "load         –               load at that height (needs at)\n"
        ),
        "",
    )


def test_a_stack_is_a_list_of_its_pieces(headwright: Callable[..., Outcome]) -> None:
    words = ("measured=46mm", "target=44.5mm", "stock=0.4mm,0.8mm,1.5mm", "--unit", "µm")
    assert _json(headwright, "shims", *words)["stack"] == {"value": [pytest.approx(1500)], "unit": "µm"}
    told = headwright("calc", "shims", "measured=45.7mm", "target=44.5mm", "stock=0.4mm,0.8mm")
    assert told.out.splitlines()[0] == "stack     0.80000 + 0.40000  mm  shims to put in"


def test_the_ball_is_advised_in_words_in_the_unit_asked_for(headwright: Callable[..., Outcome], tmp_path: Path) -> None:
    words = ("pre_size=0.3411in", "low=0.3428in", "high=0.3434in", "balls=0.3430in,0.3435in,0.3440in", "--unit", "in")
    told = headwright("calc", "ball", *words, f"records={table(tmp_path, SIZINGS)}")
    assert told.code == 0
    assert told.out.startswith("ball           0.343500     in  ball to push\n")
    said = " ".join(told.err.split())
    assert said.startswith("Push 0.343500 in: expect 0.342978 in, ")
    assert "Learnt from 14 sizings of this kind" in said
    assert max(map(len, told.err.splitlines())) <= 80


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (
            ("clearnce",),
            "headwright: there is no sum 'clearnce'\nNearest: clearance.\n",
        ),
        (
            ("clearance", "guide_least=0.3429"),
            (
                "headwright: clearance: guide_least: '0.3429' has no unit; expected a length, as 9.525mm or 0.375in\n"
                "'headwright calc clearance --help' shows what it takes.\n"
            ),
        ),
        (
            ("clearance",),
            (
                "headwright: clearance: guide_least, guide_most, stem_least and stem_most are missing\n"
                "'headwright calc clearance --help' shows what it takes.\n"
            ),
        ),
        (
            ("clearance", "guide_lest=1mm"),
            "headwright: clearance: there is no input 'guide_lest'\nNearest: guide_least.\n",
        ),
        (
            ("clearance", *CLEARANCE, CLEARANCE[0]),
            "headwright: clearance: guide_least is given twice\nLeave one of them out.\n",
        ),
        (
            ("clearance", *CLEARANCE, "stray"),
            (
                "headwright: calc clearance: 'stray' does not belong here\n"
                "'headwright calc clearance --help' shows what it takes.\n"
            ),
        ),
        (
            ("clearance", *CLEARANCE, "--jsn"),
            "headwright: calc clearance: '--jsn' does not belong here\nNearest: --json.\n",
        ),
        (
            ("clearance", *CLEARANCE, "--unit", "inn"),
            (
                "headwright: calc: --unit: there is no unit 'inn' (nearest: in)\n"
                "Units are written as in 'in', 'mm', 'psi', 'lbf'.\n"
            ),
        ),
        (("--json",), "headwright: calc: a sum is expected\n'headwright calc' lists them.\n"),
        (
            ("seat", "outside=40mm", "inside=41mm", "angle=45deg"),
            (
                "headwright: seat: inside (41) must be below outside (40)\n"
                "'headwright calc seat --help' shows what it takes.\n"
            ),
        ),
    ],
)
def test_bad_input_is_one_message_and_exit_code_2(
    words: tuple[str, ...], told: str, headwright: Callable[..., Outcome]
) -> None:
    assert headwright("calc", *words) == (2, "", told)


def test_a_unit_that_no_answer_can_have_is_told_and_does_no_harm(headwright: Callable[..., Outcome]) -> None:
    told = headwright("calc", "spindle", "surface_speed=45m/min", "diameter=9.487mm", "--unit", "in")
    assert told == (
        0,
        "rpm  1509.8  rpm  spindle speed\n",
        "None of the answers is a length: 'in' changes nothing.\n",
    )


def test_values_of_a_file_are_judged(headwright: Callable[..., Outcome], tmp_path: Path) -> None:
    """NIST Mavro: mean 2.001856, s 0.000429123454003053 (certified)."""
    values = table(tmp_path, "\n".join(MAVRO.split()))
    found = _json(headwright, "capability", f"values={values}", "low=2.0000mm", "high=2.0040mm")
    assert found["pp"]["value"] == pytest.approx(0.004 / 6 / 0.000429123454003053, rel=1e-9)
    assert found["ppk"]["value"] == pytest.approx(0.001856 / 3 / 0.000429123454003053, rel=1e-9)


@pytest.mark.parametrize(
    ("words", "key", "expected"),
    [
        # JCGM 100:2008, annex H.1: 92.5 nm unrounded; printed to three figures.
        (("uncertainty", "components={gum}", "coverage=0.99"), "expanded", 92.5),
        # Exact linear programme, computed independently.
        (("flatness", "points={deck}"), "minimum_zone", 0.067262),
        # A nineteenth-century pocket-book of engineering formulae; exact to three decimals.
        (("spindle", "surface_speed=160in/min", "diameter=1in"), "rpm", 50.930),
    ],
)
def test_the_program_itself_gives_published_figures(
    tmp_path: Path, words: tuple[str, ...], key: str, expected: float
) -> None:
    deck = table(tmp_path, "\n".join(FIVE.split()), "deck.csv")
    gum = table(tmp_path, GUM_H1, "gum.csv")
    ended = _process(*(word.format(deck=deck, gum=gum) for word in words), "--json")
    assert (ended.returncode, ended.stderr) == (0, "")
    assert json.loads(ended.stdout)["results"][key]["value"] == pytest.approx(expected, rel=1e-3, abs=5e-7)


def test_the_program_itself_ends_with_2_on_bad_input() -> None:
    ended = _process("clearance", "guide_least=nan")
    assert (ended.returncode, ended.stdout) == (2, "")
    assert len(ended.stderr.splitlines()) == 2
    assert "Traceback" not in ended.stderr


@pytest.mark.parametrize("words", [["calc"], ["calc", "--help"], ["calc", "flatness", "--help"]])
def test_lists_and_help_load_nothing_heavy(words: list[str]) -> None:
    script = (
        f"import sys\nfrom headwright.cli import main\nassert main({words}) == 0\n"
        f"print('loaded:', [name for name in {HEAVY} if name in sys.modules])"
    )
    ended = subprocess.run([sys.executable, "-c", script], capture_output=True, text=True, check=True)
    assert ended.stdout.splitlines()[-1] == "loaded: []"


def _json(headwright: Callable[..., Outcome], *words: str) -> dict[str, Any]:
    told = headwright("calc", *words, "--json")
    assert (told.code, told.err) == (0, "")
    results: dict[str, Any] = json.loads(told.out)["results"]
    return results


def _process(*words: str) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        [sys.executable, "-m", "headwright", "calc", *words], capture_output=True, text=True, check=False
    )


def test_a_name_is_offered_only_where_one_is_near(headwright: Callable[..., Outcome]) -> None:
    assert "Nearest" not in headwright("calc", "foo").err
    assert "'headwright calc' lists them." in headwright("calc", "foo").err
    assert "Nearest: clearance" in headwright("calc", "clearence").err
    assert "Nearest" not in headwright("jobs", "--foo").err
    assert "Nearest: --json." in headwright("jobs", "--jsn").err
