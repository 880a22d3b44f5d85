"""One flight with its exact derivatives: adaptive steps, apex and landing found to rounding.

Dormand & Prince 1980 (J. Comput. Appl. Math. 6:19), order 5 with the embedded order 4 as error estimate. The
error is judged on the flight, not on its derivatives, which then agree with the derivative of the computed
flight to the order of the tolerance. Runs on lists and on arrays (see `_inverse_slope`).
"""

from __future__ import annotations

import math

from bagwright.flight._inverse_slope import N_ALL, Constants, Floats, Law, Rows, begin, slope

CARRY, APEX, DESCENT, TIME, OFFLINE, CURVE, LANDING_SPEED, LN_LANDING_SPIN = range(8)
N_OUT = 8
"""Rows of the answer: metres, radians, seconds, m/s; each row is the value and its seven derivatives."""

MAX_STEPS = 4000


def combine1(y: Floats, h: float, k: Rows, n: int, a: tuple[float], out: Floats) -> None:
    """Write y + h a[0] k[0] into out, over the first n entries."""
    a0 = h * a[0]
    k0 = k[0]
    for i in range(n):
        out[i] = y[i] + a0 * k0[i]


def combine2(y: Floats, h: float, k: Rows, n: int, a: tuple[float, float], out: Floats) -> None:
    """Write y + h sum_i a[i] k[i] into out, over the first n entries; written out for speed."""
    a0, a1 = a
    k0, k1 = k[0], k[1]
    for i in range(n):
        out[i] = y[i] + h * (a0 * k0[i] + a1 * k1[i])


def combine3(y: Floats, h: float, k: Rows, n: int, a: tuple[float, float, float], out: Floats) -> None:
    """The same with three slopes."""
    a0, a1, a2 = a
    k0, k1, k2 = k[0], k[1], k[2]
    for i in range(n):
        out[i] = y[i] + h * (a0 * k0[i] + a1 * k1[i] + a2 * k2[i])


def combine4(y: Floats, h: float, k: Rows, n: int, a: tuple[float, float, float, float], out: Floats) -> None:
    """The same with four slopes."""
    a0, a1, a2, a3 = a
    k0, k1, k2, k3 = k[0], k[1], k[2], k[3]
    for i in range(n):
        out[i] = y[i] + h * (a0 * k0[i] + a1 * k1[i] + a2 * k2[i] + a3 * k3[i])


def combine5(
    y: Floats, h: float, k: Rows, n: int, a: tuple[float, float, float, float, float], out: Floats
) -> None:
    """The same with five slopes."""
    a0, a1, a2, a3, a4 = a
    k0, k1, k2, k3, k4 = k[0], k[1], k[2], k[3], k[4]
    for i in range(n):
        out[i] = y[i] + h * (a0 * k0[i] + a1 * k1[i] + a2 * k2[i] + a3 * k3[i] + a4 * k4[i])


def combine6(
    y: Floats, h: float, k: Rows, n: int, a: tuple[float, float, float, float, float, float], out: Floats
) -> None:
    """The same with six slopes."""
    a0, a1, a2, a3, a4, a5 = a
    k0, k1, k2, k3, k4, k5 = k[0], k[1], k[2], k[3], k[4], k[5]
    for i in range(n):
        out[i] = y[i] + h * (a0 * k0[i] + a1 * k1[i] + a2 * k2[i] + a3 * k3[i] + a4 * k4[i] + a5 * k5[i])


A2 = (1 / 5,)
A3 = (3 / 40, 9 / 40)
A4 = (44 / 45, -56 / 15, 32 / 9)
A5 = (19372 / 6561, -25360 / 2187, 64448 / 6561, -212 / 729)
A6 = (9017 / 3168, -355 / 33, 46732 / 5247, 49 / 176, -5103 / 18656)
B5 = (35 / 384, 0.0, 500 / 1113, 125 / 192, -2187 / 6784, 11 / 84)
E5 = (71 / 57600, 0.0, -71 / 16695, 71 / 1920, -17253 / 339200, 22 / 525, -1 / 40)


def step(y: Floats, h: float, k: Rows, tmp: Floats, out: Floats, c: Constants, law: Law, blocks: int) -> None:
    """One step of h seconds from y to out; k[0] must hold the slope at y, k[6] then holds it at out."""
    n = 7 * blocks
    combine1(y, h, k, n, A2, tmp)
    slope(tmp, k[1], c, law, blocks)
    combine2(y, h, k, n, A3, tmp)
    slope(tmp, k[2], c, law, blocks)
    combine3(y, h, k, n, A4, tmp)
    slope(tmp, k[3], c, law, blocks)
    combine4(y, h, k, n, A5, tmp)
    slope(tmp, k[4], c, law, blocks)
    combine5(y, h, k, n, A6, tmp)
    slope(tmp, k[5], c, law, blocks)
    combine6(y, h, k, n, B5, out)
    slope(out, k[6], c, law, blocks)


def error_of(h: float, k: Rows, tol: float) -> float:
    """Error of the step over what is allowed: tol (m) in position, tol per second in velocity."""
    worst = 0.0
    for i in range(6):
        e = 0.0
        for j in range(7):
            e += E5[j] * k[j][i]
        worst = max(worst, abs(e))
    return abs(h) * worst / tol


def meet(
    y: Floats, h: float, k: Rows, tmp: Floats, out: Floats, c: Constants, law: Law, blocks: int, what: int
) -> float:  # fmt: skip
    """Shorten the step h so that state `what` (2 height, 5 climb) is 0 at its end; return the time used.

    Newton on the length of the step; y and k[0] stay as they are.
    """
    length: float = h * y[what] / (y[what] - out[what])
    for _ in range(12):
        step(y, length, k, tmp, out, c, law, blocks)
        change = out[what] / k[6][what]
        if abs(change) < 1e-10:
            break
        length = min(max(length - change, 1e-6 * h), h)
    return length


def fly_tangent(
    theta: Floats, c: Constants, law: Law, blocks: int, tol: float, work: Rows, rows: Rows
) -> bool:  # fmt: skip
    """Fly one launch; fill rows[8][1 + 7] and return True when the ball landed.

    work: 11 buffers of N_ALL floats. False when the ball never leaves the ground or is still up after
    `MAX_STEPS` steps; the rows are then those of a ball that stays where it lies.
    """
    k = work[:7]
    y = work[7]
    new = work[8]
    tmp = work[9]
    apex = work[10]
    begin(theta, y)
    for i in range(N_ALL):
        apex[i] = 0.0
    slope(y, k[0], c, law, blocks)
    t = 0.0
    h = 0.02
    for _ in range(MAX_STEPS):
        step(y, h, k, tmp, new, c, law, blocks)
        error = error_of(h, k, tol)
        if error > 1.0:
            h *= max(0.2, 0.9 * error**-0.2)
            continue
        if y[5] > 0.0 and new[5] <= 0.0:
            meet(y, h, k, tmp, apex, c, law, blocks, 5)
            step(y, h, k, tmp, new, c, law, blocks)
        if new[2] < 0.0 and new[5] < 0.0:
            if y[2] <= 0.0:
                break
            t += meet(y, h, k, tmp, new, c, law, blocks, 2)
            land(theta, t, new, k[6], apex, blocks, rows)
            return True
        t += h
        for i in range(7 * blocks):
            y[i] = new[i]
            k[0][i] = k[6][i]
        h *= min(4.0, 0.9 * (error + 1e-12) ** -0.2)
    for a in range(N_OUT):
        for j in range(8):
            rows[a][j] = 0.0
    return False


def land(
    theta: Floats, t: float, y: Floats, dy: Floats, apex: Floats, blocks: int, rows: Rows
) -> None:  # fmt: skip
    """Fill the rows from the state y at landing, its slope dy and the state at the apex.

    The moment of landing moves with the launch: dt = -dz / vz, so every derivative carries y' dt.
    """
    x = y[0]
    side = y[1]
    carry = math.sqrt(x * x + side * side) + 1e-12
    flat = math.sqrt(y[3] * y[3] + y[4] * y[4]) + 1e-12
    speed = math.sqrt(flat * flat + y[5] * y[5])
    sd = math.sin(theta[3])
    cd = math.cos(theta[3])
    rows[CARRY][0] = carry
    rows[APEX][0] = apex[2]
    rows[DESCENT][0] = math.atan2(-y[5], flat)
    rows[TIME][0] = t
    rows[OFFLINE][0] = side
    rows[CURVE][0] = side * cd - x * sd
    rows[LANDING_SPEED][0] = speed
    rows[LN_LANDING_SPIN][0] = theta[2] + y[6]
    for j in range(1, blocks):
        o = 7 * j
        dt = -y[o + 2] / y[5]
        dx = y[o] + dy[0] * dt
        ds = y[o + 1] + dy[1] * dt
        dvx = y[o + 3] + dy[3] * dt
        dvy = y[o + 4] + dy[4] * dt
        dvz = y[o + 5] + dy[5] * dt
        dflat = (y[3] * dvx + y[4] * dvy) / flat
        rows[CARRY][j] = (x * dx + side * ds) / carry
        rows[APEX][j] = apex[o + 2]
        rows[DESCENT][j] = (y[5] * dflat - flat * dvz) / (speed * speed)
        rows[TIME][j] = dt
        rows[OFFLINE][j] = ds
        rows[CURVE][j] = ds * cd - dx * sd
        rows[LANDING_SPEED][j] = (flat * dflat + y[5] * dvz) / speed
        rows[LN_LANDING_SPIN][j] = y[o + 6] + dy[6] * dt
    if blocks == 8:
        rows[LN_LANDING_SPIN][3] += 1.0
        rows[CURVE][4] -= side * sd + x * cd
