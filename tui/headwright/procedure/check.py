"""The whole check of procedures: every file, every family on each of its routes and applications, every route."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from headwright.data import shipped
from headwright.procedure.library import FOLDERS, OPTIONAL, SHARED, collect
from headwright.procedure.problems import Problem, close_to, listed
from headwright.procedure.proof import prove, walked_by
from headwright.procedure.resolve import resolve

if TYPE_CHECKING:
    from collections.abc import Hashable, Sequence

    from headwright.procedure.library import Library
    from headwright.procedure.plan import Plan


@dataclass(frozen=True)
class Report:
    """What a check found: `problems` one line each, and a `summary` in one line."""

    problems: tuple[str, ...]
    summary: str

    @property
    def is_clean(self) -> bool:
        """Tell whether there is no problem."""
        return not self.problems


def check(paths: Sequence[str | Path] = ()) -> Report:
    """Check procedures.

    Args:
        paths: folders of procedures, each checked whole; or single definition files, checked against the shipped
            rest. None: the procedures that come with the program.

    Returns:
        Every problem, and a summary.
    """
    problems: list[Problem] = []
    counts: list[str] = []
    overlay: dict[str, Path] = {}
    folders: list[tuple[Path, str]] = []
    for each in map(Path, paths):
        if each.is_dir():
            folders.append((each, str(each)))
        elif not each.exists():
            problems.append(Problem(str(each), 0, "", "no such file or folder"))
        else:
            name, reason = _place_of(each)
            if reason:
                problems.append(Problem(str(each), 0, "", reason))
            else:
                overlay[name] = each
    if overlay or not paths:
        folders.append((shipped("procedures"), "procedures"))
    for number, (folder, shown) in enumerate(folders):
        own = overlay if number == len(folders) - 1 else {}
        library, found = collect(folder, shown=shown, overlay=own)
        problems += found + _plans(library)
        counts.append(_counts(library, shown))
    return _report(problems, counts)


def _plans(library: Library) -> list[Problem]:
    """Resolve every family on each of its routes for each application, and prove every route.

    Families that differ in figures and words alone share one proof.
    """
    problems: list[Problem] = []
    proved: set[Hashable] = set()
    for name, entry in library.families.items():
        for route in entry.definition.routes:
            plan = None
            for application in entry.definition.application:
                plan, found = resolve(library, route, name, application)
                problems += found
            if plan is not None:
                walked = (route, walked_by(plan))
                problems += _proved(library, plan) if walked not in proved else []
                proved.add(walked)
    return problems


def _proved(library: Library, plan: Plan) -> list[Problem]:
    table = library.routes[plan.route].table
    places = {operation.id: number for number, operation in enumerate(plan.operations)}
    return [table.problem(("operations", places[flaw.operation]), flaw.message) for flaw in prove(plan)]


def _report(problems: Sequence[Problem], counts: Sequence[str]) -> Report:
    lines = tuple(str(problem) for problem in sorted(set(problems)))
    end = "no problems" if not lines else f"{len(lines)} problem{'s' if len(lines) > 1 else ''}"
    return Report(lines, "; ".join([*counts, end]))


def _place_of(path: Path) -> tuple[str, str]:
    """Tell where in a procedures folder a single file belongs, or why nobody can say."""
    absolute = path.absolute()
    if absolute.suffix == ".toml" and absolute.parent.name in FOLDERS:
        return f"{absolute.parent.name}/{absolute.name}", ""
    known = (*SHARED, *OPTIONAL)
    if absolute.suffix == ".toml" and absolute.stem in known:
        return absolute.name, ""
    names = [f"{name}.toml" for name in known]
    near = close_to(absolute.stem, known)
    meant = (
        f"did you mean '{near}.toml'?" if near else f"expected a file in a folder {listed(FOLDERS)}, or {listed(names)}"
    )
    return "", f"cannot tell what this file defines; {meant}"


def _counts(library: Library, shown: str) -> str:
    def many(count: int, one: str, more: str) -> str:
        return f"{count} {one if count == 1 else more}"

    used = {name for route in library.routes.values() for name in route.definition.operations}
    gone = {name for family in library.families.values() for name in family.definition.routes}
    idle = [f"operation '{name}' is in no route" for name in library.operations if name not in used]
    idle += [f"route '{name}' is in no family" for name in library.routes if name not in gone]
    unchecked = f" (only read, not resolved: {listed(idle, 'and')})" if idle else ""
    counted = ", ".join(
        (
            many(len(library.sources), "file", "files"),
            many(len(library.operations), "operation", "operations"),
            many(len(library.routes), "route", "routes"),
            many(len(library.families), "family", "families"),
        )
    )
    return f"{shown}: {counted}{unchecked}"
