# mypy: ignore-errors
"""The plain definition of one shot on a raster, ball by ball, and means over many balls.

Cells of the raster as units. A ball comes down where its pattern says, moved by the wind and up or down by
the ground's height (that of the cell; a fixed point, three steps). In a penalty area or out of bounds it
stays where it came down. Else it runs along its direction by a normal run of the landing's class, and ends in
the first penalty area on the way or where the run ends. The outermost cells are out of bounds, and so is all
beyond them.

Questions are as in `_kernel_search`: `whole` (2, m) lie and shot, `number` (8, m) x, y, height, aim, its
cosine and sine. Balls are points of three independent normals and their weights: `z` (4, points), of which
the part of a pattern takes `plan[lie, shot, part]` = (first, count).
"""

from __future__ import annotations

from typing import Any, NamedTuple

import numpy as np
from numba import njit

from bagwright.strokes._kernel_blur import FREE
from bagwright.strokes._lanes import peek, peek_last, peek_next, poke, poke_last, poke_next

FAST = {"nogil": True, "fastmath": FREE, "error_model": "numpy", "boundscheck": False, "cache": True}
F, I4 = np.float32, np.int32
BEYOND = F(2e-3)
"""How far into the next cell a ball steps, cells: more than rounding."""
BLOCK = 512
"""Most balls that are moved side by side."""


class Turf(NamedTuple):
    """The ground of one hole; flat arrays over its cells."""

    rows: Any
    columns: Any
    ground: Any
    """int32: height in steps of `rise` (the upper 16 bits), distance to the nearest cell of a penalty area in
    cells (rounded down, 255 far away) times 8, and 1 + the class of the run by the cell's lie, 0 where
    nothing runs."""
    rise: Any
    """float32: a step of height, cells."""
    hilly: Any
    wet: Any
    """Whether there is any penalty area."""
    wind: Any
    """(2,) cosine and sine of where the wind comes from."""


@njit(**FAST)
def blown(wind, e, c, s):
    """Shift along the aim and to the right by the wind."""
    head, side = wind[0] * c + wind[1] * s, wind[1] * c - wind[0] * s
    along = e[1] + e[2] * head + e[3] * (F(2) * head * head - F(1))
    return along, e[4] * side + e[5] * F(2) * side * head


@njit(**FAST)
def cell(g, x, y):
    """The cell of a point; what lies beyond the raster counts as its edge, which is out of bounds."""
    i = I4(min(max(x, F(0)), F(g.rows) - F(0.5)))
    j = I4(min(max(y, F(0)), F(g.columns) - F(0.5)))
    # In floating point: exact below 2^24 cells, and it stays in lanes.
    return I4(F(i) * F(g.columns) + F(j))


@njit(**FAST)
def below(g, x, y, h, cot):
    """How much shorter a ball that comes down here falls: by the height of the cell over that of the spot."""
    return (F(peek(g.ground, cell(g, x, y)) >> I4(16)) * g.rise - h) * cot


@njit(**FAST)
def under(g, x, y):
    """The ground under a point."""
    return peek_next(g.ground, cell(g, x, y))


@njit(**FAST)
def dry(ground):
    """How far it is to the nearest cell of a penalty area, cells."""
    return F((ground >> I4(3)) & I4(255))


@njit(**FAST)
def distance_to_water(g, x, y):
    """How far it is from a point's cell to the nearest cell of a penalty area."""
    return dry(peek_last(g.ground, cell(g, x, y)))


@njit(**FAST)
def leaves(at, along):
    """How far a ball goes along one axis until it leaves its cell; `along` is the axis' share of its way."""
    within = at - F(I4(at))
    return (F(1) - within) / along if along > F(1e-6) else within / max(-along, F(1e-9))


@njit(**FAST)
def step_on(g, m, c, s, way, to):
    """Move m balls on: as far as no penalty area can lie, at least to the next cell, at most to their end.

    `way` (x, y, what is left of the run) is read; `to` (x, y, left, cell, done) written: `done` where the run
    is over or water is reached, and `cell` is where the ball stood before.
    """
    x0, y0, left0 = way[0], way[1], way[2]
    x1, y1, left1, done = to[0], to[1], to[2], to[3]
    for k in range(m):
        x, y, left = peek_last(x0, k), peek_last(y0, k), peek_last(left0, k)
        free = distance_to_water(g, x, y)
        step = min(max(free - F(1.5), min(leaves(x, c), leaves(y, s)) + BEYOND), left)
        poke_last(x1, k, x + step * c)
        poke_last(y1, k, y + step * s)
        poke_last(left1, k, left - step)
        poke_last(done, k, F(1) if (free == F(0)) | (left <= F(0)) else F(0))


@njit(**FAST)
def run_on(g, m, c, s, which, way, to, end):
    """Move m balls until each stands in the first penalty area on its way or where its run ends.

    `way` (3, m) x, y, run; the cells come into `end[which]`.
    """
    while m > 0:
        step_on(g, m, c, s, way, to)
        kept = 0
        for k in range(m):
            if to[3, k] > 0:
                end[which[k]] = cell(g, way[0, k], way[1, k])
            else:
                which[kept] = which[k]
                way[0, kept], way[1, kept], way[2, kept] = to[0, k], to[1, k], to[2, k]
                kept += 1
        m = kept


@njit(**FAST)
def land(g, cot, run, at, shape, side, z, first, n, room, end):
    """The cells in which n balls of one part end, into `end`; `room` as `room_for` gives it.

    `at` (x, y, height, cosine, sine), `shape` (d, q, and the root of the covariance 11, 21, 22; wind in it),
    `side` by what each normal is multiplied: 1 or -1. run (4, 2): mean and sd by class.
    """
    px, py, way, look, which, walk, to = room
    x, y, h, c, s = at
    d0, q0, d1, q1, q2 = shape
    z1, z2, z3 = z[0], z[1], z[2]
    d1, q1, q2 = d1 * side[0], q1 * side[0], q2 * side[1]
    for k in range(n):
        a, b = peek(z1, first + k), peek(z2, first + k)
        d, q = d0 + d1 * a, q0 + q1 * a + q2 * b
        bx, by = x - q * s, y + q * c
        if g.hilly:
            f = d - below(g, bx + d * c, by + d * s, h, cot)
            f = d - below(g, bx + f * c, by + f * s, h, cot)
            d = d - below(g, bx + f * c, by + f * s, h, cot)
        poke(px, k, bx + d * c)
        poke(py, k, by + d * s)
    m0, m1, m2, m3 = run[0, 0], run[1, 0], run[2, 0], run[3, 0]
    s0, s1, s2, s3 = run[0, 1] * side[2], run[1, 1] * side[2], run[2, 1] * side[2], run[3, 1] * side[2]
    seen = I4(0)
    for k in range(n):
        x, y = peek_next(px, k), peek_next(py, k)
        t = under(g, x, y)
        i = t & I4(7)
        # Sums, not choices: those become a switch, which does not stay in lanes.
        i1, i2, i3, i4 = F(i == I4(1)), F(i == I4(2)), F(i == I4(3)), F(i == I4(4))
        mean, sd = i1 * m0 + i2 * m1 + i3 * m2 + i4 * m3, i1 * s0 + i2 * s1 + i3 * s2 + i4 * s3
        r = mean + sd * peek_next(z3, first + k)
        poke_next(end, k, cell(g, x + r * c, y + r * s))
        # Water can lie on the way only where it is nearer than the way is long.
        near = dry(t) < abs(r) + F(2)
        poke_next(way, k, r if near else F(0))
        seen += I4(near)
    if g.wet and seen > 0:
        seen = I4(0)
        for k in range(n):
            x, y, r = peek_last(px, k), peek_last(py, k), peek_last(way, k)
            # Two discs about the quarters of the way cover it.
            within, u, v = F(0.25) * abs(r) + F(1.5), F(0.25) * r, F(0.75) * r
            first_free = distance_to_water(g, x + u * c, y + u * s)
            near = (first_free < within) | (distance_to_water(g, x + v * c, y + v * s) < within)
            near &= r != F(0)
            poke_last(look, k, r if near else F(0))
            seen += I4(near)
        # Balls that run on first, then those that run back.
        for sign in range(2 if seen > 0 else 0):
            m = 0
            for k in range(n):
                r = look[k] if sign == 0 else -look[k]
                if r > 0:
                    which[m] = k
                    walk[0, m], walk[1, m], walk[2, m] = px[k], py[k], r
                    m += 1
            turned = F(1) if sign == 0 else F(-1)
            run_on(g, m, c * turned, s * turned, which, walk, to, end)


@njit(**FAST)
def room_for(n):
    """Room for n balls to work in."""
    return (
        np.empty(n, F), np.empty(n, F), np.empty(n, F), np.empty(n, F), np.empty(n, I4), np.empty((3, n), F),
        np.empty((4, n), F),
    )  # fmt: skip


@njit(**FAST)
def sides(variant):
    """By what the three normals of a mirrored set are multiplied."""
    return (
        F(1 - 2 * (variant & 1)), F(1 - 2 * ((variant >> 1) & 1)), F(1 - 2 * ((variant >> 2) & 1))
    )  # fmt: skip


@njit(**FAST)
def start(g, extra, number, whole, m):
    """Where the m-th question stands, and by how much the wind moves its balls along and to the right."""
    e, c, s = extra[whole[0, m], whole[1, m]], number[4, m], number[5, m]
    wx, wy = blown(g.wind, e, c, s)
    return (number[0, m], number[1, m], number[2, m], c, s), wx, wy


@njit(**FAST)
def ends(g, extra, run, parts, plan, z, whole, number, variant, cells, weight):
    """The cells (m, balls) in which the balls of questions end, and the weight of each ball.

    Balls that a question does not have are given its first cell and no weight.
    """
    room, end = room_for(BLOCK), np.empty(BLOCK, I4)
    for m in range(whole.shape[1]):
        lie, shot = whole[0, m], whole[1, m]
        at, wx, wy = start(g, extra, number, whole, m)
        side, filled = sides(variant[m]), 0
        for part in range(4):
            a, first, count = parts[lie, shot, part], plan[lie, shot, part, 0], plan[lie, shot, part, 1]
            shape = (a[1] + wx, a[2] + wy, a[3], a[4], a[5])
            for b in range(first, first + count, BLOCK):
                n = min(first + count - b, BLOCK)
                land(g, extra[lie, shot, 0], run[lie, shot], at, shape, side, z, b, n, room, end)
                for k in range(n):
                    cells[m, filled + k], weight[m, filled + k] = end[k], a[0] * z[3, b + k]
                filled += n
        for k in range(filled, cells.shape[1]):
            cells[m, k], weight[m, k] = cells[m, 0], F(0)


@njit(**FAST)
def worth(rest, w, first, n, end):
    """Sums over n balls of U - 1 and of the flag at the cells where they end."""
    u, o = F(0), F(0)
    for k in range(n):
        v, p = peek(rest, peek(end, k)), peek(w, first + k)
        u += p * (abs(v) - F(1))
        o += p if v < F(0) else F(0)
    return u, o


@njit(**FAST)
def means(g, extra, run, parts, plan, z, rest, whole, number, variant, eu, eo):
    """Means of U - 1 and of the flag over the balls of questions.

    `rest` is what a ball at rest in each cell is worth: U, or -1 where it is out of bounds (U is 1 there).
    """
    room, end = room_for(BLOCK), np.empty(BLOCK, I4)
    w = z[3]
    for m in range(whole.shape[1]):
        lie, shot = whole[0, m], whole[1, m]
        at, wx, wy = start(g, extra, number, whole, m)
        side, total_u, total_o = sides(variant[m]), 0.0, 0.0
        for part in range(4):
            a, first, count = parts[lie, shot, part], plan[lie, shot, part, 0], plan[lie, shot, part, 1]
            shape = (a[1] + wx, a[2] + wy, a[3], a[4], a[5])
            for b in range(first, first + count, BLOCK):
                n = min(first + count - b, BLOCK)
                land(g, extra[lie, shot, 0], run[lie, shot], at, shape, side, z, b, n, room, end)
                u, o = worth(rest, w, b, n, end)
                total_u += a[0] * u
                total_o += a[0] * o
        eu[m], eo[m] = total_u, total_o
