"""Whatever is written for an input, there are answers or one message, never a traceback."""

from __future__ import annotations

from typing import TYPE_CHECKING

from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from headwright.sums.catalogue import SUMS
from headwright.sums.dimensions import DIMENSIONS
from headwright.sums.evaluate import SumFault, evaluate
from headwright.sums.written import scales

if TYPE_CHECKING:
    from collections.abc import Mapping
    from pathlib import Path

    from headwright.sums.evaluate import Worked
    from headwright.sums.model import Input, Sum

NUMBERS = st.one_of(
    st.floats(allow_nan=True, allow_infinity=True).map(repr),
    st.sampled_from(["0", "-0", "1e-300", "1e300", "8.7", "9,525", "0.3", "1/3", "1 5/8", "45", "1/0"]),
)
FILES = [(name, each.key) for name, told in SUMS.items() for each in told.inputs if each.columns]


def texts(each: Input) -> st.SearchStrategy[str]:
    """Give texts for an input: mostly numbers with a unit that fits."""
    fitting = sorted(scales(each.dimension)) if each.dimension in DIMENSIONS else ["", "mm", "degC"]
    quantity = st.builds("{}{}".format, NUMBERS, st.sampled_from(fitting))
    one = st.one_of(quantity, quantity, quantity, NUMBERS, st.text(max_size=20))
    return st.lists(one, min_size=1, max_size=3).map(",".join) if each.many else one


def worked_or_told(told: Sum, given_texts: Mapping[str, str]) -> Worked | SumFault:
    try:
        return evaluate(told, given_texts)
    except SumFault as fault:
        return fault


@settings(deadline=None, max_examples=300)
@given(data=st.data())
def test_any_text_is_answered_or_told(data: st.DataObject) -> None:
    told = SUMS[data.draw(st.sampled_from(sorted(SUMS)))]
    given_texts = {
        each.key: data.draw(texts(each))
        for each in told.inputs
        if not each.columns and (each.required or data.draw(st.booleans()))
    }
    found = worked_or_told(told, given_texts)
    if isinstance(found, SumFault):
        assert found.message.startswith(f"{told.name}: ")
        assert len(found.message) < 300
    else:
        assert all(answer.text for answer in found.answers("in").values())
        assert all(remark.endswith(".") for remark in found.remarks("in"))


@settings(deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(
    file=st.sampled_from(FILES),
    content=st.one_of(st.binary(max_size=60), st.from_regex(r"([-0-9.,;a-z \t\n\[\]]){0,60}").map(str.encode)),
)
def test_a_file_of_anything_is_answered_or_told(tmp_path: Path, file: tuple[str, str], content: bytes) -> None:
    name, key = file
    path = tmp_path / "figures.csv"
    path.write_bytes(content)
    others = {k: text for k, text in SUMS[name].example.items() if k != key and k not in {"mean", "s"}}
    found = worked_or_told(SUMS[name], others | {key: str(path)})
    if isinstance(found, SumFault):
        assert found.message.startswith(f"{name}: ")
    else:
        assert {*found.results} == {each.key for each in SUMS[name].results}
