"""The guide for leads names every key there is, so it cannot fall behind the models."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

import pytest

from headwright import units
from headwright.data import shipped
from headwright.procedure.definitions import (
    ADVICE,
    ROLES,
    CautionDef,
    ConditionDef,
    OperationDef,
    ReadingDef,
    RemedyDef,
    RepairDef,
    ResultDef,
    RouteDef,
    StepDef,
)
from headwright.procedure.family import FamilyDef, HeadDef, PositionsDef, SpecDef
from headwright.procedure.functions import FUNCTIONS
from headwright.procedure.plan import ConditionSort, Level, Role, Sort, Tick
from headwright.procedure.rules import MasteringDef, ShopDef

if TYPE_CHECKING:
    from enum import StrEnum

    from pydantic import BaseModel

SECTIONS: dict[str, type[BaseModel]] = {
    "conditions.toml": ConditionDef,
    "cautions.toml": CautionDef,
    "repairs.toml": RepairDef,
    "shop.toml": ShopDef,
    "operations/": OperationDef,
    "[[step]]": StepDef,
    "[[reading]]": ReadingDef,
    "[[result]]": ResultDef,
    "[[….remedy]]": RemedyDef,
    "routes/": RouteDef,
    "[mastering]": MasteringDef,
    "families/": FamilyDef,
    "[positions]": PositionsDef,
    "[[head]]": HeadDef,
    "[spec.NAME]": SpecDef,
}


def sections() -> dict[str, str]:
    text = (shipped("procedures") / "README.md").read_text(encoding="utf-8")
    parts = re.split(r"^#{2,3} (.*)$", text, flags=re.MULTILINE)
    return {title.split("`")[1]: body for title, body in zip(parts[1::2], parts[2::2], strict=True) if "`" in title}


@pytest.mark.parametrize("section", SECTIONS)
def test_the_table_of_a_section_has_exactly_the_keys_of_its_model(section: str) -> None:
    written = re.findall(r"^\| `([^`]+)` \|", sections()[section], flags=re.MULTILINE)
    model = SECTIONS[section]
    assert sorted(written) == sorted(field.alias or name for name, field in model.model_fields.items())


def test_every_role_every_advice_and_both_rules_are_named() -> None:
    text = "".join(sections().values())
    assert [
        word for word in (*ROLES, *ADVICE, "plain", "proof") if f"`{word}`" not in text and f'`"{word}"`' not in text
    ] == []


@pytest.mark.parametrize("words", [ConditionSort, Level, Role, Sort, Tick], ids=lambda words: words.__name__)
def test_every_word_that_may_be_chosen_is_named(words: type[StrEnum]) -> None:
    text = "".join(sections().values())
    assert [word.value for word in words if f"`{word.value}`" not in text] == []


def test_every_function_and_every_unit_is_named() -> None:
    text = (shipped("procedures") / "README.md").read_text(encoding="utf-8")
    assert [name for name in FUNCTIONS if f"`{name}(" not in text] == []
    every = {unit.name for dimension in units.CANONICAL for unit in units.units_of(dimension)}
    assert [name for name in sorted(every) if f"`{name}`" not in text] == []
