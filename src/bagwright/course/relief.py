"""Where a ball is dropped that lies in a penalty area or went out of bounds, for every cell of a raster.

Rules of Golf 2023. Red penalty area (17.1d): here the nearest cell at the margin of that area that is not
nearer the pin. Yellow: on the line from the pin through the ball, the first cell behind that can be played
from; where the line leaves the picture first, as for red. Out of bounds under Model Local Rule E-5: where
the ball left the course, and from there the nearest edge of the hole's fairway that is not nearer the pin.
"Not nearer" is held between the centres of cells. Where no cell qualifies, the ball is played from the tee.
"""

from __future__ import annotations

from typing import Any

import numpy as np
from numpy.typing import NDArray
from scipy.ndimage import binary_dilation, binary_erosion, distance_transform_edt, find_objects, label
from scipy.spatial import KDTree

from bagwright.course.lies import PLAYED_FROM, Lie

Ints = NDArray[np.int64]
Floats = NDArray[np.float64]
Flags = NDArray[np.bool_]

_DUST = 1e-9
_FEW = 4_000_000
_NEVER = np.iinfo(np.int32).max
_AROUND = np.ones((3, 3), dtype=bool)
_PLAYABLE = np.isin(np.arange(256), [int(lie) for lie in PLAYED_FROM])


def relief_of(
    lie: NDArray[np.uint8], fairway: Flags, pin: tuple[float, float], tee: tuple[int, int]
) -> NDArray[np.int32]:
    """Give the flat index of the cell of relief for every cell, its own where none is needed.

    `fairway` marks the fairway of the hole itself; `pin` is in units of cells, `tee` is a cell.
    """
    nx, ny = lie.shape
    place = np.arange(nx * ny, dtype=np.int32)
    far = np.hypot(np.arange(nx)[:, None] + 0.5 - pin[0], np.arange(ny)[None, :] + 0.5 - pin[1]).ravel()
    home = tee[0] * ny + tee[1]
    hole = _Hole(lie.ravel(), far, ny, _PLAYABLE[lie].ravel(), home)
    _drop_from_water(place, lie, hole, pin)
    _drop_from_outside(place, lie, hole, fairway)
    return place.reshape(nx, ny)


class _Hole:
    """The raster laid flat, with the distance of every cell from the pin, in cells."""

    def __init__(self, lie: NDArray[np.uint8], far: Floats, ny: int, playable: Flags, home: int) -> None:
        self.lie, self.far, self.ny, self.playable, self.home = lie, far, ny, playable, home

    def at(self, cells: Any) -> Floats:
        """The row and column of flat cells, (n, 2)."""
        return np.column_stack(np.divmod(cells, self.ny)).astype(np.float64)

    def nearest(self, cells: Ints, among: Ints) -> Ints:
        """The nearest of `among` that is not nearer the pin than the cell itself, -1 where there is none."""
        if not len(among) or not len(cells):
            return np.full(len(cells), -1, dtype=np.int64)
        return (
            self._compared(cells, among) if len(cells) * len(among) <= _FEW else self._searched(cells, among)
        )

    def _compared(self, cells: Ints, among: Ints) -> Ints:
        """Every cell with every candidate: quicker than a tree for the edges of usual areas."""
        (i, j), (k, m) = (np.divmod(flat.astype(np.int32), self.ny) for flat in (cells, among))
        apart = (i[:, None] - k) ** 2 + (j[:, None] - m) ** 2
        apart[self.far[among] < self.far[cells][:, None] - _DUST] = _NEVER
        best = apart.argmin(axis=1)
        none = apart[np.arange(len(cells)), best] == _NEVER
        return np.where(none, -1, among[best])

    def _searched(self, cells: Ints, among: Ints) -> Ints:
        """Among the nearest 8, then 64, and so on, until one is not nearer the pin."""
        found = np.full(len(cells), -1, dtype=np.int64)
        tree, open_, k = (
            KDTree(self.at(among), compact_nodes=False, balanced_tree=False),
            np.arange(len(cells)),
            8,
        )
        while len(open_):
            k = min(k, len(among))
            _, near = tree.query(self.at(cells[open_]), k=k)
            near = near.reshape(len(open_), k)
            good = self.far[among][near] >= self.far[cells[open_]][:, None] - _DUST
            first, any_ = good.argmax(axis=1), good.any(axis=1)
            found[open_[any_]] = among[near[any_, first[any_]]]
            open_ = open_[~any_]
            if k == len(among):
                break
            k *= 8
        return found


def _drop_from_water(
    place: NDArray[np.int32], lie: NDArray[np.uint8], hole: _Hole, pin: tuple[float, float]
) -> None:
    yellow = np.flatnonzero(hole.lie == int(Lie.WATER))
    behind = _on_the_line(yellow, hole, pin, lie.shape)
    place[yellow[behind >= 0]] = behind[behind >= 0]
    left = (hole.lie == int(Lie.WATER_RED)).reshape(lie.shape)
    left.ravel()[yellow[behind < 0]] = True
    areas, n = label((lie == int(Lie.WATER)) | (lie == int(Lie.WATER_RED)), structure=_AROUND)
    everywhere = np.flatnonzero(hole.playable)
    for i, (rows, columns) in enumerate(_windows(areas, n), start=1):
        inside = areas[rows, columns] == i
        cells = _flat(inside & left[rows, columns], rows, columns, hole.ny)
        rim = binary_dilation(inside, _AROUND) & ~inside
        margin = _flat(rim, rows, columns, hole.ny)
        margin = margin[hole.playable[margin]]
        found = hole.nearest(cells, margin)
        lost = found < 0
        found[lost] = hole.nearest(cells[lost], everywhere)
        place[cells] = np.where(found < 0, hole.home, found)


def _windows(areas: NDArray[np.integer], n: int) -> list[tuple[slice, slice]]:
    """The part of the raster that holds each area with one cell about it."""
    return [
        (slice(max(rows.start - 1, 0), rows.stop + 1), slice(max(columns.start - 1, 0), columns.stop + 1))
        for rows, columns in (window for window in find_objects(areas, n))
    ]


def _flat(mask: Flags, rows: slice, columns: slice, ny: int) -> Ints:
    i, j = np.nonzero(mask)
    flat: Ints = (i + rows.start) * ny + j + columns.start
    return flat


def _on_the_line(cells: Ints, hole: _Hole, pin: tuple[float, float], shape: tuple[int, ...]) -> Ints:
    """The first playable cell behind each on the line from the pin; -1 where there is none."""
    found = np.full(len(cells), -1, dtype=np.int64)
    start = hole.at(cells) + 0.5
    away = start - pin
    away /= np.maximum(np.hypot(*away.T), _DUST)[:, None]
    open_ = np.arange(len(cells))
    for step in range(1, sum(shape)):
        at = np.floor(start[open_] + step * away[open_]).astype(np.int64)
        inside = ((at >= 0) & (at < shape)).all(axis=1)
        open_, at = open_[inside], at[inside]
        flat = at[:, 0] * hole.ny + at[:, 1]
        outside = hole.lie[flat] == int(Lie.OUT)
        good = hole.playable[flat] & (hole.far[flat] >= hole.far[cells[open_]] - _DUST)
        found[open_[good]] = flat[good]
        open_ = open_[~good & ~outside]
        if not len(open_):
            break
    return found


def _drop_from_outside(place: NDArray[np.int32], lie: NDArray[np.uint8], hole: _Hole, fairway: Flags) -> None:
    outside = lie == int(Lie.OUT)
    if outside.all():
        return
    rows, columns = distance_transform_edt(outside, return_distances=False, return_indices=True)
    crossed = (rows[outside].astype(np.int64) * hole.ny + columns[outside]).ravel()
    edges, back = np.unique(crossed, return_inverse=True)
    edge = np.flatnonzero(fairway & ~binary_erosion(fairway, _AROUND))
    found = hole.nearest(edges, edge)
    lost = found < 0
    found[lost] = hole.nearest(edges[lost], np.flatnonzero(hole.playable))
    place[np.flatnonzero(outside)] = np.where(found < 0, hole.home, found)[back]
