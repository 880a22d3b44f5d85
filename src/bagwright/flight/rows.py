"""The adaptive integrator over many flights: plain Python for few, machine code on all cores for many."""

from __future__ import annotations

import os
from concurrent.futures import ThreadPoolExecutor
from typing import TYPE_CHECKING, Any

from bagwright.errors import MachineError
from bagwright.flight import adaptive
from bagwright.flight._bh76 import GRID as BH76_GRID
from bagwright.flight._dop853 import TABLEAU

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]

COMPILE_FROM = 500
"""From how many flights on it pays to load the compiler (0.6 s; some seconds more the very first time)."""
_CHUNK = 256
"""Flights that one thread takes at a time."""


def fly_rows(code: int, states: Floats, params: Floats, tolerance: float, compiled: bool = False) -> Floats:
    """Fly each row: states (n, 8) and params (n, 18) as `adaptive` takes them; gives its ends (n, 13).

    `compiled` takes machine code for few rows too, where the compiler is loaded anyway.
    Rows do not depend on each other, so neither chunks nor threads change a digit. Raises MachineError where
    a ball does not come down within the step limit.
    """
    import numpy as np

    n = len(states)
    ends = np.empty((n, adaptive.ENDS))
    failed = np.zeros(n, dtype=np.int64)
    if compiled or n >= COMPILE_FROM:
        _fly_compiled(code, states, params, ends, failed, tolerance)
    else:
        _fly_plain(code, states, params, ends, failed, tolerance)
    stuck = int((failed != adaptive.DONE).sum())
    if stuck:
        raise MachineError(
            f"{stuck} of {n} flights could not be followed to the ground.", "Check the launches and the wind."
        )
    return ends


def _fly_plain(
    code: int, states: Floats, params: Floats, ends: Floats, failed: Any, tolerance: float
) -> None:
    end, room, out = [0.0] * adaptive.ENDS, [0.0] * 96, [0.0] * 8
    for i, (state, p) in enumerate(zip(states.tolist(), params.tolist(), strict=True)):
        failed[i] = adaptive.fly_one(state, code, p, BH76_GRID, TABLEAU, room, out, end, tolerance)
        ends[i] = end


def _fly_compiled(
    code: int, states: Floats, params: Floats, ends: Floats, failed: Any, tolerance: float
) -> None:
    import numpy as np

    run = adaptive.compiled()
    table, tab = np.array(BH76_GRID), np.array(TABLEAU)

    def chunk(start: int) -> None:
        rows = slice(start, start + _CHUNK)
        room, state, out = np.zeros(96), np.zeros(8), np.zeros(8)
        run(
            states[rows],
            code,
            params[rows],
            table,
            tab,
            room,
            state,
            out,
            ends[rows],
            failed[rows],
            tolerance,
        )

    chunk(0)  # compiles, once
    with ThreadPoolExecutor(max_workers=os.cpu_count() or 1) as pool:
        list(pool.map(chunk, range(_CHUNK, len(states), _CHUNK)))
