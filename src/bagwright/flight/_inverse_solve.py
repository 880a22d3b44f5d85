"""The most probable launch given what was seen: Gauss-Newton with exact derivatives, damped when it must be.

One source for plain floats and for numba, like `_inverse_slope`. Unknowns are seven standardised numbers q
with theta = mean + root q (root lower triangular; a row of zeros holds a parameter fixed). Minimised is
|q|^2 + sum ((seen - flight(theta)) / sd)^2, the negative log posterior twice over.
"""

from __future__ import annotations

import math

from bagwright.flight import _inverse_flight as at
from bagwright.flight._inverse_flight import fly_tangent
from bagwright.flight._inverse_slope import (
    N_ALL,
    N_PAR,
    Five,
    Floats,
    Four,
    Law,
    Rows,
    Seven,
    Two,
    constants,
)  # fmt: skip

TOTAL = 8
BALL_SPEED, LAUNCH, SPIN, DIRECTION, AXIS = range(9, 14)
N_SEEN = 14
"""What can be seen: the eight rows of a flight, the total, the five launch values (speed and spin as ln)."""

LOW = (math.log(1.0), -0.2, math.log(2.0), -1.2, -1.4, -2.0, -2.0)
HIGH = (math.log(130.0), 1.5, math.log(2500.0), 1.2, 1.4, 2.0, 2.0)
"""Where launches end, far outside golf: the search stays inside."""


def place(mean: Floats, root: Rows, q: Floats, theta: Floats) -> None:
    """Write theta = mean + root q, held inside LOW..HIGH."""
    for i in range(N_PAR):
        t = mean[i]
        for j in range(i + 1):
            t += root[i][j] * q[j]
        theta[i] = min(max(t, LOW[i]), HIGH[i])


def look(
    theta: Floats, ball: Five, air: Two, wind: Four, law: Law, ground: Seven, blocks: int, tol: float,
    work: Rows, rows: Rows,
) -> bool:  # fmt: skip
    """Fill all N_SEEN rows (value and seven derivatives) for one launch; False when the ball did not fly.

    ground: (run m at the landing below, its slopes by landing speed, descent and ln spin, and the landing
    itself: speed, descent, ln spin) - the run of the ball, taken as linear around that landing.
    """
    c = constants(ball, air, wind, theta)
    flew = fly_tangent(theta, c, law, blocks, tol, work, rows)
    for j in range(blocks):
        t = rows[at.CARRY][j]
        t += ground[1] * rows[at.LANDING_SPEED][j] + ground[2] * rows[at.DESCENT][j]
        rows[TOTAL][j] = t + ground[3] * rows[at.LN_LANDING_SPIN][j]
    rows[TOTAL][0] += ground[0] - ground[1] * ground[4] - ground[2] * ground[5] - ground[3] * ground[6]
    for i in range(5):
        for j in range(8):
            rows[BALL_SPEED + i][j] = 0.0
        rows[BALL_SPEED + i][0] = theta[i]
        rows[BALL_SPEED + i][i + 1] = 1.0
    return flew


def cost(q: Floats, seen: Floats, weight: Floats, rows: Rows) -> float:
    """Twice the negative log posterior: |q|^2 + sum ((seen - rows) weight)^2; weight 0 is not seen."""
    total = 0.0
    for j in range(N_PAR):
        total += q[j] * q[j]
    for i in range(N_SEEN):
        if weight[i] > 0.0:
            r = (seen[i] - rows[i][0]) * weight[i]
            total += r * r
    return total


def gather(
    root: Rows, q: Floats, seen: Floats, weight: Floats, rows: Rows, normal: Rows, right: Floats
) -> None:  # fmt: skip
    """Normal equations of one Gauss-Newton step: (1 + A'A) d = A'r - q, A = weight J root."""
    for i in range(N_PAR):
        for j in range(N_PAR):
            normal[i][j] = 0.0
        normal[i][i] = 1.0
        right[i] = -q[i]
    for m in range(N_SEEN):
        w = weight[m]
        if w > 0.0:
            r = (seen[m] - rows[m][0]) * w
            for i in range(N_PAR):
                a = slope_by(rows[m], root, i) * w
                right[i] += a * r
                for j in range(i + 1):
                    normal[i][j] += a * slope_by(rows[m], root, j) * w


def slope_by(row: Floats, root: Rows, i: int) -> float:
    """Derivative of one row by q[i]."""
    t = 0.0
    for k in range(i, N_PAR):
        t += row[k + 1] * root[k][i]
    return t


def factor(normal: Rows, damping: float, low: Rows) -> None:
    """Lower Cholesky factor of normal + damping (on the diagonal)."""
    for i in range(N_PAR):
        for j in range(i + 1):
            s = normal[i][j]
            if i == j:
                s += damping
            for k in range(j):
                s -= low[i][k] * low[j][k]
            if i == j:
                low[i][i] = math.sqrt(max(s, 1e-300))
            else:
                low[i][j] = s / low[j][j]


def solve(low: Rows, right: Floats, x: Floats) -> None:
    """Solve low low' x = right."""
    for i in range(N_PAR):
        s = right[i]
        for k in range(i):
            s -= low[i][k] * x[k]
        x[i] = s / low[i][i]
    for m in range(N_PAR):
        i = N_PAR - 1 - m
        s = x[i]
        for k in range(i + 1, N_PAR):
            s -= low[k][i] * x[k]
        x[i] = s / low[i][i]


def search(
    mean: Floats, root: Rows, seen: Floats, weight: Floats, ball: Five, air: Two, wind: Four, law: Law,
    ground: Seven, tol: float, limit: int, q: Floats, theta: Floats, work: Rows, small: Rows, rows: Rows,
    spare: Rows,
) -> tuple[int, float]:  # fmt: skip
    """Find the most probable launch from q; returns (steps used or -steps when it did not settle, cost).

    q and theta hold the answer, rows the flight with its derivatives, small[0:7] the normal matrix and
    small[7:14] its undamped Cholesky factor there.
    """
    normal = small[:7]
    low = small[7:14]
    right = small[14]
    d = small[15]
    trial = small[16]
    place(mean, root, q, theta)
    look(theta, ball, air, wind, law, ground, 8, tol, work, rows)
    best = cost(q, seen, weight, rows)
    damping = 0.0
    settled = False
    used = 0
    while used < limit and not settled:
        used += 1
        gather(root, q, seen, weight, rows, normal, right)
        better = False
        for _ in range(12):
            factor(normal, damping, low)
            solve(low, right, d)
            size = 0.0
            for j in range(N_PAR):
                trial[j] = q[j] + d[j]
                size = max(size, abs(d[j]))
            if size < 1e-9:
                settled = True
                break
            place(mean, root, trial, theta)
            look(theta, ball, air, wind, law, ground, 8, tol, work, spare)
            now = cost(trial, seen, weight, spare)
            if now <= best + 1e-9 * (1.0 + best):
                better = True
                break
            damping = max(4.0 * damping, 1e-2 * trace(normal) / N_PAR)
        if not better:
            break
        settled = size < 1e-6 or (damping == 0.0 and best - now < 1e-10 * (1.0 + best))
        best = now
        damping = 0.0 if damping < 1.0 else 0.1 * damping
        for j in range(N_PAR):
            q[j] = trial[j]
        for i in range(N_SEEN):
            for j in range(8):
                rows[i][j] = spare[i][j]
    place(mean, root, q, theta)
    gather(root, q, seen, weight, rows, normal, right)
    factor(normal, 0.0, low)
    if not settled:
        solve(low, right, d)
        size = 0.0
        for j in range(N_PAR):
            size = max(size, abs(d[j]))
        settled = size < 1e-3
    return (used if settled else -used), best


def trace(normal: Rows) -> float:
    """Sum of the diagonal."""
    t = 0.0
    for i in range(N_PAR):
        t += normal[i][i]
    return t


def spread_of(row: Floats, root: Rows, low: Rows, x: Floats) -> float:
    """Variance of a row under the normal posterior: |low^-1 (row root)'|^2."""
    total = 0.0
    for i in range(N_PAR):
        s = slope_by(row, root, i)
        for k in range(i):
            s -= low[i][k] * x[k]
        x[i] = s / low[i][i]
        total += x[i] * x[i]
    return total


def buffers(n_rows: int = N_SEEN) -> tuple[list[float], list[float], Rows, Rows, Rows, Rows]:
    """Work space for one search on plain lists: (q, theta, work, small, rows, spare)."""
    return (
        [0.0] * N_PAR,
        [0.0] * N_PAR,
        [[0.0] * N_ALL for _ in range(11)],
        [[0.0] * N_PAR for _ in range(17)],
        [[0.0] * (1 + N_PAR) for _ in range(n_rows)],
        [[0.0] * (1 + N_PAR) for _ in range(n_rows)],
    )
