"""The kit is the shop's own where it has one, else that of the invented shop."""

from __future__ import annotations

from typing import TYPE_CHECKING

from headwright.data import shipped
from headwright.procedure.kit import load_kit
from headwright.store import kit_file

if TYPE_CHECKING:
    from pathlib import Path


def test_a_shop_without_a_kit_of_its_own_has_that_of_the_invented_shop(home: Path) -> None:
    assert not home.exists()
    assert kit_file() == shipped("sample_jobs") / "kit.toml"


def test_the_kit_beside_the_store_is_the_shops_own(home: Path) -> None:
    home.mkdir()
    (home / "kit.toml").write_text('shop = "Ours"\n', encoding="utf-8")
    assert kit_file() == home / "kit.toml"
    assert load_kit(kit_file()).shop == "Ours"
