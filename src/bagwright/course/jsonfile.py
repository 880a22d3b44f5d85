"""JSON from strangers: bounded before it is parsed, and strict about what is no JSON."""

from __future__ import annotations

import json
from typing import Any

from bagwright.course import limits
from bagwright.errors import InputError
from bagwright.shots.texts import clean
from bagwright.words import tell


def parse_json(raw: bytes, file: str) -> dict[str, Any]:
    """Parse a document whose top is an object. Raises InputError for anything else."""
    if raw.count(b"[") + raw.count(b"{") > limits.BRACKETS or raw.count(b",") > limits.COMMAS:
        raise InputError(
            tell("{file} holds too many values for a map.", file=file),
            tell("Cut the map to the one golf course."),
        )
    try:
        document = json.loads(raw.decode("utf-8-sig"), parse_constant=_refused)
    except (ValueError, RecursionError) as error:
        reason = clean(str(error), 80) if isinstance(error, ValueError) else tell("nested too deeply")
        raise InputError(
            tell("{file} is broken JSON ({reason}).", file=file, reason=reason), tell("Export the map again.")
        ) from error
    if not isinstance(document, dict):
        raise InputError(
            tell("{file} is JSON, but no map.", file=file), tell("Give GeoJSON or Overpass JSON.")
        )
    return document


def _refused(word: str) -> float:
    raise ValueError(f"{word} is no number of JSON")
