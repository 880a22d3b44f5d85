"""Aims of one hole's options, refined by single balls where a round often comes to."""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

from bagwright.pick.rows import Options, balls_by, batches, counts_of
from bagwright.strokes.balls import Balls, balls_of
from bagwright.strokes.hole import Solver, strokes_of

Ints = NDArray[np.int64]
Singles = NDArray[np.float32]
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
        number[:, which] = _refined(solver, options.take(which), balls_of(solver.player, counts_of(count)))
    return Options(options.spot, options.club, options.whole, number, options.strokes)


def _refined(solver: Solver, options: Options, balls: Balls) -> Singles:
    """The options' questions with the best aims that halving finds."""
    middle, step = options.number[3].copy(), STEP
    best = _strokes(solver, options, middle, balls)
    for _ in range(HALVINGS):
        step = np.float32(step / 2)
        for aim in (middle - step, middle + step):
            found = _strokes(solver, options, aim, balls)
            middle, best = np.where(found < best, aim, middle), np.minimum(found, best)
    return turned(options.number, middle)


def _strokes(solver: Solver, options: Options, aim: Singles, balls: Balls) -> Floats:
    found: Floats = strokes_of(*solver.means(options.whole, turned(options.number, aim), balls, options.spot))
    return found


def turned(number: Singles, aim: Singles) -> Singles:
    """Questions (8, m) with other aims (m,), radians."""
    out = number.copy()
    out[3], out[4], out[5] = aim, np.cos(aim), np.sin(aim)
    return out
