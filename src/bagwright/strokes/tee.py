"""The decision at the tee, from where every round begins: every shot compared by single balls."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from bagwright.strokes.balls import Balls, balls_of
from bagwright.strokes.hole import MANY, SHORT, SHORT_NEAR, STEP, TEE, Solver, strokes_of
from bagwright.strokes.search import Search

Ints = NDArray[np.int64]
Singles = NDArray[np.float32]

SIDES = np.deg2rad(np.arange(-40, 41, 5)).astype(np.float32)
"""Directions beside the pin's in which every shot is tried."""
FIRST = (128,) * 4
"""Balls of each part to find the first few shots; MANY aim them, TEE choose among them."""
HALVINGS = 5
"""Times an aim's step is halved, to a quarter of a degree."""


def at_tee(solver: Solver, s: Search) -> None:
    """Find, aim and choose the tee's shot by balls; the other values must stand in the fields.

    The looks that every spot gets can miss a shot by a hundredth of a stroke: what is left out there costs
    little, but every round begins here.
    """
    tee = np.array([s.states.tee])
    _found(solver, s)
    asked = solver.questions(s, tee, s.shot.shape[1])
    spot, many = asked.who >> 3, balls_of(solver.player, MANY)
    number = halved(solver, asked.whole, asked.number, spot, STEP, HALVINGS, many)
    strokes = strokes_of(*solver.means(asked.whole, number, balls_of(solver.player, TEE), spot))
    solver.kernel.keep(asked.who, number[3], s.aim)
    first = int(strokes.argmin())
    s.value[tee], s.choice[tee] = strokes[first], asked.who[first] & 7


def _found(solver: Solver, s: Search) -> None:
    """Take the first few shots of all as candidates, each in its first direction."""
    tee, kept = s.states.tee, s.shot.shape[1]
    shot, aim = _tried(solver, s)
    number = np.zeros((8, len(shot)), np.float32)
    number[:3] = np.array([[s.states.x[tee]], [s.states.y[tee]], [s.height[tee]]])
    number[3], number[4], number[5] = aim, np.cos(aim), np.sin(aim)
    whole = np.stack([np.full(len(shot), s.states.lie[tee]), shot])
    spot = np.full(len(shot), tee)
    strokes = strokes_of(*solver.means(whole, number, balls_of(solver.player, FIRST), spot))
    order = np.argsort(strokes, kind="stable")
    _, once = np.unique(shot[order], return_index=True)
    first = order[np.sort(once)][:kept]
    s.shot[tee], s.aim[tee] = -1, 0
    s.shot[tee, : len(first)], s.aim[tee, : len(first)] = shot[first], aim[first]


def _tried(solver: Solver, s: Search) -> tuple[Ints, Singles]:
    """Shots and aims to compare: those known, and every shot that is no short one far from the pin."""
    tee, p = s.states.tee, solver.player
    allowed = p.allowed[s.states.lie[tee]]
    reach = p.reach[s.states.lie[tee]]
    if s.away[tee] > SHORT_NEAR:
        allowed = allowed & (reach >= min(SHORT, float(reach[allowed].max())))
    shots = np.flatnonzero(allowed)
    known = s.shot[tee] >= 0
    shot = np.concatenate([s.shot[tee][known], np.repeat(shots, len(SIDES))])
    aim = np.concatenate([s.aim[tee][known], np.tile(s.bearing[tee] + SIDES, len(shots))])
    return shot.astype(np.int64), aim.astype(np.float32)


def halved(
    solver: Solver, whole: Ints, number: Singles, spot: Ints, step: np.float32, halvings: int, balls: Balls
) -> Singles:
    """Questions (8, m) with the best aims by single balls that halving the `step` (radians) finds.

    `whole` (2, m), `number` (8, m) and `spot` (m,) as `Solver.means` takes them. An aim is moved only where
    its own balls are better off.
    """

    def strokes(aim: Singles) -> Singles:
        found: Singles = strokes_of(*solver.means(whole, turned(number, aim), balls, spot))
        return found

    middle = number[3].copy()
    best = strokes(middle)
    for _ in range(halvings):
        step = np.float32(step / 2)
        for aim in (middle - step, middle + step):
            found = strokes(aim)
            middle, best = np.where(found < best, aim, middle), np.minimum(found, best)
    return turned(number, middle)


def turned(number: Singles, aim: Singles) -> Singles:
    """Questions (8, m) with other aims (m,), radians."""
    out = number.copy()
    out[3], out[4], out[5] = aim, np.cos(aim), np.sin(aim)
    return out
