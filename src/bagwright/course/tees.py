"""The teeing grounds of one hole: areas, points on the map, and lengths that only a tag gives."""

from __future__ import annotations

import math
import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from bagwright.course.along import length_of, played_m, point_at
from bagwright.course.asking import Asked
from bagwright.course.gather import Area, Spot
from bagwright.course.hole import Point, Tee
from bagwright.course.values import height_m, length_m, par_of, stroke_index_of
from bagwright.words import tell

MOST_TEES = 12
"""Tees of one hole; what a map has beyond them is asked about."""
_AT_START_M = 25.0
"""A way that starts this near to a tee starts on it (judgement)."""
_ALIKE_M = 15.0
"""A tee without a name is the one of a tagged length that differs by no more (judgement)."""


@dataclass(frozen=True, slots=True)
class _Ground:
    """One teeing ground: where its shots start, its names (none where it has none) and its height."""

    at: Point
    names: tuple[str, ...]
    height_m: float | None


def tees_of(
    number: int,
    way: Sequence[Point],
    tags: Mapping[str, str],
    areas: Sequence[Area],
    spots: Sequence[Spot],
    asked: Asked,
) -> tuple[Tee, ...]:
    """Give a hole's tees, the longest first; at least one."""
    grounds = _grounds(way, areas, spots)
    lengths = _lengths(tags)
    if not grounds and not lengths:
        asked.ask(
            number,
            "tees",
            tell("Hole {number} has no tee.", number=number),
            tell("One tee, where the hole's way begins."),
            tell("Draw tees (golf=tee, tee=white), or add [[hole.N.tee]] in the overlay."),
        )
    start_known = any(math.dist(g.at, way[0]) <= _AT_START_M for g in grounds)
    behind = max((played_m(way, g.at) for g in grounds), default=0.0)
    if not start_known and behind < length_of(way) - _AT_START_M and not lengths:
        if grounds:
            asked.ask(
                number,
                "start",
                tell("Hole {number}: its way begins where no tee is drawn.", number=number),
                tell("There is a tee at its beginning, too."),
                tell("Draw the tee, or move the beginning of the way."),
            )
        grounds.insert(0, _Ground(way[0], (), height_m(tags.get("ele"))))
    named = _named(number, way, grounds, lengths, asked)
    tees = [_tee(name, ground, tags, lengths) for name, ground in named]
    if len(tees) == 1 and tees[0].card_length_m is None:
        tees[0] = replace(tees[0], card_length_m=length_m(tags.get("dist"), 20.0, 2000.0))
    if len(tees) > MOST_TEES:
        asked.ask(
            number,
            "tees",
            tell("Hole {number} has {n} tees.", number=number, n=len(tees)),
            tell("The {most} longest are read.", most=MOST_TEES),
            tell("Take those that nobody plays out of the map."),
        )
    return tuple(tees[:MOST_TEES])


def _grounds(way: Sequence[Point], areas: Sequence[Area], spots: Sequence[Spot]) -> list[_Ground]:
    from shapely import Point as Dot

    found, start = [], Dot(*way[0])
    for area in areas:
        shape = area.feature.shape
        if shape.distance(start) <= 1.0:
            at = (float(way[0][0]), float(way[0][1]))
        else:
            middle = shape.centroid if shape.covers(shape.centroid) else shape.representative_point()
            at = (float(middle.x), float(middle.y))
        found.append(_Ground(at, _names(area.tags), height_m(area.tags.get("ele"))))
    for spot in spots:
        found.append(_Ground(spot.at, _names(spot.tags), height_m(spot.tags.get("ele"))))
    return found


def _names(tags: Mapping[str, str]) -> tuple[str, ...]:
    told = tags.get("tee") or tags.get("colour") or ""
    names = [name.strip() for name in re.split(r"[;,/]", told)[:MOST_TEES]]
    return tuple(dict.fromkeys(name for name in names if name and name.lower() not in ("yes", "no")))


def _lengths(tags: Mapping[str, str]) -> dict[str, float]:
    """Give the lengths that the way's tags give tee by tee (`dist:white`), metres."""
    found: dict[str, float] = {}
    for key, value in list(tags.items()):
        name = key.removeprefix("dist:").strip()
        length = length_m(value, 20.0, 2000.0) if key.startswith("dist:") and name else None
        if length is not None:
            found[name] = length
    return found


def _named(
    number: int, way: Sequence[Point], grounds: Sequence[_Ground], lengths: dict[str, float], asked: Asked
) -> list[tuple[str, _Ground]]:
    """Give each tee its name, the longest first; lengths without a ground are laid on the way."""
    open_lengths = dict(lengths)
    pairs: list[tuple[str, _Ground]] = []
    unnamed = []
    for ground in grounds:
        pairs += [(name, ground) for name in ground.names]
        for name in ground.names:
            open_lengths.pop(_match(name, open_lengths), None)
        if not ground.names:
            unnamed.append(ground)
    for ground in unnamed:
        near = [n for n, m in open_lengths.items() if abs(m - played_m(way, ground.at)) <= _ALIKE_M]
        name = min(near, key=lambda n, g=ground: abs(open_lengths[n] - played_m(way, g.at)), default="")  # type: ignore[misc]
        open_lengths.pop(name, None)
        pairs.append((name, ground))
    for name, length in open_lengths.items():
        at = point_at(way, length_of(way) - length)
        pairs.append((name, _Ground(at, (name,), None)))
        asked.ask(
            number,
            f"tee {name}",
            tell(
                "Hole {number}: the tee {name} is {length:.0f} m long, but has no place.",
                number=number,
                name=name,
                length=length,
            ),
            tell("It lies on the hole's way, that far from the pin."),
            tell("Draw the tee with tee={name}.", name=name),
        )
    pairs.sort(key=lambda pair: -played_m(way, pair[1].at))
    return _unique(pairs)


def _match(name: str, lengths: Mapping[str, float]) -> str:
    return next((n for n in lengths if n.casefold() == name.casefold()), "")


def _unique(pairs: Sequence[tuple[str, _Ground]]) -> list[tuple[str, _Ground]]:
    """Names that occur once: the second white is `white 2`, those without a name `tee 1`, `tee 2`, ..."""
    seen: set[str] = set()
    out = []
    for place, (name, ground) in enumerate(pairs, start=1):
        base = name or f"tee {place}"
        chosen, count = base, 1
        while chosen.casefold() in seen:
            count += 1
            chosen = f"{base} {count}"
        seen.add(chosen.casefold())
        out.append((chosen, ground))
    return out


def _tee(name: str, ground: _Ground, tags: Mapping[str, str], lengths: Mapping[str, float]) -> Tee:
    length = lengths.get(_match(name, lengths))
    par, index = (_own(tags, key, name) for key in ("par", "handicap"))
    return Tee(name, ground.at, ground.height_m, length, par_of(par), stroke_index_of(index))


def _own(tags: Mapping[str, str], key: str, name: str) -> str | None:
    """Give what a tag says of one tee (`par:red`), where it differs from the hole's own."""
    value = next((v for k, v in tags.items() if k.casefold() == f"{key}:{name}".casefold()), None)
    return None if value == tags.get(key) else value
