"""Walks a machinist through rebuilding a cylinder head.

Without a command it opens the jobs board.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from headwright.cli.screens import shown

if TYPE_CHECKING:
    from argparse import ArgumentParser, Namespace


def arguments(parser: ArgumentParser) -> None:
    """Take no more words."""
    del parser


def run(asked: Namespace) -> int:
    """Open the jobs board."""
    del asked
    return shown(lambda _: "")
