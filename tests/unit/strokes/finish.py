"""Where the balls of a pattern finish, drawn from it: for tests of patterns against published leaves."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from bagwright.course.lies import Lie
from bagwright.strokes.patterns import RUN_LIES, PatternTable

Floats = NDArray[np.float64]


def finish(
    table: PatternTable, lie: Lie, shot: int, n: int = 40_000, onto: str = "green"
) -> tuple[Floats, Floats]:
    """Places (n,) along and across, metres, of balls that come down on one class of ground and run."""
    rng = np.random.default_rng(20261201)
    part = table.parts[lie, shot]
    which = rng.choice(len(part), n, p=part[:, 0] / part[:, 0].sum())
    _, x0, y0, sx, sy, rho = part[which].T
    a, b, c = rng.standard_normal((3, n))
    ground = RUN_LIES.index(onto)
    run = table.run_m[lie, shot, ground] + table.run_sd_m[lie, shot, ground] * c
    return x0 + sx * a + run, y0 + sy * (rho * a + np.sqrt(1.0 - rho**2) * b)


def moments(part: Floats) -> tuple[float, float, float, float]:
    """Mean and sd along, mean and sd across of a pattern's parts (PARTS, 6), in closed form."""
    w = part[:, 0]
    out: list[float] = []
    for mean, sd in ((part[:, 1], part[:, 3]), (part[:, 2], part[:, 4])):
        middle = float(w @ mean)
        out += [middle, float(np.sqrt(w @ (sd**2 + (mean - middle) ** 2)))]
    return out[0], out[1], out[2], out[3]


def find(table: PatternTable, club: str, swing: str = "stock", length_m: float | None = None) -> int:
    """Index of a shot; a pitch by its nearest length."""
    if length_m is None:
        return next(
            i for i, s in enumerate(table.shots) if (s.club, s.swing, s.length_m) == (club, swing, None)
        )
    pitches = [
        (abs((s.length_m or 0.0) - length_m), i)
        for i, s in enumerate(table.shots)
        if s.club == club and s.length_m
    ]
    return min(pitches)[1]
