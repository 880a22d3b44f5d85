"""A problem that nobody worked out: two holes of thirty spots, for tests of what stands above the search."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from bagwright.pick.problem import Problem, Round
from bagwright.strokes.patterns import Shot

SPOTS = 30
HOLES = 2


def invented(clubs: Sequence[str], name: str = "Short course, white, calm", seed: int = 1) -> Problem:
    """Two holes of thirty spots: each has options of some clubs, and leads to nearer spots."""
    rng = np.random.default_rng(seed)
    n = len(clubs)
    club: list[int] = []
    cost: list[float] = []
    rows: list[tuple[list[int], list[float]]] = []
    first_option = [0]
    for hole in range(HOLES):
        for spot in range(SPOTS):
            has = rng.choice(n, min(n, 4), replace=False)
            prices = np.sort(np.append(0.0, rng.gamma(1.0, 0.05, len(has) - 1)))
            for k, price in [*zip(has, prices, strict=True), (-1, 0.6)]:
                club.append(int(k))
                cost.append(float(price))
                near = rng.choice(spot + 1, min(spot + 1, 5), replace=False)
                share = rng.dirichlet(np.ones(len(near))) * rng.uniform(0.3, 0.7)
                rows.append(([hole * SPOTS + int(f) for f in near], [float(w) for w in share]))
            first_option.append(len(club))
    spots = HOLES * SPOTS
    return Problem(
        clubs=tuple(clubs), shots=tuple(Shot(one, "stock") for one in clubs), rounds=(Round(name, 1.0),),
        hole_round=np.zeros(HOLES, np.int64), hole_number=np.arange(1, HOLES + 1, dtype=np.int64),
        hole_weight=np.ones(HOLES), first_spot=np.arange(0, spots + 1, SPOTS, dtype=np.int64),
        tee=np.arange(1, HOLES + 1, dtype=np.int64) * SPOTS - 1, tee_strokes=np.array([4.5, 3.9]),
        spot_x_m=np.zeros(spots, np.float32), spot_y_m=np.zeros(spots, np.float32),
        spot_lie=np.zeros(spots, np.int32), spot_strokes=np.full(spots, 4, np.float32),
        first_option=np.array(first_option, np.int64), club=np.array(club, np.int32),
        shot=np.array(club, np.int32), aim_rad=np.zeros(len(club), np.float32),
        cost=np.array(cost, np.float32),
        first_entry=np.cumsum([0, *(len(to) for to, _ in rows)]).astype(np.int64),
        next=np.array([t for to, _ in rows for t in to], np.int32),
        chance=np.array([w for _, share in rows for w in share], np.float32),
    )  # fmt: skip
