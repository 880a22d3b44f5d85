"""Holes and a player as the card's kernels read them: arrays of all holes one behind the other."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import lru_cache
from typing import Any

import numpy as np
from numpy.typing import NDArray

from bagwright.course.lies import Lie
from bagwright.strokes import hole as rules
from bagwright.strokes.blur import WIDTH, WIDTHS, discrete_normal, level_cell, plan
from bagwright.strokes.cells import Cells
from bagwright.strokes.fields import rise_of, turf_of
from bagwright.strokes.search import search_of
from bagwright.strokes.states import States, lies_played, on_grid, on_raster

Array = NDArray[Any]
TAPS, TILE = 32, 32
"""Room for a kernel's weights; nodes of a tile each way. As in the kernels."""
INTS = ("rows", "columns", "cell", "base", "s2", "s4", "mx2", "my2", "mx4", "my4", "hilly", "wet")
SINGLES = ("wind_c", "wind_s", "pin_x", "pin_y", "rise")
HOLE = np.dtype([(name, "<i4") for name in INTS] + [(name, "<f4") for name in SINGLES])
LEVEL = np.dtype(
    [(n, "<f4") for n in ("ic", "shift", "hx", "hy")]
    + [(n, "<i4") for n in ("at", "my", "mx", "cell", "tile", "across", "a", "b")]
)
TILES = np.dtype([(name, "<i2") for name in ("hole", "level", "i", "j")])


@dataclass(frozen=True)
class Spots:
    """Spots of one kind on all holes. `first` (holes + 1,) are the ends of the holes' spots."""

    numbers: dict[str, Array]
    first: NDArray[np.int64]
    kept: int

    @property
    def n(self) -> int:
        """How many."""
        return int(self.first[-1])


@dataclass(frozen=True)
class Layout:
    """All holes of a course. `spans` (1 + bands, holes, 2): rows that change, in the whole and by band."""

    cells: tuple[Cells, ...]
    arrays: dict[str, Array]
    grid: Spots
    raster: Spots
    bands: tuple[Array, ...]
    """Spots of the grid that are decided together."""
    spans: Array
    tee: Array
    sizes: dict[str, int]


def layout_of(cells: Sequence[Cells]) -> Layout:
    """Lay out holes; nothing of a player is in it but putts and wind."""
    grids = [on_grid(g.raster.lie, g.tee, g.pin) for g in cells]
    rasters = [_in_blocks(on_raster(g.raster.lie, g.tee), _order(g)) for g in cells]
    grid, raster = _spots(cells, grids, rules_kept()), _spots(cells, rasters, KEPT_CELLS)
    holes, levels, sizes = _holes(cells)
    tap, reach = _taps()
    arrays = {
        "hole": holes, "level": levels, "tile": _tiles(levels), "tap": tap, "reach": reach,
        "slot": np.concatenate([t.slot + a for t, a in zip(grids, grid.first, strict=False)], dtype=np.int32),
        "weight": np.concatenate([t.weight for t in grids]), **_cells(cells), "own": _own(cells, raster),
    }  # fmt: skip
    cell = [_cell_of(g, o["cell"]) for g, o in zip(cells, holes, strict=True)]
    arrays["cell"] = np.concatenate(cell).astype(np.int32)
    sizes["tiles"] = len(arrays["tile"])
    tee = (grid.first[1:] - 1).astype(np.int32)
    return Layout(tuple(cells), arrays, grid, raster, *_bands(cells, grid, grids), tee, sizes)


KEPT_CELLS = 4
"""Candidates that a cell keeps, as in `solve`."""


def rules_kept() -> int:
    """Candidates that a spot of the grid keeps, as in the processor's search."""
    from bagwright.strokes._kernel_search import KEPT

    return KEPT


def _spots(cells: Sequence[Cells], states: Sequence[States], kept: int) -> Spots:
    found = [search_of(t, g, kept) for t, g in zip(states, cells, strict=True)]
    numbers: dict[str, Array] = {
        "x": np.concatenate([t.x for t in states]), "y": np.concatenate([t.y for t in states]),
        "h": np.concatenate([s.height for s in found]), "away": np.concatenate([s.away for s in found]),
        "near": np.concatenate([s.away for s in found]), "far": np.concatenate([s.away for s in found]),
        "bearing": np.concatenate([s.bearing for s in found]),
        "value": np.concatenate([s.value for s in found]),
        "lie": np.concatenate([t.lie for t in states]).astype(np.int32),
        "hole": np.repeat(np.arange(len(cells), dtype=np.int32), [t.n for t in states]),
    }  # fmt: skip
    return Spots(numbers, np.cumsum([0, *(t.n for t in states)]), kept)


def _holes(cells: Sequence[Cells]) -> tuple[Array, Array, dict[str, int]]:
    """Places of every hole's arrays, how its levels are read, and the sizes of all together."""
    holes, levels = np.zeros(len(cells), HOLE), np.zeros((len(cells), WIDTHS), LEVEL)
    at = dict.fromkeys(("cells", "bases", "nodes2", "nodes4", "nodes"), 0)
    for k, g in enumerate(cells):
        p, (rows, columns) = plan(*g.shape), g.shape
        size = {int(c): (int(mx), int(my)) for c, mx, my, *_ in p.grid}
        holes[k] = (
            rows, columns, at["cells"], at["bases"], at["nodes2"], at["nodes4"], *size[2], *size[4], g.hilly,
            bool(np.isin(g.raster.lie, (Lie.WATER, Lie.WATER_RED)).any()), *g.wind, *g.pin, rise_of(g),
        )  # fmt: skip
        for j, (c, mx, my, offset, pad) in enumerate(p.grid):
            levels[k, j] = (
                1 / c,
                pad / c - 0.5,
                mx - 1.001,
                my - 1.001,
                at["nodes"] + offset,
                my,
                mx,
                c,
                0,
                0,
                0,
                0,
            )
        at["cells"] += rows * columns
        at["bases"] += size[1][0] * size[1][1]
        at["nodes2"] += size[2][0] * size[2][1]
        at["nodes4"] += size[4][0] * size[4][1]
        at["nodes"] += p.size
    return holes, levels, at


def _tiles(levels: Array) -> Array:
    """Tiles of all levels; `levels` is told where each level's tiles begin."""
    found: list[Array] = []
    count = 0
    for h, k in np.ndindex(levels.shape):
        one = levels[h, k]
        down, across = -(-int(one["mx"]) // TILE), -(-int(one["my"]) // TILE)
        i, j = np.divmod(np.arange(down * across), across)
        tiles = np.zeros(down * across, TILES)
        tiles["hole"], tiles["level"], tiles["i"], tiles["j"] = h, k, i, j
        levels["tile"][h, k], levels["across"][h, k] = count, across
        found.append(tiles)
        count += len(tiles)
    return np.concatenate(found)


@lru_cache(maxsize=1)
def _taps() -> tuple[Array, Array]:
    """Kernels that lead from the raster, or its averages, to each level (see `blur`), and their reaches."""
    tap, reach = np.zeros((WIDTHS, TAPS), np.float32), np.zeros(WIDTHS, np.int32)
    for k, width in enumerate(WIDTH):
        c = level_cell(float(width))
        wanted = float(width) ** 2 - c * c / 6 + 1 / 12 - (c * c - 1) / 12
        w = discrete_normal(wanted / c**2)
        tap[k, : len(w)], reach[k] = w, len(w) - 1
    return tap, reach


def _cells(cells: Sequence[Cells]) -> dict[str, Array]:
    turfs = [turf_of(g) for g in cells]
    # Height first, then water and kind of run: the two halves of what the processor's balls read.
    ground = [np.stack([t.ground >> 16, t.ground & 0xFFFF], -1).astype(np.int16) for t in turfs]
    return {
        "kind": np.concatenate([g.kind for g in cells]), "putts": np.concatenate([g.putts for g in cells]),
        "penalty": np.concatenate([g.penalty for g in cells]),
        "height": np.concatenate([g.height.ravel() for g in cells]),
        "relief": np.concatenate([g.relief for g in cells]), "ground": np.concatenate(ground),
    }  # fmt: skip


def _played(g: Cells) -> NDArray[np.int64]:
    """Cells that are played from, in the order of the states."""
    return np.flatnonzero(lies_played(g.raster.lie).ravel() <= 5)[_order(g)]


SIDE, WITHIN = 16, 8
"""Sides of the blocks of cells, and of the blocks in them, that threads side by side take."""


def _order(g: Cells) -> NDArray[np.int64]:
    """Order of the played cells block by block: what is near reads what is near."""
    i, j = np.nonzero(lies_played(g.raster.lie) <= 5)
    return np.lexsort((j, i, j // WITHIN, i // WITHIN, j // SIDE, i // SIDE))


def _in_blocks(states: States, order: NDArray[np.int64]) -> States:
    """The states of cells in another order, the tee last as before."""
    whole = np.append(order, states.tee)
    return replace(
        states, x=states.x[whole], y=states.y[whole], lie=states.lie[whole], lead=states.lead[whole]
    )


def _own(cells: Sequence[Cells], raster: Spots) -> Array:
    """State of every cell, -1 where none is played from."""
    out = []
    for g, first in zip(cells, raster.first, strict=False):
        own, played = np.full(g.kind.size, -1, np.int32), _played(g)
        own[played] = first + np.arange(len(played))
        out.append(own)
    return np.concatenate(out)


def _cell_of(g: Cells, first: int) -> Array:
    """Cell of every state, -1 for the tee."""
    return np.append(_played(g) + first, -1)


def _bands(cells: Sequence[Cells], grid: Spots, states: Sequence[States]) -> tuple[tuple[Array, ...], Array]:
    """The grid's spots from the pin to the tee, as the processor takes them, and the rows they change."""
    bands, low, away = [], 0.0, grid.numbers["away"]
    spans = [np.array([(0, g.shape[0]) for g in cells], np.int32)]
    for high in rules.BANDS:
        ids, span = [], np.zeros((len(cells), 2), np.int32)
        for k, (t, g) in enumerate(zip(states, cells, strict=True)):
            own = away[grid.first[k] : grid.first[k + 1]]
            here = np.flatnonzero((own >= low) & (own < high))
            here = here[np.argsort(t.lie[here], kind="stable")]
            if len(here):
                a, b = max(float(t.x[here].min()) - 12, 0.0), float(t.x[here].max()) + 12
                span[k] = int(a), int(min(b, g.shape[0]))
                ids.append(here + grid.first[k])
                _looked_at_together(grid, ids[-1])
        if ids:
            bands.append(np.concatenate(ids).astype(np.int32))
            spans.append(span)
        low = high
    return tuple(bands), np.stack(spans)


TOGETHER = 4
"""Spots that the processor looks at in one block: what one of them may try, all try."""


def _looked_at_together(grid: Spots, ids: NDArray[np.int64]) -> None:
    """Note the nearest and furthest of the spots of each block; `ids` as sorted by lie."""
    lie, away = grid.numbers["lie"][ids], grid.numbers["away"][ids]
    first = np.flatnonzero(np.diff(lie, prepend=-1))
    within = np.arange(len(ids)) - np.repeat(first, np.diff(first, append=len(ids)))
    starts = np.flatnonzero(within % TOGETHER == 0)
    size = np.diff(starts, append=len(ids))
    grid.numbers["near"][ids] = np.repeat(np.minimum.reduceat(away, starts), size)
    grid.numbers["far"][ids] = np.repeat(np.maximum.reduceat(away, starts), size)
