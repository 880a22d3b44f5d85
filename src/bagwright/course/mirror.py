"""The mirror image of a raster: what is right becomes left. For checks that sides are treated alike."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from bagwright.course.raster import Raster


def mirrored(raster: Raster) -> Raster:
    """Give the raster seen in a mirror along the line from tee to pin; twice gives the first again."""
    ny = raster.lie.shape[1]
    row, column = np.divmod(raster.relief[:, ::-1], ny)
    height = raster.height_m
    return replace(
        raster,
        y0_m=-(raster.y0_m + ny * raster.cell_m),
        lie=np.ascontiguousarray(raster.lie[:, ::-1]),
        relief=(row * ny + (ny - 1 - column)).astype(np.int32),
        height_m=None if height is None else np.ascontiguousarray(height[:, ::-1]),
        tee_m=(raster.tee_m[0], -raster.tee_m[1]),
        pin_m=(raster.pin_m[0], -raster.pin_m[1]),
        way_m=tuple((x, -y) for x, y in raster.way_m),
    )
