"""What the tags of OpenStreetMap mean on a golf course.

Golf tags, their deprecated spellings and the rest of the list are those of the OpenStreetMap wiki (Key:golf,
Tag:golf=hole, Key:dist, Key:ele, leisure=golf_course) and of its editors' published presets.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

from bagwright.course.lies import Lie

Role = Literal["hole", "pin", "tee", "area", "stream", "tree", "row", "edge", "site", "left out", "nothing"]

ALIASES = {
    "faiway": "fairway", "putting_green": "green", "sand_trap": "bunker", "tee_area": "tee", "tee_box": "tee",
    "teebox": "tee", "sandtrap": "bunker", "cart_path": "cartpath",
}  # fmt: skip
"""Deprecated or misspelt values of `golf` and what they mean."""

GOLF_LIES = {
    "tee": Lie.TEE, "fairway": Lie.FAIRWAY, "green": Lie.GREEN, "rough": Lie.ROUGH, "bunker": Lie.SAND,
    "water_hazard": Lie.WATER, "lateral_water_hazard": Lie.WATER_RED, "out_of_bounds": Lie.OUT,
}  # fmt: skip
LAND_LIES = {
    ("natural", "water"): Lie.WATER_RED, ("natural", "wood"): Lie.RECOVERY,
    ("landuse", "forest"): Lie.RECOVERY,
    ("natural", "scrub"): Lie.DEEP, ("natural", "heath"): Lie.DEEP, ("natural", "wetland"): Lie.DEEP,
    ("natural", "sand"): Lie.SAND, ("landuse", "reservoir"): Lie.WATER_RED,
    ("landuse", "basin"): Lie.WATER_RED,
    ("waterway", "riverbank"): Lie.WATER_RED,
}  # fmt: skip
"""Ground without a golf tag. A penalty area whose colour nobody marked is red (Rules of Golf, 17.1a)."""

WATERWAY_WIDTH_M = {"river": 12.0, "canal": 8.0, "stream": 2.0, "ditch": 1.5, "drain": 1.5}
"""Widths read for waterways without a `width` tag; common practice."""
LEFT_OUT = {
    "cartpath": "cart paths", "path": "paths", "driving_range": "driving ranges", "clubhouse": "clubhouses",
    "practice": "practice areas", "rest_area": "rest areas",
}  # fmt: skip
"""Values of `golf` that no ball's lie depends on, by the word under which they are counted."""


@dataclass(frozen=True, slots=True)
class Meaning:
    """What one element is: its role, and for ground the lie; `word` counts what is left out."""

    role: Role
    lie: Lie = Lie.ROUGH
    word: str = ""


NOTHING = Meaning("nothing")


def golf_value(tags: Mapping[str, str]) -> str:
    """Give the value of `golf`, deprecated spellings replaced; "" where there is none."""
    value = tags.get("golf", "").split(";")[0].strip().lower()
    if tags.get("leisure") == "golf_pin":
        return "pin"
    return ALIASES.get(value, value)


def meaning_of(tags: Mapping[str, str], kind: str, closed: bool) -> Meaning:
    """Say what an element is. `kind` is point, line or area; a closed line is an area by its tag."""
    golf = golf_value(tags)
    if golf:
        return _golf(golf, tags, kind, closed)
    if tags.get("leisure") == "golf_course":
        return Meaning("site") if kind == "area" or closed else NOTHING
    if tags.get("golf_cart") in ("designated", "yes"):
        return Meaning("left out", word="cart paths")
    return _land(tags, kind, closed)


def _golf(golf: str, tags: Mapping[str, str], kind: str, closed: bool) -> Meaning:
    if golf == "hole":
        return Meaning("hole") if kind == "line" else Meaning("left out", word="holes that are no lines")
    if golf == "pin":
        return Meaning("pin") if kind == "point" else NOTHING
    if golf in LEFT_OUT:
        return Meaning("left out", word=LEFT_OUT[golf])
    lie = GOLF_LIES.get(golf)
    if lie is None:
        return Meaning("left out", word="golf features of an unknown kind")
    if lie is Lie.TEE:
        return Meaning("tee", lie)
    if kind == "point":
        return Meaning("left out", word="areas drawn as points")
    if kind == "area" or closed:
        return Meaning("area", lie)
    if lie is Lie.OUT:
        return Meaning("edge", lie)
    if lie in (Lie.WATER, Lie.WATER_RED):
        return Meaning("stream", lie)
    return Meaning("left out", word="areas drawn as open lines")


def _land(tags: Mapping[str, str], kind: str, closed: bool) -> Meaning:
    natural = tags.get("natural", "")
    if natural == "tree" and kind == "point":
        return Meaning("tree")
    if natural == "tree_row" and kind == "line":
        return Meaning("row")
    if kind == "area" or closed:
        for key, value in tags.items():
            lie = LAND_LIES.get((key, value))
            if lie is not None:
                return Meaning("area", lie)
    if tags.get("waterway") in WATERWAY_WIDTH_M and kind == "line":
        hidden = tags.get("tunnel", "no") != "no"
        return (
            Meaning("left out", word="waterways under ground") if hidden else Meaning("stream", Lie.WATER_RED)
        )
    return NOTHING
