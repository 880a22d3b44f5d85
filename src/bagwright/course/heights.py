"""Heights of a hole's ground over its tee: from a grid, else a slope between the heights of tee and pin."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray
from scipy.ndimage import distance_transform_edt, map_coordinates

from bagwright.course.ground import Ground
from bagwright.course.hole import Heights
from bagwright.course.raster import CELL_M
from bagwright.words import tell

Grid = NDArray[np.float32]

_KNOWN_AT_LEAST = 0.5
"""A grid that knows less than this share of a hole is not used for it (judgement)."""


def heights_of(heights: Heights | None, ground: Ground) -> tuple[Grid | None, tuple[str, ...]]:
    """Give the heights of the cells over the tee, None where unknown, and what must be said of them."""
    if heights is not None:
        grid, notes = _from_grid(heights, ground)
        if grid is not None:
            return grid, notes
    else:
        notes = ()
    sloped = _sloped(ground)
    if sloped is None:
        return None, notes
    return sloped, (*notes, tell("Heights are an even slope between those of the tee and the pin."))


def _from_grid(heights: Heights, ground: Ground) -> tuple[Grid | None, tuple[str, ...]]:
    z = np.asarray(heights.z, dtype=np.float64)
    i, j = np.meshgrid(np.arange(ground.nx) + 0.5, np.arange(ground.ny) + 0.5, indexing="ij")
    local = np.column_stack((ground.x0_m + i.ravel() * CELL_M, ground.y0_m + j.ravel() * CELL_M))
    at = _grid_steps(heights, ground.frame.course(local))
    found = map_coordinates(z, at, order=1, mode="constant", cval=np.nan).reshape(i.shape)
    known = np.isfinite(found)
    if known.mean() < _KNOWN_AT_LEAST:
        return None, (tell("The heights given do not cover this hole."),)
    notes: tuple[str, ...] = ()
    if not known.all():
        nearest = distance_transform_edt(~known, return_distances=False, return_indices=True)
        found = found[tuple(nearest)]
        notes = (
            tell(
                "Heights are unknown on {share:.0f} % of the picture; the nearest are taken.",
                share=100 * (1 - float(known.mean())),
            ),
        )
    tee = map_coordinates(z, _grid_steps(heights, np.array([ground.tee.at])), order=1, mode="nearest")[0]
    if not np.isfinite(tee):
        tee = found[int(-ground.x0_m / CELL_M), int(-ground.y0_m / CELL_M)]
    return (found - tee).astype(np.float32), notes


def _grid_steps(heights: Heights, points: NDArray[np.float64]) -> NDArray[np.float64]:
    return (points.T - [[heights.x0_m], [heights.y0_m]]) / heights.step_m


def _sloped(ground: Ground) -> Grid | None:
    """An even slope from the tee to the pin, level behind the one and beyond the other."""
    tee, pin = ground.tee.height_m, ground.hole.pin_height_m
    if tee is None or pin is None:
        return None
    x = ground.x0_m + (np.arange(ground.nx) + 0.5) * CELL_M
    rise = np.clip(x / ground.pin_m[0], 0.0, 1.0) * (pin - tee)
    return np.repeat(rise[:, None], ground.ny, axis=1).astype(np.float32)
