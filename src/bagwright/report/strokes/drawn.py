"""What is laid over a hole's picture: contours of strokes to hole out, the way that is chosen, balls."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from bagwright.course.raster import Raster
from bagwright.report.holes.layers import Aim, Layer, aims_layer, balls_layer, contour_layer
from bagwright.report.strokes.balls import finishes
from bagwright.report.strokes.plan import Step
from bagwright.report.words import number
from bagwright.strokes.patterns import PatternTable, Shot
from bagwright.strokes.result import HoleStrokes
from bagwright.units import System
from bagwright.words import join, tell

Floats = NDArray[np.float64]

STEP = 0.2
"""Strokes between two contours, so that lines stay apart on a picture of this size."""
SMOOTH_CELLS = 4.0
LEAST_WEIGHT = 0.3
WORST = 3.0
"""Values so much above the tee's are not drawn: nobody is meant to be there."""


def contours_of(hole: HoleStrokes, raster: Raster, words: str = "strokes to hole out") -> Layer:
    """Lines of equal strokes to hole out, smoothed: at the edge of every lie the strokes jump."""
    value = smooth(np.asarray(hole.value, dtype=np.float64))
    known = value[np.isfinite(value)]
    top = min(float(known.max(initial=1.0)), hole.strokes + WORST)
    first = np.ceil(max(float(known.min(initial=1.0)), 1.0) / STEP)
    levels = [round(k * STEP, 3) for k in range(int(first), int(np.floor(top / STEP)) + 1)]
    said = tell("{strokes} strokes expected from this tee.", strokes=number(hole.strokes, 2))
    if not hole.converged:
        said = tell("This hole did not come to rest: its figures are not to be used.")
    return replace(contour_layer(value, raster, levels, words), words=said)


def smooth(value: Floats) -> Floats:
    """A mean of the known cells about each, normal weights of `SMOOTH_CELLS`; what is unknown stays so."""
    from scipy.ndimage import gaussian_filter

    known = np.isfinite(value)
    weight = gaussian_filter(known.astype(np.float64), SMOOTH_CELLS, mode="constant")
    total = gaussian_filter(np.where(known, value, 0.0), SMOOTH_CELLS, mode="constant")
    found: Floats = np.full(value.shape, np.nan)
    np.divide(total, weight, out=found, where=known & (weight > LEAST_WEIGHT))
    return found


def plan_layer(
    steps: Sequence[Step], shots: Sequence[Shot], system: System, words: str = "the way that is chosen"
) -> Layer:
    """The way that is chosen, each shot in the reader's units; `shots` are those of the round."""
    aims = [Aim(step.at_m, step.to_m, shots[step.shot].said(system)) for step in steps]
    if not aims:
        return aims_layer([], words)
    chain = join(tell(", then "), [aim.words for aim in aims])
    said = tell("The way that is chosen, each shot as it is meant: {shots}.", shots=chain)
    return replace(aims_layer(aims, words), words=said)


def tee_balls(
    table: PatternTable, raster: Raster, steps: Sequence[Step], words: str = "where tee shots finish"
) -> Layer:
    """Where 200 balls of the tee shot finish."""
    first = steps[0]
    points, lost = finishes(table, raster, (first.at_m, first.lie), (first.shot, first.aim_rad))
    return balls_layer(points, lost, words)
