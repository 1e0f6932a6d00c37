"""Whatever stands in a file, the check answers with lines: procedure files come from other shops, and from slips."""

from __future__ import annotations

import shutil
import tomllib
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

import tomli_w
from hypothesis import given, settings
from hypothesis import strategies as st

from headwright.procedure.check import check

LIBRARY = Path(__file__).parent / "library"
FILES = sorted(str(path.relative_to(LIBRARY)) for path in LIBRARY.rglob("*.toml"))

values: st.SearchStrategy[Any] = st.recursive(
    st.one_of(
        st.text(max_size=12),
        st.integers(-3, 3),
        st.floats(width=16),
        st.booleans(),
        st.dates(),
        st.sampled_from(["", "0.001 in", "20 degC", "1 psi", "spec.stem", "spec.stem.low", "size", "dry", "liner"]),
        st.sampled_from(["least(stem)", "stem", "clearance", "1 / 0", "job", "position", "number", "repair", "yes-no"]),
    ),
    lambda inner: st.one_of(
        st.lists(inner, max_size=3),
        st.dictionaries(st.sampled_from(["name", "value", "low", "size", "reading", "é"]), inner, max_size=3),
    ),
    max_leaves=4,
)


def spoil(table: Any, draw: st.DataObject, depth: int = 0) -> None:
    """Replace, drop or add one value somewhere in a table."""
    keys = list(table) if isinstance(table, dict) else list(range(len(table)))
    if not keys:
        return
    key = draw.draw(st.sampled_from(keys))
    if isinstance(table[key], dict | list) and depth < 4 and draw.draw(st.booleans()):
        spoil(table[key], draw, depth + 1)
    elif draw.draw(st.booleans()) and isinstance(table, dict):
        del table[key]
        other = draw.draw(st.sampled_from(["for", "extends", "change", "limit", "unit", "repair", "nonsense"]))
        table[other] = draw.draw(values)
    else:
        table[key] = draw.draw(values)


@settings(max_examples=100, deadline=None)
@given(st.data())
def test_a_spoilt_file_is_told_in_lines(draw: st.DataObject) -> None:
    name = draw.draw(st.sampled_from(FILES))
    data = tomllib.loads((LIBRARY / name).read_text(encoding="utf-8"))
    spoil(data, draw)
    with TemporaryDirectory() as folder:
        copy = Path(folder) / "procedures"
        shutil.copytree(LIBRARY, copy)
        (copy / name).write_text(tomli_w.dumps(data), encoding="utf-8")
        report = check([copy])
    for line in report.problems:
        assert line.startswith(str(copy))
        assert line.isprintable()


@settings(max_examples=100, deadline=None)
@given(st.binary(max_size=300), st.sampled_from(FILES))
def test_a_file_of_any_bytes_is_told_in_lines(content: bytes, name: str) -> None:
    with TemporaryDirectory() as folder:
        copy = Path(folder) / "procedures"
        shutil.copytree(LIBRARY, copy)
        with (copy / name).open("ab") as file:
            file.write(content)
        assert all(line.startswith(str(copy)) for line in check([copy]).problems)
