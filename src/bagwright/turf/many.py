"""The runs of many balls at once: the kernel's own source, compiled when the batch is worth it."""

from __future__ import annotations

import os
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from functools import cache

import numpy as np
from numpy.typing import ArrayLike, NDArray

from bagwright.errors import InputError
from bagwright.turf import _kernel
from bagwright.turf._kernel import Ground
from bagwright.turf.ground import FAIRWAY, Turf
from bagwright.turf.limits import LIMITS, NEXT_STEP
from bagwright.units import RAD_S_PER_RPM

Floats = NDArray[np.float64]
Loop = Callable[[Floats, Floats, Floats, float, float, float, float, Floats], None]

WORTH_COMPILING = 20_000
"""Balls from which loading numba and compiling (about 2 s) cost less than plain Python."""
CHUNK = 65_536


def run_many(
    landing_speed_mps: ArrayLike,
    descent_rad: ArrayLike,
    landing_spin_rpm: ArrayLike,
    turf: Turf = FAIRWAY,
) -> Floats:
    """Run in metres of n balls: the values of `run`, without ranges.

    Arrays (n,) or numbers that broadcast to it; units, signs and limits as in `run`. A NaN in a ball's
    numbers gives NaN for that ball. Raises InputError that names the first number outside the limits.
    """
    given = (landing_speed_mps, descent_rad, landing_spin_rpm)
    speed, descent, spin = _arrays(dict(zip(LIMITS, given, strict=True)))
    missing = np.isnan(speed) | np.isnan(descent) | np.isnan(spin)
    if turf.lie == "sand":
        return np.where(missing, np.nan, 0.0)
    out = np.full(speed.shape, np.nan)
    loop = _compiled() if speed.size >= WORTH_COMPILING else _kernel.runs
    _in_chunks(loop, (speed, descent, spin * RAD_S_PER_RPM), turf.ground, out)
    return out


def _arrays(given: dict[str, ArrayLike]) -> list[Floats]:
    checked = [_checked(name, values) for name, values in given.items()]
    try:
        together = np.broadcast_arrays(*checked)
    except ValueError:
        shapes = ", ".join(str(values.shape) for values in checked)
        raise InputError(f"the landing numbers have shapes {shapes}.", "Give one of each a ball.") from None
    return [np.ascontiguousarray(values) for values in together]


def _checked(name: str, values: ArrayLike) -> Floats:
    try:
        array = np.atleast_1d(np.asarray(values, dtype=np.float64))
    except (TypeError, ValueError):
        raise InputError(f"{name} holds something that is not a number.", NEXT_STEP) from None
    if array.ndim != 1:
        raise InputError(f"{name} has shape {array.shape}.", "Give a list of one number a ball.")
    low, high, unit = LIMITS[name]
    outside = ~np.isnan(array) & ~((array >= low) & (array <= high))
    if outside.any():
        at = int(np.argmax(outside))
        text = f"{name} {array[at]:g} {unit} at place {at} is outside {low:g} to {high:g} {unit}."
        raise InputError(text, NEXT_STEP)
    return array


def _in_chunks(loop: Loop, landings: tuple[Floats, Floats, Floats], ground: Ground, out: Floats) -> None:
    """Fill `out` part by part, on all processors when the loop is compiled (it then lets threads run)."""

    def fill(start: int) -> None:
        part = slice(start, start + CHUNK)
        speed, descent, spin = (values[part] for values in landings)
        loop(speed, descent, spin, *ground, out[part])

    starts = range(0, out.size, CHUNK)
    if len(starts) < 2:
        for start in starts:
            fill(start)
        return
    with ThreadPoolExecutor(max_workers=os.cpu_count()) as pool:
        for _ in pool.map(fill, starts):
            pass


@cache
def _compiled() -> Loop:
    """The kernel's loop as machine code, kept from start to start. Loads numba (about 0.5 s)."""
    from numba import njit
    from numba.extending import register_jitable

    # The kernel stays plain Python for single balls: its functions are told to the compiler, not wrapped.
    for function in (_kernel.rebound, _kernel.bounce_and_roll):
        register_jitable(function)
    built: Loop = njit(nogil=True, cache=True)(_kernel.runs)
    return built
