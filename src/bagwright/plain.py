"""Results as plain data: what goes into a JSON document, keys with the unit in them, missing as null."""

from __future__ import annotations

import json
import math
from collections.abc import Mapping
from dataclasses import fields, is_dataclass
from pathlib import PurePath
from typing import Any

_ROUND_TO = 10
"""Significant digits that a number keeps: far below anything measured, above floating-point dust."""


def plain(value: object) -> Any:
    """`value` as dicts, lists, strings, numbers, booleans and None, fit for JSON.

    Dataclasses become dicts of their public fields, NaN and infinities become None (missing is missing),
    numpy arrays and scalars become lists and numbers. Raises TypeError for anything else, so that no object
    is ever printed by its address.
    """
    if value is None or isinstance(value, str | bool):
        return value
    if isinstance(value, int):
        return value
    if isinstance(value, float):
        return _number(value)
    if is_dataclass(value) and not isinstance(value, type):
        return {f.name: plain(getattr(value, f.name)) for f in fields(value) if not f.name.startswith("_")}
    if isinstance(value, Mapping):
        return {_key(key): plain(item) for key, item in value.items()}
    if isinstance(value, list | tuple | set | frozenset):
        return [plain(item) for item in value]
    if isinstance(value, PurePath):
        return str(value)
    if hasattr(value, "tolist"):
        return plain(value.tolist())
    raise TypeError(f"cannot write {type(value).__name__} as plain data")


def _key(key: object) -> str:
    return " / ".join(str(part) for part in key) if isinstance(key, tuple) else str(key)


def _number(value: float) -> float | None:
    return float(f"{value:.{_ROUND_TO}g}") if math.isfinite(value) else None


def to_json(value: object) -> str:
    """`value` as one JSON document, readable, in UTF-8 text, ending with a line break."""
    return json.dumps(plain(value), ensure_ascii=False, indent=2, allow_nan=False) + "\n"
