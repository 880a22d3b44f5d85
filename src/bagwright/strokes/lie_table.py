"""What a lie does to a shot, and what it forbids: the tables of `lies.toml`, each row with its source.

Every figure is over the shot from a good lie (a tee for the driver, a fairway for the others), and every row
can be overruled by the shots that the player hit from that lie (`own_lies`).
"""

from __future__ import annotations

import tomllib
from collections.abc import Iterator
from dataclasses import dataclass
from importlib.resources import files
from typing import Any

from bagwright.course.lies import PLAYED_FROM, Lie


@dataclass(frozen=True, slots=True)
class LieEffect:
    """One row: a full shot with a kind of club from a lie over the same from a good one.

    Carry times `distance`; sd along the line times `along` and across it times `across`, both plus `further`
    of the carry; odds of a mishit times `mishits`; spin times `spin`.
    """

    lie: Lie
    kind: str
    distance: float
    along: float
    across: float
    further: float
    mishits: float
    spin: float
    source: str


@dataclass(frozen=True, slots=True)
class Forbidden:
    """A lie from which clubs of a kind with less loft than `below` (degrees) are not played, and why."""

    lie: Lie
    kind: str
    below: float
    why: str


@dataclass(frozen=True, slots=True)
class ShortLie:
    """Pitches, chips and bunker shots from a lie: what is added to the spread from a fairway.

    Circular sd: `share` of the length and `floor_m` more than from a fairway; odds of a mishit times
    `mishits`.
    """

    lie: Lie
    share: float
    floor_m: float
    mishits: float
    source: str


@dataclass(frozen=True, slots=True)
class Trees:
    """Under trees: launch of a punch over a full shot's, and the balls that hit a tree.

    `hit` of the shots do; they come down at `reach` of the carry, give or take `sd` of it along and across.
    """

    punch_launch: float
    hit: float
    reach: float
    sd: float


def _rows(table: dict[str, Any], sources: dict[str, str]) -> Iterator[dict[str, Any]]:
    """Rows by the names of their columns, lies as `Lie`, sources in full; KeyError for one not listed."""
    for row in table["rows"]:
        named = dict(zip(table["columns"], row, strict=True))
        named["lie"] = Lie[named["lie"].upper()]
        if "source" in named:
            named["source"] = sources[named["source"]]
        yield named


_DATA = tomllib.loads(files("bagwright.strokes").joinpath("lies.toml").read_text(encoding="utf-8"))

EFFECTS = {
    (row.lie, row.kind): row
    for row in (LieEffect(**named) for named in _rows(_DATA["full"], _DATA["sources"]))
}
"""Rows of full shots by (lie, kind of club)."""
RULES = tuple(Forbidden(**named) for named in _rows(_DATA["forbidden"], {}))
"""What a lie forbids: common practice, no source."""
SHORT_LIES = tuple(
    sorted(
        (ShortLie(**named) for named in _rows(_DATA["short"], _DATA["sources"])),
        key=lambda row: PLAYED_FROM.index(row.lie),
    )
)
"""Rows of short shots in the order of `PLAYED_FROM`."""
TREES = Trees(**_DATA["trees"])
