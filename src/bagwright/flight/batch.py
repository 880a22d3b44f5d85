"""Many flights of the default law at once: the fast schedule in lanes, with threads over chunks.

A flight goes through three tiers. The short schedule (39 slopes) serves the launches of golf; what it doubts
is flown again by a longer one (123 slopes) that knows the time of flight; what that doubts too is marked for
the adaptive method. No flight leaves here unmarked unless the doubt of its schedule lay below a limit found
by flying three hundred thousand launches, golf's and absurd ones, beside the adaptive method
(`bench/bench_flight.py` repeats a part of it).

Figures are single precision inside: some 0.3 mm of carry.
"""

from __future__ import annotations

import os
import sys
import threading
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from typing import Any, NamedTuple

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Singles = NDArray[np.float32]
Bools = NDArray[np.bool_]

CHUNK = 8192
"""Flights that one call of a kernel gets: a chunk's numbers stay in the processor's second cache."""
MOST_THREADS = 16
LANDED = ("x", "y", "t", "vx", "vy", "vz", "surface", "apex", "s_low", "s_high", "re_high", "margin")
"""What is given back, in SI, in the order of the adaptive integrator: at landing, except the last five."""

_NODES = (0.062, 0.218, 0.455, 0.708, 0.95)
_REST_AFTER = 3
"""Ends of the short schedule's steps as parts of the time of flight, and after how many of them the time
still to go is estimated anew."""
_LONG_NODES = (
    0.01, 0.03, 0.07, 0.12, 0.18, 0.25, 0.32, 0.39, 0.46, 0.53, 0.60, 0.67, 0.74, 0.81, 0.88, 0.94, 0.98,
)  # fmt: skip

_X, _Y, _T, _VX, _VY, _VZ, _S, _TOP, _DOUBT, _LEG, _S_LOW, _S_HIGH, _Q_HIGH, _MARGIN = range(14)
_MEAN_HEIGHT_M = 3.1
"""Height whose wind stands for the whole flight's in the first estimate of its time."""

_SLOW_COMPILE_S = 1.5


class Shared(NamedTuple):
    """What all flights of a call share."""

    roughness_m: float
    """0 for a wind that is the same at every height."""
    at_height_m: float
    decay_per_m: float
    """Spin lost for each metre through the air: 1.4e-5/r for the default law."""
    limits: tuple[float, float, float, float]
    """Spin ratio a, least Reynolds number below it, spin ratio b, least Reynolds number above it."""


class Columns(NamedTuple):
    """What each flight has of its own, arrays (n,), all known and inside the ranges of a launch."""

    speed_mps: Floats
    launch_rad: Floats
    direction_rad: Floats
    surface_mps: Floats
    """Speed of the ball's surface by its spin."""
    axis_rad: Floats
    wind_x_mps: Floats
    wind_y_mps: Floats
    drag_per_m: Floats
    """rho A/2m times the level's factor on drag."""
    lift_per_m: Floats
    re_per_mps: Floats


class Landed(NamedTuple):
    """Where the flights ended."""

    rows: Floats
    """(12, n), see LANDED; NaN where `redo`."""
    again: Bools
    """(n,) flown by the longer schedule."""
    redo: Bools
    """(n,) left to the adaptive method."""


def fly_batch(columns: Columns, shared: Shared, threads: int | None = None) -> Landed:
    """Fly n launches of the law "D1".

    `threads` is how many run at once: as many as there are cores unless said, at most 16. The answer does
    not depend on it.
    """
    n = len(columns.speed_mps)
    landed = Landed(np.empty((len(LANDED), n)), np.zeros(n, np.bool_), np.zeros(n, np.bool_))
    starts = range(0, n, CHUNK)
    with _Notice(_to_standard_error):
        from bagwright.flight import _kernel_lanes

        if starts:
            _fly_chunk(_kernel_lanes, columns, shared, landed, 0)
    workers = min(threads or os.cpu_count() or 1, MOST_THREADS, max(len(starts) - 1, 1))
    if workers == 1:
        for start in starts[1:]:
            _fly_chunk(_kernel_lanes, columns, shared, landed, start)
    else:
        with ThreadPoolExecutor(workers) as pool:
            list(pool.map(lambda at: _fly_chunk(_kernel_lanes, columns, shared, landed, at), starts[1:]))
    return landed


def _fly_chunk(kernels: Any, columns: Columns, shared: Shared, landed: Landed, start: int) -> None:
    """Fly one chunk through the first two tiers and write what came of it."""
    part = slice(start, start + CHUNK)
    own = Columns(*(each[part] for each in columns))
    n = len(own.speed_mps)
    inp = packed(own, shared, kernels.LANES)
    out = run(kernels, inp, shared, _NODES, _REST_AFTER)
    rows = out[:, :n]
    absurd = _absurd(own)
    sure = _sure(rows, own) & ~absurd
    index = np.flatnonzero(~sure)
    if len(index):
        landed.again[start + index] = True
        time = rows[_T, index]
        some = _few(inp, index, kernels.LANES)
        some[9, : len(index)] = np.where((time > 0.02) & (time < 25.0), time, 0.0)
        longer = run(kernels, some, shared, _LONG_NODES, 0)[:, : len(index)]
        rows[:, index] = longer
        landed.redo[start + index] = ~_sure_of_long(longer, absurd[index])
    _write(rows, own, landed, part)


def packed(own: Columns, shared: Shared, lanes: int) -> Singles:
    """What a kernel takes (10, m): m is n rounded up to whole blocks, the last launch filling it."""
    n = len(own.speed_mps)
    inp: Singles = np.empty((10, -(-n // lanes) * lanes), np.float32)
    for i, column in enumerate(own[:9]):
        inp[i, :n] = column
    inp[9, :n] = 0.0
    inp[:, n:] = inp[:, n - 1 : n]
    if shared.roughness_m > 0.0:
        inp[5:7] *= np.float32(1.0 / np.log2(1.0 + shared.at_height_m / shared.roughness_m))
    return inp


def _few(inp: Singles, index: NDArray[np.int64], lanes: int) -> Singles:
    """The launches of an index as whole blocks."""
    places = np.resize(index, -(-len(index) // lanes) * lanes)
    places[len(index) :] = index[-1]
    return np.ascontiguousarray(inp[:, places])


def setting_of(shared: Shared) -> Singles:
    """What all flights share, as the kernels take it."""
    rough = shared.roughness_m
    a, least, b, more = shared.limits
    mean = np.log2(1.0 + _MEAN_HEIGHT_M / rough) if rough > 0.0 else 1.0
    per = 1.0 / rough if rough > 0.0 else 0.0
    return np.array([per, shared.decay_per_m, mean, a, 1.0 / (b - a), least, more - least], np.float32)


def schedule_of(nodes: tuple[float, ...], rest_after: int) -> tuple[Singles, NDArray[np.int64]]:
    """Lengths of the steps as parts of the time they count from, and before which that is estimated anew."""
    share, before, left = [], 0.0, 1.0
    for n, node in enumerate(nodes):
        if rest_after and n == rest_after:
            left = 1.0 - before
        share.append((node - before) / left)
        before = node
    again = np.zeros(len(nodes), np.int64)
    again[rest_after] = int(rest_after > 0)
    return np.array(share, np.float32), again


def run(kernels: Any, inp: Singles, shared: Shared, nodes: tuple[float, ...], rest_after: int) -> Singles:
    """One call of the kernel that fits the wind's profile: (10, m) to (14, m)."""
    out: Singles = np.empty((14, inp.shape[1]), np.float32)
    share, again = schedule_of(nodes, rest_after)
    kernel = kernels.fly_log if shared.roughness_m > 0.0 else kernels.fly_even
    kernel(inp, out, share, again, setting_of(shared), np.empty(kernels.ROOM, np.float32))
    return out


def _sure(rows: Singles, own: Columns) -> Bools:
    """Which flights the short schedule may keep.

    The embedded error estimate, as metres at the landing, overstates the error at golf's launches and
    understates it where the ball rises steeply or the wind is a gale: three limits. The last leg must be
    short, and the ball must come down in it.
    """
    wind2 = own.wind_x_mps * own.wind_x_mps + own.wind_y_mps * own.wind_y_mps
    golf = (
        (own.launch_rad > 0.087) & (own.launch_rad < 0.70) & (own.speed_mps > 25.0)
        & (np.abs(own.drag_per_m - 0.0185) < 0.008) & (np.abs(own.lift_per_m - 0.0185) < 0.012)
    )  # fmt: skip
    limit = np.where(golf, np.where(wind2 < 14.0**2, 1.5, 0.15), 0.25)
    with np.errstate(invalid="ignore", over="ignore"):
        down = (rows[_LEG] > 0.015 * rows[_T]) & (rows[_LEG] < 0.09 * rows[_T])
        return np.asarray(down & (rows[_DOUBT] < limit) & _finite(rows))


def _absurd(own: Columns) -> Bools:
    """Launches and winds beyond even the hostile ones that the limits were found with."""
    wind2 = own.wind_x_mps * own.wind_x_mps + own.wind_y_mps * own.wind_y_mps
    return np.asarray(
        (own.launch_rad > 1.06) | (own.speed_mps > 92.0) | (wind2 > 29.0**2) | (own.launch_rad < 0.05)
        | (np.abs(own.axis_rad) > 0.72) | (np.abs(own.direction_rad) > 0.37)
    )  # fmt: skip


def _sure_of_long(rows: Singles, absurd: Bools) -> Bools:
    """Which flights the long schedule may keep."""
    with np.errstate(invalid="ignore", over="ignore"):
        down = (rows[_LEG] > 0.007 * rows[_T]) & (rows[_LEG] < 0.045 * rows[_T])
        return np.asarray(down & (rows[_DOUBT] < np.where(absurd, 0.1, 1.0)) & _finite(rows))


def _finite(rows: Singles) -> Bools:
    """Which flights have no NaN and no infinity among their numbers: a sum of them has one then, too."""
    return np.asarray(np.isfinite(rows.sum(axis=0)))


def _write(rows: Singles, own: Columns, landed: Landed, part: slice) -> None:
    """Write a chunk's rows into the answer."""
    to = landed.rows[:, part]
    to[:8] = rows[:8]
    to[8:10] = rows[_S_LOW : _S_HIGH + 1]
    to[10] = rows[_Q_HIGH] * own.re_per_mps
    to[11] = rows[_MARGIN] * own.re_per_mps
    to[:, landed.redo[part]] = np.nan


def compile_kernels(progress: Callable[[str], None] | None = None) -> None:
    """Compile the kernels, or load them from where an earlier start has left them.

    `progress` gets a line before each; without it a line goes to standard error where it takes long. They are
    kept beside the package, or in the user's cache where that folder cannot be written to.
    """
    told = progress or (lambda text: None)
    one = np.full(1, 0.3)
    for rough, words in ((0.03, "wind by height"), (0.0, "wind the same at every height")):
        told(f"Compiling the flight kernel: {words} ...")
        speed = np.full(1, 60.0)
        columns = Columns(speed, one, 0 * one, 30 * one, 0 * one, one, one, 0.06 * one, 0.06 * one, one)
        shared = Shared(rough, 10.0, 6.5e-4, (0.25, 7e4, 0.3, 4e4))
        fly_batch(columns, shared, threads=1)


class _Notice:
    """Say so when what is inside takes long: a first start compiles for some seconds."""

    def __init__(self, tell: Callable[[str], None]) -> None:
        self.timer = threading.Timer(
            _SLOW_COMPILE_S, tell, ["Compiling the flight kernels, once on this machine: some 10 s ..."]
        )
        self.timer.daemon = True

    def __enter__(self) -> None:
        self.timer.start()

    def __exit__(self, *_: object) -> None:
        self.timer.cancel()


def _to_standard_error(text: str) -> None:
    sys.stderr.write(text + "\n")
    sys.stderr.flush()
