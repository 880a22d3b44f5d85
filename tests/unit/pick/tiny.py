"""Small problems: random ones that are written out here, and two invented holes for six clubs."""

from __future__ import annotations

from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from bagwright.course.raster import Raster
from bagwright.pick.build import Played, build_problem
from bagwright.pick.hole import Fineness
from bagwright.pick.problem import FALLBACK, Problem, Round
from bagwright.strokes.patterns import PatternTable, Shot
from tests.unit.strokes import factory

Floats = NDArray[np.float64]
CLUBS = ("driver", "4 hybrid", "6 iron", "8 iron", "50 wedge", "58 wedge")
QUICK = Fineness(step=24.0, step_near=8.0, balls=4e4, visited=1e-3)


def written(clubs: int = 5, holes: int = 2, spots: int = 9, options: int = 4, seed: int = 0) -> Problem:
    """A problem of random options: far spots lead to near ones, now and then back, often into the hole."""
    rng = np.random.default_rng(seed)
    club: list[int] = []
    cost: list[float] = []
    rows: list[Floats] = []
    for spot in range(holes * spots):
        who = rng.permutation(clubs)[:options]
        price = np.sort(rng.gamma(1.0, 0.1, options))
        price[0] = 0.0
        for k in (*range(options), options - 1):
            chance = np.zeros(holes * spots)
            first = spot // spots * spots
            chance[first : first + spots] = rng.dirichlet(np.full(spots, 0.4)) * 0.8
            chance[spot + 1 : first + spots] *= 0.1
            rows.append(chance)
            club.append(int(who[k]) if len(rows) % (options + 1) else FALLBACK)
            cost.append(float(price[k]) + (0.4 if club[-1] == FALLBACK else 0.0))
    return problem_of(clubs, holes, spots, options + 1, np.array(club), np.array(cost), np.array(rows))


def problem_of(
    clubs: int, holes: int, spots: int, options: int, club: NDArray[np.int64], cost: Floats, rows: Floats
) -> Problem:
    """A problem from dense rows (options, spots), with as many options at every spot."""
    names = tuple(f"club {k}" for k in range(clubs))
    of, to = np.nonzero(rows)
    counts = np.bincount(of, minlength=len(rows))
    n, zero = holes * spots, np.zeros(holes * spots, np.float32)
    return Problem(
        clubs=names, shots=tuple(Shot(name, "stock") for name in names), rounds=(Round("here", 1.0),),
        hole_round=np.zeros(holes, np.int64), hole_number=np.arange(1, holes + 1),
        hole_weight=np.ones(holes), first_spot=np.arange(holes + 1) * spots,
        tee=np.arange(1, holes + 1) * spots - 1, tee_strokes=np.full(holes, 4.0), spot_x_m=zero,
        spot_y_m=zero, spot_lie=np.zeros(n, np.int32), spot_strokes=zero,
        first_option=np.arange(n + 1) * options, club=club.astype(np.int32),
        shot=np.maximum(club, 0).astype(np.int32), aim_rad=np.zeros(len(club), np.float32),
        cost=cost.astype(np.float32), first_entry=np.concatenate([[0], np.cumsum(counts)]),
        next=to.astype(np.int32), chance=rows[of, to].astype(np.float32),
    )  # fmt: skip


def by_iteration(p: Problem, bag: int) -> Floats:
    """What the tees cost more, by plain value iteration over dense rows in double precision."""
    rows = dense(p)
    spot = np.repeat(np.arange(len(p.spot_x_m)), np.diff(p.first_option))
    held = np.array([club == FALLBACK or bool(bag >> club & 1) for club in p.club.tolist()])
    d = np.zeros(len(p.spot_x_m))
    for _ in range(2000):
        each = np.where(held, p.cost + rows @ d, np.inf)
        new = np.full(len(d), np.inf)
        np.minimum.at(new, spot, each)
        if np.abs(new - d).max() < 1e-13:
            break
        d = new
    return np.asarray(d[p.tee])


def dense(p: Problem) -> Floats:
    """Rows (options, spots)."""
    rows = np.zeros((len(p.club), len(p.spot_x_m)))
    of = np.repeat(np.arange(len(p.club)), np.diff(p.first_entry))
    np.add.at(rows, (of, p.next), p.chance)
    return rows


@lru_cache(maxsize=1)
def holes() -> tuple[Raster, ...]:
    """A par 3 over water, and a short par 4 beside out of bounds."""
    return (
        factory.hole(7, par=3, length_yd=150.0, width=90),
        factory.hole(3, par=4, length_yd=260.0, width=110),
    )


@lru_cache(maxsize=2)
def table(wind_mps: float = 0.0) -> PatternTable:
    """Six clubs in two swings, and three pitches."""
    swings = ("stock", "three-quarter")
    return factory.table(CLUBS, swings=swings, pitches=(8, 20, 40), wind_mps=wind_mps)


@lru_cache(maxsize=1)
def built() -> Problem:
    """The two holes as a problem."""
    return build_problem([played()], threads=2, fineness=QUICK)


def played(weight: float = 1.0, wind_mps: float = 0.0) -> Played:
    """The two holes as a round."""
    return Played("calm" if not wind_mps else "windy", weight, holes(), table(wind_mps))
