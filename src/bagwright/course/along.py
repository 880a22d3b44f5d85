"""Places and lengths along a hole's way."""

from __future__ import annotations

import math
from collections.abc import Sequence
from itertools import pairwise

from bagwright.course.hole import Point

_PAST_M = 20.0
"""A bend counts for a tee only where it lies this far ahead of it."""


def length_of(way: Sequence[Point]) -> float:
    """Give the length of a line, metres."""
    return sum(math.dist(a, b) for a, b in pairwise(way))


def point_at(way: Sequence[Point], s_m: float) -> Point:
    """Give the point `s_m` along a line; before and behind it its ends' directions go on."""
    (ax, ay), (bx, by), done = way[0], way[1], 0.0
    for a, b in pairwise(way):
        (ax, ay), (bx, by) = a, b
        step = math.dist(a, b)
        if done + step >= s_m or b is way[-1]:
            break
        done += step
    step = math.dist((ax, ay), (bx, by)) or 1.0
    t = (s_m - done) / step
    return ax + t * (bx - ax), ay + t * (by - ay)


def place_on(way: Sequence[Point], at: Point) -> tuple[float, float]:
    """Give how far along a line the point of it lies that is nearest to `at`, and how far that is away."""
    best_s, best_d, done = 0.0, math.inf, 0.0
    for a, b in pairwise(way):
        step = math.dist(a, b)
        dx, dy = b[0] - a[0], b[1] - a[1]
        t = ((at[0] - a[0]) * dx + (at[1] - a[1]) * dy) / (step * step) if step else 0.0
        t = min(1.0, max(0.0, t))
        away = math.dist(at, (a[0] + t * dx, a[1] + t * dy))
        if away < best_d:
            best_s, best_d = done + t * step, away
        done += step
    return best_s, best_d


def way_from(way: Sequence[Point], tee: Point) -> tuple[Point, ...]:
    """Give the way that is played from a tee: straight to the next bend ahead, and on along the way."""
    here, _ = place_on(way, tee)
    ahead, done = [], 0.0
    for a, b in pairwise(way[:-1]):
        done += math.dist(a, b)
        if done > here + _PAST_M:
            ahead.append(b)
    return (tee, *ahead, way[-1])


def played_m(way: Sequence[Point], tee: Point) -> float:
    """Give the length of a hole from a tee, metres."""
    return length_of(way_from(way, tee))
