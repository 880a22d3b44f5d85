"""Ranges where one figure of the flight leaves a curved ridge of launches that all explain it.

The normal approximation is too narrow there (a carry says nothing of whether the ball flew high or low). All
figures but the curved one are taken as linear at the most probable launch, which leaves a normal belief over
seven standardised numbers. Along the one direction in which the curved figure pulls, the posterior is found
for every draw of the six others by a one-dimensional Gauss-Newton search; its height and width there are the
draw's weight (Laplace in one dimension, the rest is a plain average: Rao-Blackwellised importance sampling,
Robert & Casella 2004, section 4.2). Draws are fixed quasi-random points, so the answer never changes.

One source for plain floats and for numba.
"""

from __future__ import annotations

import math

from bagwright.flight import _inverse_flight as at
from bagwright.flight._inverse_slope import N_PAR, Five, Floats, Four, Law, Rows, Seven, Two
from bagwright.flight._inverse_solve import (
    N_SEEN,
    TOTAL,
    factor,
    look,
    place,
    slope_by,
    solve,
)


def curved_row(weight: Floats) -> int:
    """The one curved figure among those seen, -1 for none, -2 for several (the normal range then holds)."""
    found = -1
    count = 0
    for row in (at.CARRY, at.APEX, at.TIME, at.DESCENT):
        if weight[row] > 0.0:
            count += 1
            if found < 0:
                found = row
    if weight[TOTAL] > 0.0 and weight[at.CARRY] <= 0.0:
        count += 1
        if found < 0:
            found = TOTAL
    return -2 if count > 1 else found


def condition(
    curved: int, root: Rows, q: Floats, seen: Floats, weight: Floats, rows: Rows, small: Rows, basis: Rows
) -> None:
    """Belief from everything but the curved figure, linear at q: small[15] its mean, basis its square root.

    small[0:7] the precision, small[7:14] its Cholesky factor, small[14] work. basis (7, 7) = factor^-T.
    """
    for i in range(N_PAR):
        for j in range(N_PAR):
            small[i][j] = 0.0
        small[i][i] = 1.0
        small[14][i] = 0.0
    for m in range(N_SEEN):
        w = weight[m]
        if w > 0.0 and m != curved:
            r = seen[m] - rows[m][0]
            for i in range(N_PAR):
                r += slope_by(rows[m], root, i) * q[i]
            for i in range(N_PAR):
                a = slope_by(rows[m], root, i) * w * w
                small[14][i] += a * r
                for j in range(i + 1):
                    small[i][j] += a * slope_by(rows[m], root, j)
    low = small[7:14]
    factor(small[:7], 0.0, low)
    solve(low, small[14], small[15])
    for j in range(N_PAR):
        for m in range(N_PAR):
            i = N_PAR - 1 - m
            s = 1.0 if i == j else 0.0
            for k in range(i + 1, N_PAR):
                s -= low[k][i] * basis[k][j]
            basis[i][j] = s / low[i][i]


def pull(curved: int, root: Rows, rows: Rows, basis: Rows, b: Floats) -> float:
    """Unit direction b in which the curved figure pulls, in the belief's coordinates; returns its slope."""
    total = 0.0
    for j in range(N_PAR):
        b[j] = 0.0
        for i in range(N_PAR):
            b[j] += slope_by(rows[curved], root, i) * basis[i][j]
        total += b[j] * b[j]
    size = math.sqrt(total) + 1e-300
    for j in range(N_PAR):
        b[j] /= size
    return size


def ridge(
    curved: int, mean: Floats, root: Rows, seen: Floats, weight: Floats, ball: Five, air: Two, wind: Four,
    law: Law, ground: Seven, tol: float, normals: Rows, q: Floats, theta: Floats, work: Rows, small: Rows,
    rows: Rows, spare: Rows, basis: Rows, drawn: Rows, log_weight: Floats,
) -> None:  # fmt: skip
    """Fill drawn (n, N_SEEN) with figures of n possible shots and log_weight (n) with their weights.

    q, rows as `search` left them. `normals` (n, 7) are the fixed standard normal points.
    """
    condition(curved, root, q, seen, weight, rows, small, basis)
    b = small[0]
    z = small[1]
    trial = small[2]
    centre = small[15]
    w, slope0, t0 = 0.0, 0.0, 0.0
    for j in range(N_PAR):
        b[j] = 0.0
    if curved >= 0:
        slope0 = pull(curved, root, rows, basis, b)
        w = weight[curved]
        for j in range(N_PAR):
            small[14][j] = q[j] - centre[j]
        t0 = along(small[7:14], small[14], b)
    for n in range(len(log_weight)):
        across = 0.0
        for j in range(N_PAR):
            across += normals[n][j] * b[j]
        for j in range(N_PAR):
            z[j] = normals[n][j] - across * b[j]
        t = t0
        slope = slope0
        log_weight[n] = 0.0
        if curved >= 0:
            before_t = 0.0
            before_h = 0.0
            for turn in range(5):
                launch_at(t, mean, root, centre, basis, z, b, trial, theta)
                look(theta, ball, air, wind, law, ground, 1, tol, work, spare)
                h = spare[curved][0]
                if turn > 0 and abs(t - before_t) > 1e-4:
                    secant = (h - before_h) / (t - before_t)
                    slope = min(max(secant, 0.2 * slope0), 5.0 * slope0)
                before_t = t
                before_h = h
                off = seen[curved] - h + slope * t
                aim = slope * w * w * off / (1.0 + slope * slope * w * w)
                change = min(max(aim - t, -3.0), 3.0)
                t += change
                if abs(change) * slope * w < 0.05:
                    break
            r = (seen[curved] - before_h - slope * (t - before_t)) * w
            width = 1.0 / math.sqrt(1.0 + slope * slope * w * w)
            log_weight[n] = -0.5 * (t * t + r * r) + math.log(width)
            t += width * across
        launch_at(t, mean, root, centre, basis, z, b, trial, theta)
        look(theta, ball, air, wind, law, ground, 1, tol, work, spare)
        for m in range(N_SEEN):
            drawn[n][m] = spare[m][0]


def along(low: Rows, d: Floats, b: Floats) -> float:
    """Coordinate along b of a step d: b . (factor^T d)."""
    t = 0.0
    for j in range(N_PAR):
        s = 0.0
        for i in range(j, N_PAR):
            s += low[i][j] * d[i]
        t += b[j] * s
    return t


def launch_at(
    t: float, mean: Floats, root: Rows, centre: Floats, basis: Rows, z: Floats, b: Floats, trial: Floats,
    theta: Floats,
) -> None:  # fmt: skip
    """Write into theta the launch at coordinates z + t b of the belief."""
    for i in range(N_PAR):
        s = centre[i]
        for j in range(N_PAR):
            s += basis[i][j] * (z[j] + t * b[j])
        trial[i] = s
    place(mean, root, trial, theta)
