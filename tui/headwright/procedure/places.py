"""The places of a family: the job, its heads, their chambers, and the positions as they stand."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

from headwright.procedure.plan import JOB_PLACE, Kind, Level, Place
from headwright.procedure.problems import listed

if TYPE_CHECKING:
    from headwright.procedure.family import FamilyDef, HeadDef, PositionsDef
    from headwright.procedure.problems import KeyPath

Fault = tuple["KeyPath", str]

_PLACEHOLDER = re.compile(r"\{([^{}]*)\}")
_PLACEHOLDERS = ("head", "cylinder", "kind", "valve")
_NAME = re.compile(r"[A-Za-z0-9][A-Za-z0-9-]{0,11}")


def places_of(family: FamilyDef) -> tuple[tuple[Place, ...], list[Fault]]:
    """Work out the places of a family.

    Returns:
        Places widest first, positions as they stand front to rear; and what is wrong with the names, each with its
        key in the family.
    """
    faults = _naming_faults(family.positions)
    if faults:
        return (), faults
    heads: list[Place] = []
    chambers: dict[str, Place] = {}
    positions: dict[str, Place] = {}
    for number, head in enumerate(family.head):
        if not _NAME.fullmatch(head.name):
            faults.append((("head", number, "name"), f'"{head.name}": expected up to 12 letters, digits and hyphens'))
            continue
        place = Place(f"head:{head.name}", Level.HEAD, head.name, (JOB_PLACE,))
        heads.append(place)
        if not head.stand:
            faults.append((("head", number, "stand"), "no position stands in this head"))
        pattern = _pattern(family.positions, head)
        for index, name in enumerate(head.stand):
            at: KeyPath = ("head", number, "stand", index)
            match = pattern.fullmatch(name)
            if match is None or not _NAME.fullmatch(name):
                faults.append((at, f"position '{name}' does not fit the template '{family.positions.template}'"))
            elif name in positions or name == JOB_PLACE:
                faults.append((at, f"position '{name}' stands twice; put {{head}} or {{valve}} in the template"))
            else:
                around, kind = _inside(place, match, chambers, family.positions)
                positions[name] = Place(name, Level.POSITION, name, around, kind, match["cylinder"])
    places = (Place(JOB_PLACE, Level.JOB, JOB_PLACE), *heads, *chambers.values(), *positions.values())
    return places, faults


def _naming_faults(naming: PositionsDef) -> list[Fault]:
    where: KeyPath = ("positions", "template")
    faults: list[Fault] = []
    found = _PLACEHOLDER.findall(naming.template)
    for name in found:
        if name not in _PLACEHOLDERS:
            expected = listed(f"{{{each}}}" for each in _PLACEHOLDERS)
            faults.append((where, f"unknown placeholder {{{name}}}; expected {expected}"))
        elif found.count(name) > 1:
            return [(where, f"{{{name}}} stands twice")]
    faults.extend((where, f"{{{name}}} is missing") for name in ("cylinder", "kind") if name not in found)
    if naming.intake == naming.exhaust:
        faults.append((("positions", "exhaust"), f"'{naming.exhaust}' stands for both kinds"))
    return faults


def _pattern(naming: PositionsDef, head: HeadDef) -> re.Pattern[str]:
    parts = {
        "head": re.escape(head.name),
        "cylinder": "(?P<cylinder>[0-9]+)",
        "kind": f"(?P<kind>{re.escape(naming.intake)}|{re.escape(naming.exhaust)})",
        "valve": "[0-9]+|[A-Za-z]",
    }
    pieces = _PLACEHOLDER.split(naming.template)
    return re.compile(
        "".join(f"(?:{parts[piece]})" if number % 2 else re.escape(piece) for number, piece in enumerate(pieces))
    )


def _inside(
    head: Place, match: re.Match[str], chambers: dict[str, Place], naming: PositionsDef
) -> tuple[tuple[str, ...], Kind]:
    cylinder = match["cylinder"]
    chamber = f"chamber:{head.name}-{cylinder}"
    if chamber not in chambers:
        chambers[chamber] = Place(chamber, Level.CHAMBER, cylinder, (JOB_PLACE, head.id), None, cylinder)
    kind = Kind.INTAKE if match["kind"] == naming.intake else Kind.EXHAUST
    return (JOB_PLACE, head.id, chamber), kind
