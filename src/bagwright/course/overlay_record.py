"""The overlay: corrections and answers kept beside a map or card, in a small TOML file.

    origin = [51.0016, -1.0]            # zero of the metres below; the program writes it
    course = "North"                    # which one, where a map holds several
    name = "Our course"

    [answers]                           # by the names that questions have; "as read" agrees
    "7 par" = "4"
    bounds = "as read"

    [hole.7]                            # every key may be left out
    par = 4
    stroke_index = 3
    name = "The bridge"
    pin = [12.5, 301.0]                 # metres east and north, or { lat = 51.0, lon = -1.0 }
    pin_height_m = 103.5
    way = [[0, 0], [10, 200], [12.5, 301]]
    trees = [[30, 100]]

    [[hole.7.tee]]                      # moves or adds the tee of this name; remove = true takes it away
    name = "white"
    at = [0, -4]
    height_m = 101.0
    length_m = 366                      # or length_yd

    [[hole.7.area]]
    do = "replace"                      # or "add", "remove"
    source = "way/1004"                 # as the picture names it; for "add" a name of your own
    lie = "sand"
    shape = [[1, 2], [3, 4], [5, 0]]

    [hole.7.model]                      # of a scorecard only: its model hole
    words = "water left at 210, bunkers short"
    fairway_width_m = 28                # or _yd; dogleg_deg

    [bounds]
    shape = [[-100, -100], [100, -100], [100, 400], [-100, 400]]     # or: none = true

An unknown key is an error that names the nearest known one. What `overlay_text` writes reads back the same
(`overlay.py`).
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Literal

from bagwright.course.lies import Lie
from bagwright.course.tomltable import Place

LIES = {lie.name.lower().replace("_", "-"): lie for lie in Lie}
"""Names of lies in an overlay: tee, fairway, rough, deep, sand, recovery, green, water, water-red, out."""


@dataclass(frozen=True, slots=True)
class TeeChange:
    """A tee that is moved, added or taken away."""

    name: str
    at: Place | None = None
    height_m: float | None = None
    length_m: float | None = None
    remove: bool = False


@dataclass(frozen=True, slots=True)
class AreaChange:
    """An area that is added, replaced or taken away; `source` names it."""

    do: Literal["add", "replace", "remove"]
    source: str
    lie: Lie | None = None
    shape: tuple[Place, ...] = ()


@dataclass(frozen=True, slots=True)
class HoleChange:
    """All that an overlay says of one hole; None and empty where it says nothing."""

    par: int | None = None
    stroke_index: int | None = None
    name: str | None = None
    pin: Place | None = None
    pin_height_m: float | None = None
    way: tuple[Place, ...] = ()
    trees: tuple[Place, ...] | None = None
    tees: tuple[TeeChange, ...] = ()
    areas: tuple[AreaChange, ...] = ()
    model: Mapping[str, float | str] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Overlay:
    """Corrections and answers of one course."""

    origin: tuple[float, float] | None = None
    course: str | None = None
    name: str | None = None
    answers: Mapping[str, str] = field(default_factory=dict)
    holes: Mapping[int, HoleChange] = field(default_factory=dict)
    bounds: tuple[Place, ...] = ()
    no_bounds: bool = False
