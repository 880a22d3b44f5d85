"""Aims of one hole's options, refined by single balls where a round often comes to."""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

from bagwright.pick.rows import Options, balls_by, batches, counts_of
from bagwright.strokes.balls import balls_of
from bagwright.strokes.hole import Solver
from bagwright.strokes.tee import halved

Ints = NDArray[np.int64]
Floats = NDArray[np.float64]

STEP = np.float32(math.radians(4))
HALVINGS = 4
"""Of that step: to a quarter of a degree, as the solver aims at the tee."""
LEAST, MOST = 128, 1024
"""Balls of each part."""


def aimed(solver: Solver, options: Options, times: Floats, often: float, each: float) -> Options:
    """The same options, aims refined at the spots that a round comes to more than `often` times.

    `times` (spots,) as `visited` gives them, `each` are balls of each part for one time. The quick look is
    some hundredths of a stroke off where runs and tails matter. An aim is moved where its own balls are
    better off, so that no option gets worse by them; `strokes` stay, for `measured` to renew.
    """
    here = np.flatnonzero(times[options.spot] > often)
    number = options.number.copy()
    for part, count in batches(balls_by(times[options.spot[here]], each, LEAST, MOST)):
        solver.pulse()
        which = here[part]
        some, balls = options.take(which), balls_of(solver.player, counts_of(count))
        number[:, which] = halved(solver, some.whole, some.number, some.spot, STEP, HALVINGS, balls)
    return Options(options.spot, options.club, options.whole, number, options.strokes)
