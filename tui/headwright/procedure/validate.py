"""Holding a table to its model, and saying each fault in a person's words."""

from __future__ import annotations

from copy import deepcopy
from typing import TYPE_CHECKING, Any, TypeVar, get_args, get_origin

from pydantic import BaseModel, ValidationError

from headwright.procedure.problems import listed, nearest
from headwright.procedure.values import shown

if TYPE_CHECKING:
    from pydantic_core import ErrorDetails

    from headwright.procedure.problems import KeyPath, Problem
    from headwright.procedure.sources import Sourced

_Model = TypeVar("_Model", bound=BaseModel)

_EXPECTED = {
    "string_type": "text in quotes",
    "bool_type": "true or false",
    "int_type": "a whole number",
    "float_type": "a number",
    "tuple_type": "a list in [ ]",
    "dict_type": "a table",
    "model_type": "a table",
    "model_attributes_type": "a table",
    "finite_number": "a finite number",
}


def validated(model: type[_Model], table: Sourced) -> tuple[_Model | None, list[Problem]]:
    """Hold a table to its model.

    Returns:
        The definition, None where there can be none, and everything that is wrong. A table whose only fault is a key
        that nobody knows is a definition all the same, so that what else is wrong with it can be found at once.
    """
    try:
        return model.model_validate(table.data), []
    except ValidationError as error:
        details = error.errors(include_url=False)
    problems = [_problem(model, table, detail) for detail in details]
    if any(detail["type"] != "extra_forbidden" for detail in details):
        return None, problems
    known = deepcopy(table.data)
    for detail in details:
        _drop(known, detail["loc"])
    try:
        return model.model_validate(known), problems
    except ValidationError as error:
        return None, problems + [_problem(model, table, detail) for detail in error.errors(include_url=False)]


def _drop(data: Any, path: KeyPath) -> None:
    for key in path[:-1]:
        data = data[key]
    del data[path[-1]]


def _problem(model: type[BaseModel], table: Sourced, detail: ErrorDetails) -> Problem:
    path: KeyPath = tuple(key for key in detail["loc"] if key != "[key]")
    sort = detail["type"]
    if sort == "extra_forbidden":
        known = keys_at(model, path[:-1])
        near = nearest(str(path[-1]), known) or f"; expected {listed(known)}"
        return table.problem(path, f"unknown key{near}")
    if sort == "missing":
        return table.problem(path[:-1], f"the key '{path[-1]}' is missing")
    if sort == "definition":
        return table.problem((*path, *detail.get("ctx", {}).get("at", ())), detail["msg"])
    if sort in _EXPECTED:
        return table.problem(path, f"expected {_EXPECTED[sort]}, found {shown(detail['input'])}")
    return table.problem(path, f"{detail['msg'][:1].lower()}{detail['msg'][1:]}, found {shown(detail['input'])}")


def keys_at(model: type[BaseModel], path: KeyPath) -> tuple[str, ...]:
    """Give the keys that a model knows at a place inside it."""
    inner: Any = model
    for key in path:
        inner = _inside(inner, key)
    return tuple(field.alias or name for name, field in inner.model_fields.items()) if _is_model(inner) else ()


def _is_model(annotation: object) -> bool:
    return isinstance(annotation, type) and issubclass(annotation, BaseModel)


def _inside(annotation: Any, key: str | int) -> Any:
    if _is_model(annotation):
        fields = {field.alias or name: field for name, field in annotation.model_fields.items()}
        return _bare(fields[str(key)].annotation) if key in fields else None
    arguments = get_args(annotation)
    if get_origin(annotation) is tuple:
        return _bare(arguments[0])
    if get_origin(annotation) is dict:
        return _bare(arguments[1])
    return None


def _bare(annotation: Any) -> Any:
    """Take off Annotated and Optional."""
    if hasattr(annotation, "__metadata__"):
        return _bare(annotation.__origin__)
    some = [each for each in get_args(annotation) if each is not type(None)]
    if len(some) < len(get_args(annotation)):
        return _bare(some[0])
    return annotation
