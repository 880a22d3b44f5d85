"""A small problem of the kind that holes give, with random numbers, for the evaluator itself."""

from __future__ import annotations

import numpy as np

from bagwright.pick.problem import FALLBACK, Problem, Round
from bagwright.strokes.patterns import Shot


def random_problem(names: tuple[str, ...], seed: int, rounds: int = 1, holes: int = 3) -> Problem:
    """Holes of ten spots, near to far; each spot has five clubs at random and a dear fallback."""
    rng = np.random.default_rng(seed)
    n, spots, options, h = len(names), 10, 6, rounds * holes
    club, cost, rows = [], [], []
    for _ in range(h):
        for spot in range(spots):
            mine = rng.choice(n, options - 1, replace=False)
            each = np.sort(rng.gamma(1.0, 0.12, options - 1))
            each -= each[0]
            club += [*mine.tolist(), FALLBACK]
            cost += [*each.tolist(), float(each[-1]) + 0.4]
            for _ in range(options):
                rows.append(rng.dirichlet(np.ones(spot + 1))[:spot] * 0.9)
    start = np.repeat(np.arange(h) * spots, spots * options)
    ends = np.cumsum([0, *(len(row) for row in rows)])
    to = np.concatenate([at + np.arange(len(row)) for at, row in zip(start, rows, strict=True)])
    weights = rng.dirichlet(np.full(rounds, 4.0))
    return Problem(
        clubs=names, shots=tuple(Shot(name, "stock") for name in names),
        rounds=tuple(Round(f"round {k + 1}", float(w)) for k, w in enumerate(weights)),
        hole_round=np.repeat(np.arange(rounds), holes), hole_number=np.tile(np.arange(1, holes + 1), rounds),
        hole_weight=np.repeat(weights, holes), first_spot=np.arange(h + 1) * spots,
        tee=np.arange(h) * spots + spots - 1, tee_strokes=np.full(h, 4.2),
        spot_x_m=np.zeros(h * spots, np.float32), spot_y_m=np.zeros(h * spots, np.float32),
        spot_lie=np.zeros(h * spots, np.int32), spot_strokes=np.ones(h * spots, np.float32),
        first_option=np.arange(h * spots + 1) * options, club=np.array(club, np.int32),
        shot=np.array(club, np.int32), aim_rad=np.zeros(len(club), np.float32),
        cost=np.array(cost, np.float32), first_entry=ends, next=to.astype(np.int32),
        chance=np.concatenate(rows).astype(np.float32),
    )  # fmt: skip
