"""A folder of procedures, read whole: every definition held to its model, every problem kept."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Generic, TypeVar

from pydantic import BaseModel

from headwright.errors import DefinitionsFaulty
from headwright.procedure import references
from headwright.procedure.definitions import CautionDef, ConditionDef, OperationDef, RepairDef, RouteDef
from headwright.procedure.family import FamilyDef
from headwright.procedure.merge import changed, extended
from headwright.procedure.problems import Problem, listed, nearest
from headwright.procedure.rules import ShopDef
from headwright.procedure.sources import Source, Sourced, Unreadable, read
from headwright.procedure.validate import validated
from headwright.procedure.values import is_id

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Mapping
    from pathlib import Path

_Model = TypeVar("_Model", bound=BaseModel)

SHARED = ("conditions", "cautions", "repairs")
"""Files with one table for each definition."""
OPTIONAL = ("shop",)
"""Files that may be missing."""
FOLDERS = ("operations", "routes", "families")
"""Folders with one file for each definition."""


@dataclass(frozen=True)
class Entry(Generic[_Model]):
    """A definition with the table that it was read from."""

    definition: _Model
    table: Sourced


@dataclass
class Library:
    """All definitions of a folder that could be read.

    `known` holds, for each sort of definition, the ids that are written down, sound or not, so that one faulty file
    does not make every mention of it a problem too.
    """

    conditions: dict[str, Entry[ConditionDef]] = field(default_factory=dict)
    cautions: dict[str, Entry[CautionDef]] = field(default_factory=dict)
    repairs: dict[str, Entry[RepairDef]] = field(default_factory=dict)
    operations: dict[str, Entry[OperationDef]] = field(default_factory=dict)
    routes: dict[str, Entry[RouteDef]] = field(default_factory=dict)
    families: dict[str, Entry[FamilyDef]] = field(default_factory=dict)
    changes: dict[str, dict[str, Entry[OperationDef]]] = field(default_factory=dict)
    """The operations as each family changes them, by family and operation."""
    shop: Entry[ShopDef] | None = None
    """The rules of the whole shop; None where it has set none."""
    known: dict[str, frozenset[str]] = field(default_factory=dict)
    sources: dict[str, Source] = field(default_factory=dict)
    """Every file that could be read, by its path within the folder."""

    def operation(self, family: str, name: str) -> Entry[OperationDef] | None:
        """Give an operation as a family has it, None where it is not sound."""
        changes = self.changes.get(family, {})
        return changes[name] if name in changes else self.operations.get(name)


def load(folder: Path) -> Library:
    """Read a folder of procedures.

    Raises:
        DefinitionsFaulty: with every problem there is.
    """
    library, problems = collect(folder)
    if problems:
        raise DefinitionsFaulty([str(problem) for problem in problems])
    return library


def collect(
    folder: Path, *, shown: str = "", overlay: Mapping[str, Path] | None = None
) -> tuple[Library, list[Problem]]:
    """Read a folder of procedures, as far as it goes.

    Args:
        folder: where conditions.toml and the folders of operations, routes and families are.
        shown: how messages name the folder; left out, by its own name.
        overlay: single files that stand in for those of the folder, by their path within it.

    Returns:
        What could be read, and every problem in file and line order.
    """
    if not folder.is_dir():
        return Library(), [Problem(shown or str(folder), 0, "", "no such folder")]
    reader = _Reader(folder, shown or folder.name or str(folder), dict(overlay or {}))
    reader.shared()
    reader.one_a_file()
    reader.families()
    library = reader.library
    problems = {*reader.problems, *references.problems(library)}
    return library, sorted(problems)


class _Reader:
    def __init__(self, folder: Path, shown: str, overlay: dict[str, Path]) -> None:
        self.shown = shown
        self.library = Library()
        self.problems: list[Problem] = []
        self.paths = self._found(folder) | overlay
        self.overlay = overlay

    def _found(self, folder: Path) -> dict[str, Path]:
        """List the definition files, and complain about what does not belong."""
        found: dict[str, Path] = {}
        for path in sorted(folder.iterdir()):
            if path.name.startswith("."):
                continue
            if path.is_dir():
                if path.name in FOLDERS:
                    found.update(self._inside(path))
                elif any(path.glob("**/*.toml")):
                    self._misplaced(path.name, f"unknown folder{_meant(path.name, FOLDERS)}")
            elif path.suffix == ".toml":
                if path.stem in (*SHARED, *OPTIONAL):
                    found[path.name] = path
                else:
                    names = [f"{name}.toml" for name in (*SHARED, *OPTIONAL)]
                    self._misplaced(path.name, f"unknown file{_meant(path.name, names)}")
        for name in SHARED:
            if f"{name}.toml" not in found:
                self._misplaced(f"{name}.toml", "the file is missing")
        return found

    def _inside(self, folder: Path) -> Iterator[tuple[str, Path]]:
        for path in sorted(folder.iterdir()):
            name = f"{folder.name}/{path.name}"
            if path.name.startswith("."):
                continue
            if path.is_dir():
                self._misplaced(name, "a folder has no place here; expected one file for each definition")
            elif path.suffix == ".toml":
                if is_id(path.stem):
                    yield name, path
                else:
                    self._misplaced(name, f"'{path.stem}' is no id; expected lower-case letters, digits and hyphens")

    def _misplaced(self, name: str, message: str) -> None:
        self.problems.append(Problem(f"{self.shown}/{name}", 0, "", message))

    def _read(self, name: str) -> Source | None:
        shown = str(self.overlay[name]) if name in self.overlay else f"{self.shown}/{name}"
        try:
            source = read(self.paths[name], shown, name)
        except Unreadable as error:
            self.problems.append(error.problem)
            return None
        self.library.sources[name] = source
        return source

    def _validated(self, model: type[_Model], table: Sourced) -> Entry[_Model] | None:
        definition, problems = validated(model, table)
        self.problems.extend(problems)
        return None if definition is None else Entry(definition, table)

    def shared(self) -> None:
        """Read the files with one table for each definition, and the rules of the shop."""
        library = self.library
        self._shared("conditions", ConditionDef, library.conditions)
        self._shared("cautions", CautionDef, library.cautions)
        self._shared("repairs", RepairDef, library.repairs)
        shop = self._read("shop.toml") if "shop.toml" in self.paths else None
        if shop is not None:
            library.shop = self._validated(ShopDef, Sourced(shop.data, shop))

    def _shared(self, kind: str, model: type[_Model], into: dict[str, Entry[_Model]]) -> None:
        name = f"{kind}.toml"
        source = self._read(name) if name in self.paths else None
        if source is None:
            return
        self.library.known[kind] = frozenset(source.data)
        for key, data in source.data.items():
            table = Sourced(data, source, (key,)) if isinstance(data, dict) else None
            if table is None:
                self.problems.append(Sourced(source.data, source).problem((key,), "expected a table"))
            elif not is_id(key):
                message = f"'{key}' is no id; expected lower-case letters, digits and hyphens"
                self.problems.append(table.problem((), message))
            elif entry := self._validated(model, table):
                into[key] = entry

    def one_a_file(self) -> None:
        """Read operations and routes."""
        self._files("operations", OperationDef, self.library.operations)
        self._files("routes", RouteDef, self.library.routes)

    def _tables(self, kind: str) -> dict[str, Sourced]:
        names = {name.removesuffix(".toml").partition("/")[2]: name for name in self.paths if name.startswith(kind)}
        self.library.known[kind] = frozenset(names)
        sources = {key: self._read(name) for key, name in sorted(names.items())}
        return {key: Sourced(source.data, source) for key, source in sources.items() if source is not None}

    def _files(self, kind: str, model: type[_Model], into: dict[str, Entry[_Model]]) -> None:
        for key, table in self._tables(kind).items():
            if entry := self._validated(model, table):
                into[key] = entry

    def families(self) -> None:
        """Read families, each laid over the one that it extends, and their changes of operations."""
        raw = self._tables("families")
        for key in raw:
            table = self._extended(key, raw)
            entry = self._validated(FamilyDef, table) if table else None
            if entry is not None:
                self.library.families[key] = entry
                self._changes(key, entry)

    def _extended(self, key: str, raw: Mapping[str, Sourced]) -> Sourced | None:
        chain = [key]
        while isinstance(parent := raw[chain[-1]].data.get("extends"), str):
            if parent in chain:
                ring = chain[chain.index(parent) :]
                if key == min(ring):
                    way = " → ".join([*ring, parent])
                    self.problems.append(raw[key].problem(("extends",), f"goes round in a circle: {way}"))
                return None
            if parent not in raw:
                if parent not in self.library.known["families"] and len(chain) == 1:
                    message = f"unknown family '{parent}'{_meant(parent, raw)}"
                    self.problems.append(raw[key].problem(("extends",), message))
                return None
            chain.append(parent)
        table = raw[chain.pop()]
        while chain:
            table = extended(table, raw[chain.pop()])
        return table

    def _changes(self, key: str, family: Entry[FamilyDef]) -> None:
        changes: dict[str, Entry[OperationDef]] = {}
        for name, data in family.definition.change.items():
            base = self.library.operations.get(name)
            if base is None:
                continue
            change = _Part(family.table, ("change", name)).table(data)
            if entry := self._validated(OperationDef, changed(base.table, change)):
                changes[name] = entry
        self.library.changes[key] = changes


@dataclass(frozen=True)
class _Part:
    """A table inside another, with the origins that concern it."""

    whole: Sourced
    path: tuple[str, ...]

    def table(self, data: dict[str, object]) -> Sourced:
        depth = len(self.path)
        source, at = self.whole.origin(self.path)
        inner = {path[depth:]: place for path, place in self.whole.origins.items() if path[:depth] == self.path}
        inner.pop((), None)
        return Sourced(data, source, at, inner)


def _meant(name: str, names: Iterable[str]) -> str:
    known = list(names)
    return nearest(name, known) or (f"; expected {listed(known)}" if known else "")
