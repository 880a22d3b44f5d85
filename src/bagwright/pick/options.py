"""What each club can do from each spot: its best swings and aims by a quick look over the whole hole."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from bagwright.strokes.hole import AIMS, BANDS, OVER, STEP, Solver
from bagwright.strokes.search import Search

Ints = NDArray[np.int64]
Singles = NDArray[np.float32]

SWINGS = 3
"""Swings (or pitches) of a club that are kept for a closer look."""
HALVINGS = 4
"""Times an aim's step of 8 degrees is halved."""
FAR = 1e9


@dataclass(frozen=True, slots=True)
class Looked:
    """Swings of every club from every spot, (n, clubs, SWINGS): shot (-1: none), aim, quick strokes."""

    shot: Ints
    aim: Singles
    strokes: Singles


def look(solver: Solver, s: Search, club_of: Ints, clubs: int) -> Looked:
    """Scan all directions with every club's shots from every spot; values must stand in the fields."""
    n = s.states.n
    shot = np.full((n, clubs, SWINGS), -1, np.int64)
    aim, strokes = np.zeros(shot.shape, np.float32), np.full(shot.shape, FAR, np.float32)
    masks = [solver.player.allowed & (club_of == club) for club in range(clubs)]
    low = 0.0
    for high in BANDS:
        ids = s.by_lie[(s.away[s.by_lie] >= low) & (s.away[s.by_lie] < high)]
        low = high
        if not len(ids):
            continue
        solver.pulse()
        mixed = solver.mixed(s, ids, short_too=True)
        for club, mask in enumerate(masks):
            if mask[np.unique(s.states.lie[ids])].any():
                _scan(solver, s, ids, mask, mixed)
                best = _refined(solver, s, ids)
                shot[ids, club], aim[ids, club] = s.shot[ids, :SWINGS], s.aim[ids, :SWINGS]
                strokes[ids, club] = best[ids]
    return Looked(shot, aim, strokes)


def _scan(solver: Solver, s: Search, ids: Ints, mask: NDArray[np.bool_], mixed: Any) -> None:
    t, p = s.states, solver.player
    s.shot[ids] = -1
    solver.kernel.scan(
        solver.fields, p.coarse, p.run, mixed, np.float32(1 / solver.pyramids.scale), ids, t.x, t.y, s.height,
        t.lie, s.bearing, s.away, p.reach, AIMS, mask, OVER, s.shot, s.aim,
    )  # fmt: skip
    s.shot[ids, SWINGS:] = -1


def _refined(solver: Solver, s: Search, ids: Ints) -> Singles:
    """Quick strokes (n, SWINGS) of the kept candidates, their aims refined."""
    asked = solver.questions(s, ids, SWINGS)
    found = np.full((s.states.n, SWINGS), FAR, np.float32)
    best = solver.kernel.refine(
        solver.fields,
        solver.player.quick,
        solver.player.run,
        asked.whole,
        asked.number,
        asked.sums,
        STEP,
        HALVINGS,
    )
    found[asked.who >> 3, asked.who & 7] = best
    solver.kernel.keep(asked.who, asked.number[3], s.aim)
    return found
