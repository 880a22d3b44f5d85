# mypy: ignore-errors
"""A hole played many times by a policy: scores, and where shots were played from."""

from __future__ import annotations

import math

import numpy as np
from numba import njit

from bagwright.strokes._kernel_balls import blown, land, room_for

FAST = {"nogil": True, "error_model": "numpy", "boundscheck": False, "cache": True}
F = np.float32
CONSTANT, RELIEF, FLAG = 1, 2, 3
"""Kinds of cells, as in `_kernel_blur`."""
MOST = 60
"""Shots after which a round is given up (and counted)."""


@njit(**FAST)
def draw(parts):
    """The part of a pattern that the next ball comes from."""
    u = np.random.random()
    for m in range(3):
        u -= parts[m, 0]
        if u < 0:
            return m
    return 3


@njit(**FAST)
def play(g, extra, run, parts, start, shot, aim, lie, height, kind, relief, penalty, putts, rounds, seed,
         score, came, round_of, swings, putted):  # fmt: skip
    """Play a hole from the tee. Flat arrays over cells and last the tee: shot, aim, lie, height.

    `start` (2,) is the tee, cells. Writes strokes (putts as their mean) into `score` (rounds,), the spots
    that balls came to rest on and were played from into `came` with their round in `round_of`, and how often
    each spot was played from (stroke and distance again) into `swings`, and putted from into `putted`. Gives
    the number of spots written and how many rounds were given up.
    """
    np.random.seed(seed)
    room, ends = room_for(1), np.empty(1, np.int32)
    z, side = np.empty((4, 1), F), (F(1), F(1), F(1))
    tee, count, lost = len(kind), 0, 0
    first, one = np.int64(0), np.int64(1)
    for r in range(rounds):
        spot, strokes = tee, 0.0
        fresh = True
        for k in range(MOST + 1):
            if k == MOST:
                lost += 1
                break
            if fresh and count < len(came):
                came[count], round_of[count] = spot, r
                count += 1
            swings[spot] += 1
            x = start[0] if spot == tee else F(spot // g.columns) + F(0.5)
            y = start[1] if spot == tee else F(spot % g.columns) + F(0.5)
            c, s = F(math.cos(aim[spot])), F(math.sin(aim[spot]))
            own, e = parts[lie[spot], shot[spot]], extra[lie[spot], shot[spot]]
            wx, wy = blown(g.wind, e, c, s)
            a = own[draw(own)]
            z[0, 0], z[1, 0], z[2, 0] = np.random.normal(), np.random.normal(), np.random.normal()
            at, shape = (x, y, height[spot], c, s), (a[1] + wx, a[2] + wy, a[3], a[4], a[5])
            land(g, e[0], run[lie[spot], shot[spot]], at, shape, side, z, first, one, room, ends)
            end = ends[0]
            strokes += 1.0
            fresh = kind[end] != FLAG
            if not fresh:
                strokes += 1.0
                continue
            if kind[end] == RELIEF:
                strokes += penalty[end]
                end = relief[end]
            if kind[end] == CONSTANT:
                strokes += putts[end]
                putted[end] += 1
                break
            spot = end
        score[r] = strokes
    return count, lost
