"""Where each key of a TOML file stands. Loaded only when there is a problem to report."""

from __future__ import annotations

import tomllib
from typing import TYPE_CHECKING

import tree_sitter
import tree_sitter_toml

if TYPE_CHECKING:
    from headwright.procedure.problems import KeyPath


def lines_of(text: str) -> dict[KeyPath, int]:
    """Give the line, from 1, of every table and key of a TOML text that tomllib has accepted."""
    parser = tree_sitter.Parser(tree_sitter.Language(tree_sitter_toml.language()))
    lines: dict[KeyPath, int] = {}
    arrays: dict[KeyPath, int] = {}
    for node in parser.parse(text.encode()).root_node.children:
        if node.type == "pair":
            _pair(node, (), lines)
        elif node.type in ("table", "table_array_element"):
            header = _inside(_keys(node.children[1]), arrays)
            if node.type == "table_array_element":
                arrays[header] = arrays.get(header, -1) + 1
                lines.setdefault(header, node.start_point.row + 1)
                header = (*header, arrays[header])
            for depth in range(1, len(header) + 1):
                lines.setdefault(header[:depth], node.start_point.row + 1)
            for child in node.children[3:]:
                if child.type == "pair":
                    _pair(child, header, lines)
    return lines


def line_at(lines: dict[KeyPath, int], path: KeyPath) -> int:
    """Give the line of a key, or of the nearest table around it that is written; 1 where there is none."""
    while path:
        if path in lines:
            return lines[path]
        path = path[:-1]
    return 1


def _inside(keys: KeyPath, arrays: dict[KeyPath, int]) -> KeyPath:
    """Add the number of the element where a header goes on from the last element of an array of tables."""
    path: KeyPath = ()
    for number, key in enumerate(keys, start=1):
        path = (*path, key)
        if path in arrays and number < len(keys):
            path = (*path, arrays[path])
    return path


def _keys(node: tree_sitter.Node) -> KeyPath:
    if node.type == "dotted_key":
        return tuple(key for child in node.children if child.type != "." for key in _keys(child))
    text = (node.text or b"").decode()
    if node.type == "quoted_key":
        return tuple(tomllib.loads(f"{text} = 0"))
    return (text,)


def _pair(node: tree_sitter.Node, around: KeyPath, lines: dict[KeyPath, int]) -> None:
    keys = _keys(node.children[0])
    for depth in range(1, len(keys) + 1):
        lines.setdefault((*around, *keys[:depth]), node.start_point.row + 1)
    _value(node.children[-1], (*around, *keys), lines)


def _value(node: tree_sitter.Node, path: KeyPath, lines: dict[KeyPath, int]) -> None:
    if node.type == "inline_table":
        for child in node.children:
            if child.type == "pair":
                _pair(child, path, lines)
    elif node.type == "array":
        items = [child for child in node.children if child.type not in ("[", "]", ",", "comment")]
        for number, child in enumerate(items):
            lines.setdefault((*path, number), child.start_point.row + 1)
            _value(child, (*path, number), lines)
