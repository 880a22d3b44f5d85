"""One flight of a ball: forces and an adaptive integrator, exact at the apex and at the landing.

The functions are plain Python on floats and, unchanged, numba source: `compiled()` builds the second form
late and keeps it on disk. Nothing here knows of units, errors or names; `fly.py` does.

Forces as in docs/flight.md: point mass, drag and lift of the air-relative velocity u, spin axis fixed in
space, lift 0.5 rho A CL |u| (a x u). The method is DOP853 of Hairer, Norsett and Wanner (1993), section
II.10, with its own error estimate. Landing and apex are not interpolated: the last step is taken again,
shorter, until it ends there.

A wind profile ln(1 + z/z0) bends within centimetres of the ground. There the flight is followed in a
variable s with dt/ds = (z + z0)/(z + z0 + STRETCH_M), in which ln(z + z0), and so the wind, is nearly
straight (a Sundman transformation); higher up s is the time.

State: z, vx, vy, vz, w (surface speed of the spinning ball, m/s), x, y, t. Only the first five have forces.
"""

from __future__ import annotations

import math
from functools import cache
from typing import Any

from bagwright.flight._dop853 import STAGES

STRETCH_M = 4.0
MAX_STEPS = 20_000
REFERENCE_NU = 1.81e-5 / 1.2
"""Kinematic viscosity (m²/s) that turns a Reynolds number into the speed of a tunnel's table."""
REFERENCE_DIAMETER_M = 0.04267
RPM_PER_SURFACE_MPS = 60.0 / (math.pi * REFERENCE_DIAMETER_M)

CONSTANT, D1, POOLED, SMITS_SMITH, SMITS_SMITH_NO_RE, INDOOR, LYU, GRID, TEXTBOOK, DAVIES = range(10)

ENDS = 13
"""Numbers that a flight ends with; see `fly_one`."""

DONE, STUCK = 0, 1
"""How a flight ended: on the ground, or without reaching it within the step limit."""


def drag_and_lift(code: int, s: float, re: float, table: Any) -> tuple[float, float]:
    """Drag and lift coefficient of a law at spin ratio `s` and Reynolds number `re`; sources in aero.py."""
    if code == D1:
        s2 = s * s
        return 0.207 + 0.34 * s2 / (s2 + 0.162), 0.56 * s / (s + 0.245)
    if code == POOLED:
        s2 = s * s
        return 0.204 + 0.386 * s2 / (s2 + 0.181), 0.53 * s / (s + 0.24)
    if code in (SMITS_SMITH, SMITS_SMITH_NO_RE):
        wave = 0.0
        if code == SMITS_SMITH:
            wave = 0.06 * math.sin(math.pi * (min(max(re, 7e4), 2.1e5) - 9e4) / 2e5)
        return 0.24 + 0.18 * s + wave, 0.54 * s**0.4
    if code == INDOOR:
        return _indoor(s, re)
    if code == LYU:
        return _lyu(s, re)
    if code == GRID:
        return _grid(s, re, table)
    return _old(code, s, re)


def _indoor(s: float, re: float) -> tuple[float, float]:
    """The example regression of US 6,186,002, held at its edges: R 0.70 to 2.1, straight on above S 0.25."""
    r = min(max(re * 1e-5, 0.70), 2.1)
    inside = min(s, 0.25)
    beyond = s - inside
    cd = 0.2028 + 2.8466 * inside * inside + 0.0165 * r - 0.2159 * inside + 0.35 * beyond
    cl = 0.0860 + 0.6463 * inside - 0.0122 / (r * r) + 1.4789 * inside * inside
    if beyond > 0.0:
        cl = min(cl + 0.28 * beyond, 0.46)
    return cd, cl


def _lyu(s: float, re: float) -> tuple[float, float]:
    """One ball of Lyu et al. (2018), held at the edges of what was measured."""
    if re >= 7.5e4:
        r = min(re, 2e5)
        cd = 1.91e-11 * r * r - 5.40e-6 * r + 0.56
    else:
        r = max(re, 5e4)
        cd = 1.29e-10 * r * r - 2.59e-5 * r + 1.50
    inside = min(s, 0.32)
    return cd, -3.25 * inside * inside + 1.99 * inside


def _grid(s: float, re: float, table: Any) -> tuple[float, float]:
    """Bilinear in the table of Bearman and Harvey (1976): 10 speeds, 21 spin rates, held at its edges."""
    speed = re * REFERENCE_NU / REFERENCE_DIAMETER_M
    rows = min(max((s * speed * RPM_PER_SURFACE_MPS - 2000.0) / 200.0, 0.0), 20.0)
    i = min(int(rows), 19)
    up = rows - i
    v = min(max(speed, table[0]), table[9])
    j = 0
    while j < 8 and v > table[j + 1]:
        j += 1
    right = (v - table[j]) / (table[j + 1] - table[j])
    at = 10 + 10 * i + j
    cd = (1.0 - up) * ((1.0 - right) * table[at] + right * table[at + 1])
    cd += up * ((1.0 - right) * table[at + 10] + right * table[at + 11])
    at += 210
    cl = (1.0 - up) * ((1.0 - right) * table[at] + right * table[at + 1])
    cl += up * ((1.0 - right) * table[at + 10] + right * table[at + 11])
    return cd, cl


def _old(code: int, s: float, re: float) -> tuple[float, float]:
    """Laws for teaching and for checks: of a textbook, of Davies (1949), and coefficients of one."""
    if code == CONSTANT:
        return 1.0, 1.0
    speed = max(re * REFERENCE_NU / REFERENCE_DIAMETER_M, 1e-6)
    if code == TEXTBOOK:
        # F = -C rho A v^2, C = 1/2 below 14 m/s and 7/v above; lift 0.25/s times v, in the book's air.
        cl = 0.25 * 2.0 * 0.046 / (1.29 * 0.0014 * speed)
        if s <= 0.0:
            cl = 0.0
        return (1.0 if speed < 14.0 else 14.0 / speed), cl
    # Forces in pounds at 105 ft/s (32.0 m/s) by spin rate, as coefficients of air at 1.2 kg/m3.
    rpm = min(s * 32.004 * RPM_PER_SURFACE_MPS, 8000.0)
    per_lbf = 4.4482216 / (0.5 * 1.2 * 0.25 * math.pi * REFERENCE_DIAMETER_M**2 * 32.004**2)
    return (0.06 + 0.04 * rpm / 8000.0) * per_lbf, 0.064 * (1.0 - math.exp(-0.00026 * rpm)) * per_lbf


def slope(
    z: float, vx: float, vy: float, vz: float, w: float, code: int, p: Any, table: Any
) -> tuple[float, float, float, float, float, float, float, float]:
    """Rates of z, vx, vy, vz, w, x, y, t by the independent variable (time, or s near rough ground)."""
    share, rate = 1.0, 1.0
    if p[2] > 0.0:
        above = max(z + p[2], 1e-6 * p[2])
        share = math.log(above / p[2]) * p[3]
        rate = above / (above + p[13])
    ux = vx - p[0] * share
    uy = vy - p[1] * share
    u = max(math.sqrt(ux * ux + uy * uy + vz * vz), 1e-9)
    cd, cl = drag_and_lift(code, w / u, p[10] * u, table)
    drag = p[4] * cd * u
    lift = p[5] * cl * u
    ax, ay, az = p[6], p[7], p[8]
    return (
        rate * vz,
        rate * (-drag * ux + lift * (ay * vz - az * uy)),
        rate * (-drag * uy + lift * (az * ux - ax * vz)),
        rate * (-drag * vz + lift * (ax * uy - ay * ux) - p[9]),
        -rate * (p[11] * u + p[12]) * w,
        rate * vx,
        rate * vy,
        rate,
    )


def step(
    y: Any, h: float, code: int, p: Any, table: Any, tab: Any, k: Any, out: Any, tolerance: float
) -> float:
    """One step of size `h` from state `y` into `out`; returns the error as a share of what is allowed.

    `k` is room for 12 x 8 slopes; `tab` the tableau; all are lists or arrays.
    """
    for i in range(STAGES):
        z, vx, vy, vz, w = y[0], y[1], y[2], y[3], y[4]
        for j in range(i):
            a = tab[12 * i + j]
            if a != 0.0:
                a *= h
                m = 8 * j
                z += a * k[m]
                vx += a * k[m + 1]
                vy += a * k[m + 2]
                vz += a * k[m + 3]
                w += a * k[m + 4]
        m = 8 * i
        k[m], k[m + 1], k[m + 2], k[m + 3], k[m + 4], k[m + 5], k[m + 6], k[m + 7] = slope(
            z, vx, vy, vz, w, code, p, table
        )
    fifth, third = 0.0, 0.0
    for c in range(8):
        total, e5, e3 = 0.0, 0.0, 0.0
        for j in range(STAGES):
            slope_j = k[8 * j + c]
            total += tab[144 + j] * slope_j
            e5 += tab[156 + j] * slope_j
            e3 += tab[168 + j] * slope_j
        out[c] = y[c] + h * total
        allowed = tolerance * (1.0 + abs(y[c]))
        fifth += (e5 / allowed) ** 2
        third += (e3 / allowed) ** 2
    if fifth == 0.0 and third == 0.0:
        return 0.0
    return float(abs(h) * fifth / math.sqrt((fifth + 0.01 * third) * 8.0))


def find(
    c: int,
    sign: float,
    low: float,
    high: float,
    y: Any,
    code: int,
    p: Any,
    table: Any,
    tab: Any,
    k: Any,
    out: Any,
) -> float:
    """The step size between `low` and `high` at which state `c` (0 height, 3 climb) crosses zero.

    `sign` is the sign of the state at `low`. Newton from the far side, kept inside the bracket by halving;
    `out` ends at the crossing.
    """
    h = high
    for _ in range(80):
        step(y, h, code, p, table, tab, k, out, 1.0)
        value = out[c]
        rates = slope(out[0], out[1], out[2], out[3], out[4], code, p, table)
        if sign * value > 0.0:
            low = h
        else:
            high = h
        if abs(value) < 1e-12 or high - low < 1e-15 * high:
            break
        move = h - value / rates[c] if rates[c] != 0.0 else low
        h = float(move) if low < move < high else 0.5 * (low + high)
    return h


def watch(y: Any, p: Any, end: Any) -> None:
    """Widen what `end` knows of spin ratio and Reynolds number by those of state `y`.

    end[8..11]: least and greatest spin ratio, greatest Reynolds number, least Reynolds number as a share of
    the law's lowest (p[14..17]: that is p[15] below spin ratio p[14], p[17] above p[16], straight between).
    """
    share = math.log(max(y[0] + p[2], p[2]) / p[2]) * p[3] if p[2] > 0.0 else 1.0
    ux, uy = y[1] - p[0] * share, y[2] - p[1] * share
    u = max(math.sqrt(ux * ux + uy * uy + y[3] * y[3]), 1e-9)
    s, re = y[4] / u, p[10] * u
    between = min(max((s - p[14]) / (p[16] - p[14]), 0.0), 1.0)
    end[8] = min(end[8], s)
    end[9] = max(end[9], s)
    end[10] = max(end[10], re)
    end[11] = min(end[11], re / (p[15] + between * (p[17] - p[15])))


def resized(h: float, error: float) -> float:
    """The next step size after a step whose error was `error` of what is allowed."""
    return h * min(6.0, max(0.2, 0.9 * math.pow(max(error, 1e-10), -0.125)))


def fly_one(
    y: Any, code: int, p: Any, table: Any, tab: Any, k: Any, out: Any, end: Any, tolerance: float
) -> int:
    """Follow one ball from state `y` to the ground; returns DONE or STUCK.

    `y` is spoilt. `end` (13 numbers) gets x, y, t, vx, vy, vz, w at landing, greatest height, the four of
    `watch`, and the number of steps. `tolerance` is the error allowed a step, of 1 m, 1 m/s or the value.
    """
    end[7], end[8], end[9], end[10], end[11], end[12] = 0.0, 1e300, 0.0, 0.0, 1e300, 0.0
    watch(y, p, end)
    h = 0.2 if p[13] == 0.0 or p[2] == 0.0 else 0.5 * p[13] / max(abs(y[3]), 0.1)
    for n in range(MAX_STEPS):
        error = step(y, h, code, p, table, tab, k, out, tolerance)
        if not error <= 1.0:
            h = resized(h, error) if error > 1.0 else 0.2 * h
            continue
        following = resized(h, error)
        low, high, falling = 0.0, h, out[3] <= 0.0
        if (y[3] > 0.0) == falling:
            # The climb changed its sign within the step: a crest, or rarely a trough.
            level = find(3, 1.0 if falling else -1.0, 0.0, h, y, code, p, table, tab, k, out)
            if falling:
                low = level
                end[7] = max(end[7], out[0])
            elif out[0] <= 0.0:
                high = level
            if high == h:
                step(y, h, code, p, table, tab, k, out, 1.0)
        if out[0] <= 0.0:
            find(0, 1.0, low, high, y, code, p, table, tab, k, out)
            watch(out, p, end)
            end[0], end[1], end[2] = out[5], out[6], out[7]
            end[3], end[4], end[5], end[6] = out[1], out[2], out[3], out[4]
            end[12] = n + 1.0
            return DONE
        for c in range(8):
            y[c] = out[c]
        watch(y, p, end)
        h = following
    return STUCK


def follow(
    y: Any, duration: float, code: int, p: Any, table: Any, tab: Any, k: Any, out: Any, tolerance: float
) -> int:
    """Carry state `y` on by `duration` seconds, whatever the ground; returns DONE or STUCK.

    For points along a path; p[13] must be 0, so that the variable is the time.
    """
    left, h = duration, duration
    for _ in range(MAX_STEPS):
        error = step(y, min(h, left), code, p, table, tab, k, out, tolerance)
        if not error <= 1.0:
            h = resized(min(h, left), error) if error > 1.0 else 0.2 * min(h, left)
            continue
        for c in range(8):
            y[c] = out[c]
        left -= min(h, left)
        if left <= 0.0:
            return DONE
        h = resized(h, error)
    return STUCK


def fly_rows(
    states: Any, codes: int, params: Any, table: Any, tab: Any, k: Any, y: Any, out: Any, ends: Any,
    failed: Any, tolerance: float,
) -> None:  # fmt: skip
    """Fly row by row: states (n, 8), params (n, 18) in, ends (n, 13) and failed (n,) out; arrays only."""
    for i in range(states.shape[0]):
        for c in range(8):
            y[c] = states[i, c]
        failed[i] = fly_one(y, codes, params[i], table, tab, k, out, ends[i], tolerance)


@cache
def compiled() -> Any:
    """`fly_rows` as machine code, from the same source; built on first use and kept on disk beside it."""
    from numba import njit
    from numba.extending import register_jitable

    for function in (
        _indoor, _lyu, _grid, _old, drag_and_lift, slope, step, find, watch, resized, fly_one,
    ):  # fmt: skip
        register_jitable(function)
    try:
        return njit(cache=True, nogil=True, error_model="numpy")(fly_rows)
    except RuntimeError:  # no folder can be written: compiled anew in each process
        return njit(nogil=True, error_model="numpy")(fly_rows)
