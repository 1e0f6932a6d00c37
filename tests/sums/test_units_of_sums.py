"""Units never change an answer, however they are written."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from tests.sums.figures import FIVE, SIZINGS, table, worked

from headwright.sums.catalogue import SUMS
from headwright.sums.dimensions import ANY, DIMENSIONS, EXPANSION, LENGTH, PRESSURE, RATIO, TEMPERATURE
from headwright.sums.written import Unread, digits, into, read, read_many, scales, with_unit

if TYPE_CHECKING:
    from pathlib import Path

    from headwright.sums.dimensions import Dimension
    from headwright.sums.model import Input

WITHOUT_FILES = [name for name, each in SUMS.items() if not any(one.columns and one.required for one in each.inputs)]


def rewritten(each: Input, text: str, data: st.DataObject) -> str:
    """Write an input in another unit of its dimension."""
    if each.many:
        return ",".join(rewritten_one(each.dimension, part, data) for part in text.split(","))
    return rewritten_one(each.dimension, text, data)


def rewritten_one(dimension: Dimension, text: str, data: st.DataObject) -> str:
    amount = read(text, dimension)
    unit = data.draw(st.sampled_from([*scales(amount.dimension)]))
    return f"{into(amount.value, amount.dimension, unit):.15g} {unit}"


@settings(deadline=None)  # the first example builds the registry of units
@given(data=st.data())
def test_units_never_change_an_answer(data: st.DataObject) -> None:
    told = SUMS[data.draw(st.sampled_from(WITHOUT_FILES))]
    texts = {key: text for key, text in told.example.items() if not told.input(key).columns}
    found = worked(told.name, **texts).results
    again = worked(told.name, **{key: rewritten(told.input(key), text, data) for key, text in texts.items()}).results
    for key, value in found.items():
        if isinstance(value, float | tuple) and not isinstance(value, bool):
            assert again[key] == pytest.approx(value, rel=1e-7, abs=1e-9), key
        else:
            assert again[key] == value


@settings(deadline=None)
@given(
    size=st.decimals(min_value="0.0001", max_value="9999", places=5),
    unit=st.sampled_from(["in", "mm", "µm", "thou"]),
    sign=st.sampled_from([".", ","]),
)
def test_what_is_written_comes_back_to_the_last_digit(size: object, unit: str, sign: str) -> None:
    amount = read(f"{size}{unit}".replace(".", sign), LENGTH)
    assert into(amount.value, LENGTH, unit) == pytest.approx(float(str(size)), rel=1e-14)


def test_an_inch_is_25_4_mm_exactly() -> None:
    """International yard and pound agreement of 1959."""
    assert read("0.3433in", LENGTH).value == 8.71982
    assert read("3/8 in", LENGTH).value == 9.525
    assert read('0.375"', LENGTH).value == 9.525
    assert read("1 5/8 in", LENGTH).value == read("1-5/8in", LENGTH).value == 41.275


@pytest.mark.parametrize(
    ("text", "dimension", "value"),
    [
        ("11.4e-6/K", EXPANSION, 11.4e-6),
        ("11.4e-6 1/K", EXPANSION, 11.4e-6),
        ("11.4e-6", EXPANSION, 11.4e-6),
        ("11.4 ppm/K", EXPANSION, 11.4e-6),
        ("11.4 1e-6/K", EXPANSION, 11.4e-6),
        ("11.4 \u03bcm/m/°C", EXPANSION, 11.4e-6),
        ("6.3333333333e-6/°F", EXPANSION, 11.4e-6),
        ("68F", TEMPERATURE, 20),
        ("293.15K", TEMPERATURE, 20),
        ("\u221240 °C", TEMPERATURE, -40),
        ("110GPa", PRESSURE, 110e3),
        ("14.5Mpsi", PRESSURE, 99973.98),
        ("34 %", RATIO, 0.34),
        ("0,34", RATIO, 0.34),
    ],
)
def test_the_ways_in_which_people_write(text: str, dimension: Dimension, value: float) -> None:
    assert read(text, dimension).value == pytest.approx(value, rel=1e-8)


@pytest.mark.parametrize("dimension", [each for each in DIMENSIONS if each is not RATIO], ids=lambda each: each.name)
def test_every_dimension_reads_its_own_examples_and_shows_units_that_it_reads(dimension: Dimension) -> None:
    metric, other = (read(text, dimension).value for text in dimension.example)
    assert other == pytest.approx(metric, rel=0.3)
    assert {dimension.metric, dimension.inch} <= {*scales(dimension)}


@pytest.mark.parametrize(
    ("text", "sizes"),
    [
        ("8.712mm,8.725mm", (8.712, 8.725)),
        ("8.712, 8.725 mm", (8.712, 8.725)),
        ("8,712;8,725 mm", (8.712, 8.725)),
        ("15,30,60thou", (0.381, 0.762, 1.524)),
        ("8.7mm", (8.7,)),
    ],
)
def test_a_list_is_read_with_a_unit_to_each_or_one_behind_the_last(text: str, sizes: tuple[float, ...]) -> None:
    assert tuple(amount.value for amount in read_many(text, LENGTH)) == pytest.approx(sizes)


def test_two_whole_numbers_with_a_comma_between_might_be_one() -> None:
    with pytest.raises(Unread, match="may be one number or two"):
        read_many("8,7mm", LENGTH)


def test_a_bare_number_takes_the_unit_of_the_reader_where_there_is_one() -> None:
    assert read("0.3433", LENGTH, system="in").value == 8.71982
    assert read("8.71982", LENGTH, system="mm").value == 8.71982
    assert read("0.3433", ANY, system="in").dimension is RATIO


@pytest.mark.parametrize(
    ("text", "dimension", "whole"),
    [
        ("0.3433", LENGTH, "0.3433 in"),
        ("11/32", LENGTH, "11/32 in"),
        ("0.34,0.35", LENGTH, "0.34,0.35 in"),
        ("8.7 mm", LENGTH, "8.7 mm"),
        ("0.34", RATIO, "0.34"),
        ("0.34", ANY, "0.34"),
        ("x", LENGTH, "x"),
        ("", LENGTH, ""),
    ],
)
def test_a_bare_number_can_be_given_the_unit_that_it_was_typed_in(text: str, dimension: Dimension, whole: str) -> None:
    assert with_unit(text, dimension, "in") == whole


@pytest.mark.parametrize(
    ("value", "unit", "inward", "text"),
    [
        (8.703289707, "mm", 1, "8.70329"),
        (8.703281, "mm", 1, "8.70329"),
        (8.703289, "mm", -1, "8.70328"),
        (8.7, "mm", 1, "8.70000"),
        (-1e-9, "mm", 0, "0.00000"),
        (0.99999999, "", 0, ">0.999999"),
        (1.0, "", 0, "1"),
        (0.12345678, "", 1, "0.123457"),
        (0.12345612, "", -1, "0.123456"),
        (0.0, "", 1, "0"),
        (12345678.0, "mm", 0, "1.23457e+07"),
    ],
)
def test_digits_are_as_many_as_serve_and_limits_are_rounded_inward(
    value: float, unit: str, inward: int, text: str
) -> None:
    assert digits(value, unit, inward) == text


@pytest.mark.parametrize(
    "heading",
    ["x [in],y [in],z [in]", "X (in), Y (in), Z (in)", "a [in],b [in],c [in]"],
)
def test_the_heading_of_a_file_gives_its_unit(tmp_path: Path, heading: str) -> None:
    rows = "\n".join(FIVE.split())
    bare = worked("flatness", points=table(tmp_path, rows, "mm.csv")).results
    inches = worked("flatness", points=table(tmp_path, f"{heading}\n{rows}", "in.csv")).results
    assert inches["minimum_zone"] == pytest.approx(0.067262 * 25.4, abs=2e-5)
    assert bare["minimum_zone"] == pytest.approx(0.067262, abs=5e-7)


@pytest.mark.parametrize("delimiter", [";", "\t", " "])
def test_a_file_may_part_its_values_otherwise(tmp_path: Path, delimiter: str) -> None:
    sign = "," if delimiter == ";" else "."
    rows = "\n".join(FIVE.split(" ")).replace(",", delimiter).replace(".", sign)
    found = worked("flatness", points=table(tmp_path, f"# deck\n\n{rows}\n"))
    assert found.results["minimum_zone"] == pytest.approx(0.067262, abs=5e-7)


def test_columns_are_found_by_their_heading_in_any_order(tmp_path: Path) -> None:
    points = "\n".join(f"{z},a note,{y},{x}" for x, y, z in (point.split(",") for point in FIVE.split()))
    found = worked("flatness", points=table(tmp_path, f"z,remark,y,x\n{points}\n"))
    assert found.results["minimum_zone"] == pytest.approx(0.067262, abs=5e-7)


def test_a_file_takes_the_unit_of_the_figure_that_it_is_held_to(tmp_path: Path) -> None:
    inches = table(tmp_path, SIZINGS)
    rows = [[float(cell) * 25.4 for cell in row.split(",")] for row in SIZINGS.split()[1:]]
    metric = table(tmp_path, "\n".join(",".join(f"{cell:.6f}mm" for cell in row) for row in rows), "metric.csv")
    asked = {"pre_size": "0.3411in", "low": "0.3428in", "high": "0.3434in", "balls": "0.3435in,0.3440in"}
    bare = worked("ball", **asked, records=inches).results
    assert worked("ball", **asked, records=metric).results == pytest.approx(bare, abs=1e-6)


def test_components_keep_their_unit_and_may_leave_columns_out(tmp_path: Path) -> None:
    found = worked("uncertainty", components=table(tmp_path, "value [µm],divisor,dof\n3,,\n4,normal,inf\n"))
    assert found.answers()["combined"].value == pytest.approx(0.005)
    assert found.answers()["combined"].unit == "mm"
    assert found.results["dof"] == "infinite"
    short = worked("uncertainty", components=table(tmp_path, "3\n4\n", "short.csv"))
    assert short.results["combined"] == pytest.approx(5)
    assert short.answers()["combined"].unit == ""


def test_degrees_may_be_judged_with_an_uncertainty_that_is_a_difference_of_them() -> None:
    found = worked("conformity", value="68degF", u="0.9degF", low="19degC", high="21degC")
    again = worked("conformity", value="20degC", u="0.5K", low="19degC", high="21degC")
    assert found.results["probability"] == pytest.approx(again.results["probability"], rel=1e-9)
    assert found.answers("in")["accept_low"].unit == "degF"
