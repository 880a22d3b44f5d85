"""Launches of the kernels, in order, recorded once and played as one graph."""

from __future__ import annotations

from collections.abc import Mapping
from importlib.resources import files
from typing import Any

import numpy as np
from numpy.typing import NDArray

from bagwright.strokes.blur import PAD
from bagwright.strokes.card.layout import TILE, Layout, Spots
from bagwright.strokes.card.who import BALLS, balls, player_arrays
from bagwright.strokes.probes import Player

Array = NDArray[Any]
SOURCES = ("types.cu", "fields.cu", "read.cu", "look.cu", "sweep.cu", "measure.cu")
KERNELS = (
    "fill", "masks", "shrink", "choose", "choose_touched", "blur", "scan", "refine", "prepare", "share",
    "sweep", "carry", "answer", "measure_spots", "measure_tees", "measure_cells",
)  # fmt: skip
BLOCK = 256
BLURRERS = 5
"""Blocks of the blur that a multiprocessor holds: they take tile after tile."""
NEAR_SWEEPS, FIRST_SWEEPS, LAST_SWEEPS = 1, 2, 12
"""Sweeps of the grid near the pin; most over the cells before single balls are measured there, and after."""
SETS, USUAL = 6, 4
"""Fields that no value changes: four shares of classes, the player's usual run, the flag."""
NONE = np.uint64(0)
MOST_SHOTS = 1024
"""Most shots of a player, as in the kernels."""
SHARES, CELL_LANES = 4, 8
"""Blocks that share the shots of a coarse look, and threads that measure a cell; as in the kernels."""
COURSE = (
    "hole", "level", "tile", "kind", "putts", "penalty", "height", "relief", "ground", "slot", "weight",
    "own", "cell", "base", "s2", "s4", "rest", "u", "fixed", "tap", "reach", "touched",
)  # fmt: skip
SIZES = ("bases", "nodes2", "nodes4", "nodes", "tiles")
SEARCH = (
    "x", "y", "h", "bearing", "near", "far", "lie", "hole", "value", "choice", "shot", "aim", "way",
    "out_more", "more_out", "node", "from",
)  # fmt: skip
PLAYER = ("extra", "run", "parts", "reach", "allowed", "middle", "need", "usual", "limits", "aims")


def source() -> str:
    """The kernels' source in one piece."""
    here = files("bagwright.strokes.card")
    return "".join((here / name).read_text(encoding="utf-8") for name in SOURCES)


class Card:
    """A course on the card, and the recorded solve.

    `cupy` is the library, given by the caller, who has seen to it that there is a card. `counts` are single
    balls as in `BALLS`.
    """

    def __init__(self, cupy: Any, layout: Layout, counts: Mapping[str, tuple[int, int]] = BALLS) -> None:
        self.cp, self.layout = cupy, layout
        module = cupy.RawModule(code=source(), options=("-std=c++17", "--use_fast_math"))
        self.kernel = {name: module.get_function(name) for name in KERNELS}
        self.stream = cupy.cuda.Stream(non_blocking=True)
        self.kept: list[Any] = []
        self.blurrers = BLURRERS * int(cupy.cuda.Device().attributes["MultiProcessorCount"])
        cells, holes = layout.cells, layout.arrays["hole"]
        self.padded = max((g.shape[0] + 2 * PAD[1]) * (g.shape[1] + 2 * PAD[1]) for g in cells)
        self.shrunk = int((holes["mx2"] * holes["my2"] + holes["mx4"] * holes["my4"]).max())
        side = TILE + 1 + 2 * int(layout.arrays["reach"].max())
        self.room = 4 * (side * side + (TILE + 1) * side)
        with self.stream:
            self._put(counts)
            self._own_fields()
        self.stream.synchronize()

    def _put(self, counts: Mapping[str, tuple[int, int]]) -> None:
        """Bring the course to the card, and make room for what is worked out there."""
        layout, sizes, z, to = self.layout, self.layout.sizes, self.cp.zeros, self.cp.asarray
        arrays = {name: to(given) for name, given in layout.arrays.items()}
        arrays |= {
            "base": z(SETS * sizes["bases"], np.float32), "s2": z(SETS * sizes["nodes2"], np.float32),
            "s4": z(SETS * sizes["nodes4"], np.float32), "rest": z(sizes["cells"], np.float32),
            "u": z(sizes["nodes"], np.uint64), "fixed": z(SETS * sizes["nodes"], np.uint64),
            "touched": z(sizes["tiles"], np.uint8),
        }  # fmt: skip
        self.arrays = arrays
        self.course = self._struct(
            [arrays[k] for k in COURSE], [len(layout.cells), *(sizes[k] for k in SIZES)]
        )
        self.grid, self.grid_arrays = self._search(layout.grid)
        self.raster, self.raster_arrays = self._search(layout.raster)
        self.start = self.grid_arrays["value"].copy()
        self.bands, self.spans = [to(ids) for ids in layout.bands], to(layout.spans)
        self.tee, self.tees = to(layout.tee), to((layout.raster.first[1:] - 1).astype(np.int32))
        self.change = z((FIRST_SWEEPS + LAST_SWEEPS, len(layout.cells)), np.float32)
        # Lists of tiles: the shares', the whole course's, one a band, and those that the cells touch.
        kinds = len(self.spans) + 2
        self.tiles, self.counts = z((kinds, sizes["tiles"]), np.int32), z(kinds + 1, np.int32)
        self.asked = z(layout.raster.n, np.int32)
        self.shot, self.aim = z(layout.raster.n, np.int16), z(layout.raster.n, np.float32)
        self.balls = {name: self._struct([to(balls(*count))], list(count)) for name, count in counts.items()}

    def _struct(self, arrays: list[Any], numbers: list[int]) -> Any:
        """Pointers and 32-bit numbers as the kernels' structs have them."""
        self.kept.extend(arrays)
        pointers = np.array([a.data.ptr for a in arrays], np.uint64).tobytes()
        tail = np.array(numbers, np.int32).tobytes()
        return self.cp.asarray(np.frombuffer(pointers + tail + bytes(-len(tail) % 8), np.uint8).copy())

    def _search(self, spots: Spots) -> tuple[Any, dict[str, Any]]:
        n, kept, z = spots.n, spots.kept, self.cp.zeros
        arrays = {name: self.cp.asarray(np.ascontiguousarray(given)) for name, given in spots.numbers.items()}
        arrays |= {
            "choice": z(n, np.int32), "shot": z((kept, n), np.int32), "aim": z((kept, n), np.float32),
            "way": z((kept, n, 4), np.float32), "out_more": z((kept, n, 2), np.float32),
            "more_out": z((kept, n), np.float32), "node": z(n, np.int32), "from": z(n, np.int32),
        }  # fmt: skip
        return self._struct([arrays[name] for name in SEARCH], [n, kept]), arrays

    def player(self, player: Player) -> tuple[Any, dict[str, Any]]:
        """Bring a player to the card."""
        given = player_arrays(player)
        arrays = {name: self.cp.asarray(np.ascontiguousarray(a)) for name, a in given.items()}
        head = b"".join(
            np.array([arrays[f"{k}_count"].data.ptr, arrays[f"{k}_point"].data.ptr], np.uint64).tobytes()
            + np.array([arrays[f"{k}_point"].shape[2], 0], np.int32).tobytes()
            for k in ("quick", "coarse")
        )
        pointers = np.array([arrays[name].data.ptr for name in PLAYER], np.uint64).tobytes()
        tail = np.array([player.allowed.shape[1], 0], np.int32).tobytes()
        return self.cp.asarray(np.frombuffer(head + pointers + tail, np.uint8).copy()), arrays

    def launch(
        self, name: str, grid: tuple[int, ...], block: int, args: tuple[Any, ...], shared: int = 0
    ) -> None:
        """Put one kernel on the stream."""
        self.kernel[name](grid, (block,), args, shared_mem=shared, stream=self.stream)

    def update(self, search: Any, kind: int, change: Any = NONE) -> None:
        """Write new values into U in the rows of list `kind` (1 the whole), and blur its tiles."""
        holes = len(self.layout.cells)
        span = self.spans[kind - 1] if kind <= len(self.bands) + 1 else self.spans[0]
        self.launch("fill", (-(-self.padded // BLOCK), holes), BLOCK, (self.course, search, span, change))
        self._shrink(change, 0, 1)
        self._blur(kind, change, -1, 1)

    def _shrink(self, change: Any, first: int, sets: int) -> None:
        pads = (np.int32(PAD[2]), np.int32(PAD[4]), np.int32(first))
        grid = (-(-self.shrunk // BLOCK), len(self.layout.cells), sets)
        self.launch("shrink", grid, BLOCK, (self.course, change, *pads))

    def _blur(self, kind: int, change: Any, first: int, sets: int) -> None:
        args = (self.course, self.tiles[kind], self.counts[kind:], change, np.int32(first))
        self.launch("blur", (self.blurrers, 1, sets), BLOCK, args, self.room)

    def _own_fields(self) -> None:
        """Blur what is the course's own: the same for every player."""
        tiles = -(-self.layout.sizes["tiles"] // BLOCK)
        self.launch("choose", (tiles, 1), BLOCK, (self.course, NONE, self.spans, self.tiles, self.counts))
        grid = (-(-self.padded // BLOCK), len(self.layout.cells), SETS)
        self.launch("masks", grid, BLOCK, (self.course, NONE, np.int32(0)))
        self._shrink(NONE, 0, SETS)
        self._blur(0, NONE, 0, SETS)

    def record(self) -> None:
        """Put a whole solve on the stream."""
        holes, kinds = len(self.layout.cells), len(self.spans) + 1
        self.change.fill(0)
        self.counts.fill(0)
        self.arrays["touched"].fill(0)
        self.grid_arrays["value"][...] = self.start
        tiles = -(-self.layout.sizes["tiles"] // BLOCK)
        self.launch(
            "choose", (tiles, kinds), BLOCK, (self.course, self.who, self.spans, self.tiles, self.counts)
        )
        self.launch(
            "masks", (-(-self.padded // BLOCK), holes, 1), BLOCK, (self.course, self.who, np.int32(USUAL))
        )
        self._shrink(NONE, USUAL, 1)
        self._blur(0, NONE, USUAL, 1)
        self.update(self.grid, 1)
        for k, ids in enumerate(self.bands):
            self._band(ids, k + 2, k == 0)
        self._cells()

    def _band(self, ids: Any, kind: int, first: bool) -> None:
        count, given = np.int32(len(ids)), (self.course, self.who, self.grid)
        for _ in range(2 if first else 1):
            self.launch("scan", (-(-len(ids) // 32), SHARES), 512, (*given, ids, count, self.low))
            self.launch("refine", (-(-len(ids) * 16 // 128),), 128, (*given, ids, count, self.low))
            if not first:
                break
            self.update(self.grid, kind)
        self.launch(
            "measure_spots", (-(-len(ids) * 32 // 128),), 128, (*given, self.balls["grid"], ids, count)
        )
        self.update(self.grid, kind)
        for _ in range(NEAR_SWEEPS if first else 0):
            self.launch("sweep", (-(-len(ids) // 64),), 64, (*given, ids, count, NONE, NONE))
            self.update(self.grid, kind)

    def _cells(self) -> None:
        n, last = self.layout.raster.n, len(self.tiles) - 1
        blocks, given = (-(-n // 128),), (self.course, self.who, self.raster)
        self.launch("carry", blocks, 128, (self.course, self.grid, self.raster, self.tee))
        self.update(self.raster, 1)
        self.launch("prepare", (-(-n // BLOCK),), BLOCK, (*given, self.asked, self.counts[last + 1 :]))
        tiles = -(-self.layout.sizes["tiles"] // BLOCK)
        self.launch("choose_touched", (tiles,), BLOCK, (self.course, self.tiles[last], self.counts[last:]))
        self.update(self.raster, last)
        self._settle(0, FIRST_SWEEPS)
        many = (-(-n * CELL_LANES // 128),)
        self.launch(
            "measure_cells", many, 128, (*given, self.balls["cells"], self.asked, self.counts[last + 1 :])
        )
        kept = self.layout.raster.kept
        self.launch("measure_tees", (len(self.tees),), 32 * kept, (*given, self.balls["tees"], self.tees))
        self.launch("share", blocks, 128, given)
        self.update(self.raster, last)
        self._settle(FIRST_SWEEPS, LAST_SWEEPS)
        self.launch("answer", blocks, 128, (self.raster, self.shot, self.aim))

    def _settle(self, first: int, most: int) -> None:
        """Sweep until nothing moves: a hole that stands still is passed over."""
        n, last = self.layout.raster.n, len(self.tiles) - 1
        for k in range(first, first + most):
            before = NONE if k == first else self.change[k - 1]
            args = (self.course, self.who, self.raster, NONE, np.int32(n), before, self.change[k])
            self.launch("sweep", (-(-n // 128),), 128, args)
            self.update(self.raster, last, before)

    def graph(self, player: Player) -> Any:
        """The recorded solve for a player, ready to launch on `stream`."""
        with self.stream:
            self.who, self.who_arrays = self.player(player)
            most = max(len(ids) for ids in self.bands)
            self.low = self.cp.zeros(most * player.allowed.shape[1], np.float32)
            self.stream.synchronize()
            self.stream.begin_capture()
            try:
                self.record()
            finally:
                graph = self.stream.end_capture()
        return graph


__all__ = ["Card", "source"]
