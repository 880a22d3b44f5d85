"""Tables of our own TOML files, read key by key: every error names file, table, key and value."""

from __future__ import annotations

import difflib
import math
import tomllib
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any

from bagwright.errors import InputError
from bagwright.shots.texts import clean
from bagwright.words import tell

FARTHEST_M = 20_000.0
MOST_POINTS = 2_000
MOST_CHANGES = 2_000


@dataclass(frozen=True, slots=True)
class Place:
    """A place: metres (x east, y north) of the overlay's zero, or degrees (latitude, longitude)."""

    a: float
    b: float
    degrees: bool = False


def parse_toml(text: str, source: str) -> dict[str, Any]:
    """Parse a file's text. Raises InputError that says where it is no TOML."""
    try:
        return tomllib.loads(text.replace("\r\n", "\n"))
    except (ValueError, RecursionError) as error:
        reason = clean(str(error), 100) if isinstance(error, ValueError) else tell("nested too deeply")
        raise InputError(
            tell("{source} is not a TOML file ({reason}).", source=source, reason=reason),
            tell("Correct that line."),
        ) from error


class Table:
    """One table of the file, read key by key; every error says where it is."""

    def __init__(self, data: Mapping[str, Any], source: str, where: str) -> None:
        self.data, self.source, self.where = data, source, where

    def bad(self, key: str, wanted: str) -> InputError:
        """Give the error for a key's value, with what was wanted."""
        value = self.data.get(key)
        shown = f'"{clean(value[:200], 40)}"' if isinstance(value, str) else f"a {type(value).__name__}"
        if isinstance(value, int | float) and not isinstance(value, bool) and abs(value) < 1e18:
            shown = str(value)
        return InputError(
            tell(
                "{source}: {where}: {key} is {shown}, not {wanted}.",
                source=self.source,
                where=self.where,
                key=key,
                shown=shown,
                wanted=wanted,
            ),
            tell("Correct it."),
        )

    def only(self, *known: str) -> None:
        """Raise InputError for a key that is not known."""
        for key in self.data:
            if key not in known:
                raise unknown(self.source, self.where, key, known)

    def table(self, key: str) -> Table:
        """Give a table inside, empty where there is none."""
        value = self.data.get(key, {})
        if not isinstance(value, dict):
            raise self.bad(key, tell("a table"))
        return Table(value, self.source, tell("in [{key}]", key=key))

    def tables(self, key: str, name: str) -> list[Table]:
        """Give the tables of an array of them, each with its place."""
        value = self.data.get(key, [])
        if not isinstance(value, list) or not all(isinstance(one, dict) for one in value):
            raise self.bad(key, tell("tables written as [[{name}]]", name=name))
        if len(value) > MOST_CHANGES:
            raise InputError(
                tell(
                    "{source}: more than {most_changes} of [[{name}]].",
                    source=self.source,
                    most_changes=MOST_CHANGES,
                    name=name,
                ),
                tell("Take some out."),
            )
        return [
            Table(one, self.source, tell("in [[{name}]] number {i}", name=name, i=i))
            for i, one in enumerate(value, start=1)
        ]

    def text(self, key: str, longest: int = 200) -> str | None:
        """Give one clean line of text, None where there is none."""
        value = self.data.get(key)
        if value is None:
            return None
        if not isinstance(value, str) or len(value) > longest or clean(value, longest) != value or not value:
            raise self.bad(
                key, tell("one line of text in quotes, up to {longest} characters", longest=longest)
            )
        return value

    def flag(self, key: str) -> bool:
        """Give true or false; false where there is none."""
        value = self.data.get(key, False)
        if not isinstance(value, bool):
            raise self.bad(key, tell("true or false"))
        return value

    def number(self, key: str, low: float, high: float) -> float | None:
        """Give a number in [low, high], None where there is none."""
        value = self.data.get(key)
        if value is None:
            return None
        if not isinstance(value, int | float) or isinstance(value, bool) or not low <= value <= high:
            raise self.bad(key, tell("a number from {low:g} to {high:g}", low=low, high=high))
        return float(value)

    def whole(self, key: str, low: int, high: int) -> int | None:
        """Give a whole number in [low, high], None where there is none."""
        value = self.data.get(key)
        if value is None:
            return None
        if not isinstance(value, int) or isinstance(value, bool) or not low <= value <= high:
            raise self.bad(key, tell("a whole number from {low} to {high}", low=low, high=high))
        return value

    def place(self, key: str) -> Place | None:
        """Give a place, None where there is none."""
        value = self.data.get(key)
        if value is None:
            return None
        found = place_of(value)
        if found is None:
            raise self.bad(key, tell("[metres east, metres north] or {{ lat = ..., lon = ... }}"))
        return found

    def places(self, key: str, least: int) -> tuple[Place, ...]:
        """Give a list of at least so many places, empty where there is none."""
        value = self.data.get(key)
        if value is None:
            return ()
        found = (
            [place_of(one) for one in value] if isinstance(value, list) and len(value) <= MOST_POINTS else []
        )
        if (not found and least) or len(found) < least or not isinstance(value, list) or None in found:
            raise self.bad(
                key,
                tell(
                    "a list of {least} to {most} places like [metres east, metres north]",
                    least=least,
                    most=MOST_POINTS,
                ),
            )
        return tuple(place for place in found if place is not None)


def unknown(source: str, where: str, key: str, known: Iterable[str]) -> InputError:
    """Give the error for an unknown key, with the nearest known one."""
    names = list(known)
    near = difflib.get_close_matches(key[:60], names, n=1, cutoff=0.5)
    if near:
        hint = tell('The nearest known one is "{near}".', near=near[0])
    else:
        hint = tell("Known: {names}.", names=", ".join(names[:40]))
    return InputError(
        tell(
            '{source}: {where}: "{key}" is not known.', source=source, where=where, key=clean(key[:200], 60)
        ),
        hint,
    )


def place_of(value: object) -> Place | None:
    """Read one place; None where it is none."""
    if isinstance(value, dict):
        lat, lon = value.get("lat"), value.get("lon")
        if set(value) == {"lat", "lon"} and real(lat, 90.0) and real(lon, 180.0):
            return Place(float(lat), float(lon), True)  # type: ignore[arg-type]
        return None
    if isinstance(value, list) and len(value) == 2 and all(real(one, FARTHEST_M) for one in value):
        return Place(float(value[0]), float(value[1]))
    return None


def real(value: object, most: float) -> bool:
    """Whether a value is a finite number of at most this size."""
    if not isinstance(value, int | float) or isinstance(value, bool):
        return False
    return abs(value) <= most and math.isfinite(value)
