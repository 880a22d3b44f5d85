"""All holes of a course solved at once on an NVIDIA card: the same model by the card's own kernels.

Only asked for: nothing else of the package imports this. It needs the library CuPy (`pip install
".[gpu]"`) and a card with its driver. What differs from the processor: kernels lead from the raster
to every width at once; every spot of the grid looks for itself, with fewer candidates; single balls measure
once for like candidates in a block of four by four cells (`BALLS`), not the grid once more.
`docs/benchmarks.md` has how far both ways are apart.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from importlib import import_module
from time import perf_counter
from typing import Any

import numpy as np
from numpy.typing import NDArray

from bagwright.course.raster import Raster
from bagwright.errors import InputError, MachineError
from bagwright.strokes import solve
from bagwright.strokes.card.driver import FIRST_SWEEPS, MOST_SHOTS, Card
from bagwright.strokes.card.layout import KEPT_CELLS, layout_of
from bagwright.strokes.cells import Cells, cells_of, check_playable
from bagwright.strokes.hole import STILL, Solver
from bagwright.strokes.patterns import PatternTable
from bagwright.strokes.probes import Player, player_of
from bagwright.strokes.result import HoleStrokes, Strokes
from bagwright.strokes.search import Search, search_of
from bagwright.strokes.solve import StoppedError
from bagwright.strokes.states import on_raster
from bagwright.strokes.tee import at_tee

__all__ = ["CardHole", "CourseOnCard", "expected_strokes_on_card", "library"]

NEXT = "Leave the card out: without it the processor works the strokes out."


@dataclass(frozen=True, slots=True)
class CardHole:
    """One hole as the card gives it. Arrays over its states: the cells played from, row by row, and the tee.

    `strokes` are those from the tee. `tee_shot`, `tee_aim` (4,) are the tee's candidates (-1 for none).
    `change` is the largest change of a value in the last of `sweeps` over the cells.
    """

    number: int
    strokes: float
    value: NDArray[np.float32]
    shot: NDArray[np.int16]
    aim: NDArray[np.float32]
    tee_shot: NDArray[np.int32]
    tee_aim: NDArray[np.float32]
    sweeps: int
    change: float


def library() -> Any:
    """CuPy, where a card answers. Raises MachineError where it is not installed or there is no card."""
    try:
        cupy = import_module("cupy")
    except ImportError as error:
        raise MachineError(
            "Strokes on a card need the library CuPy, which is not installed here.",
            f'Install it with: pip install ".[gpu]". {NEXT}',
        ) from error
    try:
        count = int(cupy.cuda.runtime.getDeviceCount())
    except cupy.cuda.runtime.CUDARuntimeError as error:
        raise MachineError(
            f"No NVIDIA card answers: {error}.", f"Install the card's driver. {NEXT}"
        ) from error
    if count < 1:
        raise MachineError("This machine has no NVIDIA card.", NEXT)
    return cupy


class CourseOnCard:
    """Holes of a course and one player's table on the card. `solve()` may be called again and again."""

    def __init__(
        self, rasters: Sequence[Raster], table: PatternTable, *, local_rule_e5: bool = False
    ) -> None:
        """Bring everything to the card and record the solve there.

        Raises MachineError without a card; InputError as the processor's solve does, for rasters with
        different cells, and for more shots than the card has room for.
        """
        cupy = library()
        self.rasters = tuple(rasters)
        if not self.rasters:
            raise InputError("There is no hole to work out.", "Choose a course with at least one hole.")
        if len({raster.cell_m for raster in self.rasters}) > 1:
            raise InputError(
                "The holes' rasters have cells of different sizes.", "Draw them with one cell size."
            )
        if table.n > MOST_SHOTS:
            raise InputError(f"The table has {table.n} shots; the card has room for {MOST_SHOTS}.", NEXT)
        self.cells: tuple[Cells, ...] = tuple(
            cells_of(raster, table, local_rule_e5) for raster in self.rasters
        )
        for one in self.cells:
            check_playable(one, table.allowed)
        self.player: Player = player_of(table, self.rasters[0].cell_m)
        self.card = Card(cupy, layout_of(self.cells))
        self.graph = self.card.graph(self.player)

    def run(self) -> None:
        """Solve, and leave the answer on the card."""
        self.graph.launch(self.card.stream)
        self.card.stream.synchronize()

    def solve(self) -> tuple[CardHole, ...]:
        """Solve all holes, in the order of the rasters."""
        self.run()
        return self.answer()

    def answer(self) -> tuple[CardHole, ...]:
        """Fetch the last answer."""
        c, first = self.card, self.card.layout.raster.first
        value, shot, aim, change = (a.get() for a in (c.raster_arrays["value"], c.shot, c.aim, c.change))
        tees = c.tees
        tee_shot, tee_aim = (c.raster_arrays[name][:, tees].get().T for name in ("shot", "aim"))
        cell, own = c.layout.arrays["cell"], []
        for k, raster in enumerate(self.rasters):
            # The card takes the cells block by block: back to rows.
            order = (
                np.append(np.argsort(cell[first[k] : first[k + 1] - 1]), first[k + 1] - 1 - first[k])
                + first[k]
            )
            swept, last = _swept(change[:, k])
            own.append(
                CardHole(
                    number=raster.number,
                    strokes=float(value[first[k + 1] - 1]),
                    value=value[order],
                    shot=shot[order],
                    aim=aim[order],
                    tee_shot=tee_shot[k],
                    tee_aim=tee_aim[k],
                    sweeps=swept,
                    change=last,
                )
            )
        return tuple(own)


def _swept(change: NDArray[np.float32]) -> tuple[int, float]:
    """How many sweeps a hole took, and the change in the last: those after it stands still are left out."""
    count, last = 0, 0.0
    for part in (change[:FIRST_SWEEPS], change[FIRST_SWEEPS:]):
        still = np.flatnonzero(part < STILL)
        done = int(still[0]) + 1 if len(still) else len(part)
        count, last = count + done, float(part[done - 1])
    return count, last


def expected_strokes_on_card(
    rasters: Sequence[Raster],
    table: PatternTable,
    *,
    progress: Callable[[int, int], None] | None = None,
    stop: Callable[[], bool] | None = None,
    local_rule_e5: bool = False,
) -> Strokes:
    """As `expected_strokes`, with values and decisions from the card.

    The processor then takes the tee by the exact definition, plays the card's decisions and bounds their
    error: spread, demand and bound are its own, and take most of the time.
    Raises MachineError without a card, InputError and StoppedError as `expected_strokes`.
    """
    start = perf_counter()
    course = CourseOnCard(rasters, table, local_rule_e5=local_rule_e5)
    holes: list[HoleStrokes] = []
    for k, found in enumerate(course.solve()):
        if stop is not None and stop():
            raise StoppedError
        holes.append(finished(course.cells[k], course.player, found, local_rule_e5))
        if progress is not None:
            progress(k + 1, len(course.rasters))
    return Strokes(tuple(holes), table.shots, table.said, perf_counter() - start)


def search_from(solver: Solver, found: CardHole) -> Search:
    """The card's values and decisions as the processor keeps them; all candidates only at the tee."""
    cells = solver.cells
    s = search_of(on_raster(cells.raster.lie, cells.tee), cells, KEPT_CELLS)
    s.value[:], s.shot[:, 0], s.aim[:, 0] = found.value, found.shot, found.aim
    s.shot[-1], s.aim[-1] = found.tee_shot, found.tee_aim
    solver.update(s)
    at_tee(solver, s)
    return s


def finished(cells: Cells, player: Player, found: CardHole, local_rule_e5: bool) -> HoleStrokes:
    """Play the card's decisions, and bound their error; `local_rule_e5` as the cells were made."""
    start = perf_counter()
    solver = Solver(cells, player)
    search = search_from(solver, found)
    return solve.finished(solver, search, found.sweeps, found.change, start, local_rule_e5)
