"""Records from their plain form: what `plain` wrote, read again by the types of the fields."""

from __future__ import annotations

import types
import typing
from collections.abc import Mapping
from dataclasses import fields, is_dataclass
from typing import Any, TypeVar

from bagwright.errors import InputError
from bagwright.words import tell

Kind = TypeVar("Kind")


def read_again(kind: type[Kind], data: Any) -> Kind:
    """A record of this kind from what `plain` gave. Raises InputError for anything else."""
    try:
        found: Kind = _read(kind, data)
    except (KeyError, TypeError, ValueError) as error:
        raise InputError(
            tell("What was kept cannot be read: {error}.", error=str(error)[:100]), tell("Work it out again.")
        ) from error
    return found


def _read(kind: Any, data: Any) -> Any:
    """Records, tuples of any length or a fixed one, optional values, texts and numbers."""
    if is_dataclass(kind):
        if not isinstance(data, Mapping):
            raise TypeError(f"{getattr(kind, '__name__', kind)} is no record")
        hints = typing.get_type_hints(kind)
        public = [field.name for field in fields(kind) if not field.name.startswith("_")]
        made: Any = kind
        return made(**{name: _read(hints[name], data[name]) for name in public})
    origin, inside = typing.get_origin(kind), typing.get_args(kind)
    if origin in (types.UnionType, typing.Union):
        return None if data is None else _read(next(one for one in inside if one is not type(None)), data)
    if origin is tuple:
        if inside[-1] is Ellipsis:
            return tuple(_read(inside[0], one) for one in data)
        return tuple(_read(one, each) for one, each in zip(inside, data, strict=True))
    if kind is float and isinstance(data, int | float) and not isinstance(data, bool):
        return float(data)
    if kind is str and isinstance(data, str):
        return data
    if kind in (int, bool) and type(data) is kind:
        return data
    raise TypeError(f"a value is no {getattr(kind, '__name__', kind)}")
