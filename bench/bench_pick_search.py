"""The search for the best bag: players of different skill, speed and sex, 18 to 30 clubs to choose from.

    python -m bench.bench_pick_search [PLAYERS] [FOLDER]

Eight players are made of published figures (`strokes.reference`), the others of handicap and driver speed. For each:
bags worked out until the best one, and all within 0.02 strokes, are proven; how far taking clubs away one by one
(greedy), adding them one by one, and swapping afterwards are off. FOLDER keeps the problems for another run.
"""

from __future__ import annotations

import sys
from dataclasses import replace
from itertools import product
from math import comb
from pathlib import Path
from time import process_time

import numpy as np

from bagwright.bag.club import Bag, Club, Kind, Player, Sex
from bagwright.pick.build import Played, build_problem
from bagwright.pick.evaluate import Evaluator
from bagwright.pick.problem import Problem
from bagwright.pick.search import Known, Search, start
from bagwright.pick.wish import Limits, Wish, bits, limits_of
from bagwright.strokes import reference
from bagwright.strokes.kernels import loft_of, partial_kernels
from bagwright.strokes.patterns import PatternTable
from bagwright.strokes.table import patterns_of
from bagwright.units import M_PER_YD, MPS_PER_MPH
from bench._machine import banner
from bench._pick_player import CLUBS, rasters

MORE: tuple[tuple[str, Kind, str, float], ...] = (
    ("driver 9", "driver", "1", 9.0), ("9 wood", "wood", "9", 24.0), ("6 hybrid", "hybrid", "6", 28.5),
    ("3 iron", "iron", "3", 20.5), ("42 wedge", "wedge", "42", 42.0), ("64 wedge", "wedge", "64", 64.0),
)  # fmt: skip
POOL = (*CLUBS, *MORE)
SLOTS, WITHIN = 13, 0.02
LEVELS = ("tour", "scratch", "bogey", "average 90")


def clubs_of(n: int, seed: int) -> tuple[Club, ...]:
    """Some of the pool, always with a driver and a wedge to pitch with."""
    rng = np.random.default_rng(seed)
    always = {0, 22}
    others = [i for i in range(len(POOL)) if i not in always]
    chosen = sorted({*always, *rng.choice(others, n - len(always), replace=False).tolist()})
    return tuple(
        Club(name, kind, number, stamped_loft_deg=loft)
        for name, kind, number, loft in (POOL[i] for i in chosen)
    )


def published(level: reference.Level, sex: Sex, clubs: tuple[Club, ...]) -> PatternTable:
    """A published player with these clubs in place of the usual thirteen."""
    one = reference.reference_player(level, sex)
    whole = reference.TOTAL_YD[level, sex]
    driver_m = (whole - float(np.interp(whole, *reference._RUN_OF_TOTAL_YD))) * M_PER_YD
    ends = reference.HANDICAP["tour"], reference.HANDICAP["average 90"]
    share = (one.handicap - ends[0]) / (ends[1] - ends[0])
    full = [
        reference.known_kernel(club, loft_of(club), swing, driver_m, share)
        for club in clubs
        for swing in reference.SWINGS
    ]
    return replace(one, kernels=(*full, *partial_kernels(full, one.handicap))).table()


def players(count: int) -> list[tuple[str, PatternTable]]:
    """Their names and tables."""
    found: list[tuple[str, PatternTable]] = []
    sizes = np.linspace(18, 30, count).round().astype(int)
    names = list(product(LEVELS, ("male", "female")))
    rng = np.random.default_rng(7)
    order = rng.permutation(count)
    for k in range(count):
        clubs = clubs_of(int(sizes[order[k]]), k)
        if k < len(names):
            level, sex = names[k]
            found.append((f"{level}, {sex}", published(level, sex, clubs)))  # type: ignore[arg-type]
        else:
            handicap, speed = float(rng.uniform(-2, 30)), float(rng.uniform(70, 115))
            other: Sex = "female" if speed < 85 else "male"
            player = Player("x", sex=other, handicap=handicap, driver_speed_mps=speed * MPS_PER_MPH)
            found.append(
                (f"handicap {handicap:.0f}, {speed:.0f} mph", patterns_of(Bag(player, clubs), player))
            )
    return found


def taken_away(known: Known, limits: Limits) -> float:
    """Strokes of the bag that is left when the least missed club goes out until enough are out."""
    bag = limits.whole
    while bag.bit_count() > limits.slots:
        others = [bag & ~(1 << i) for i in bits(bag)]
        bag = others[int(known.strokes(others).argmin())]
    return float(known.strokes([bag])[0])


def added(known: Known, limits: Limits) -> float:
    """Strokes of the bag that the most helpful club goes into until it is full."""
    bag = 0
    while bag.bit_count() < limits.slots:
        others = [bag | 1 << i for i in bits(limits.whole & ~bag)]
        bag = others[int(known.strokes(others).argmin())]
    return float(known.strokes([bag])[0])


def searched(problem: Problem, limits: Limits, within: float) -> tuple[Search, float, int]:
    """A whole search, its seconds of processor, and the bags after which no better one was guessed."""
    search, clock = Search(Evaluator(problem), limits, within), process_time()
    found = 0
    search.begin()
    while not search.proven:
        search.step()
        if search.found and not found:
            found = search.known.count
    return search, process_time() - clock, found or search.known.count


def main() -> None:
    banner()
    count = int(sys.argv[1]) if len(sys.argv) > 1 else 20
    folder = Path(sys.argv[2]) if len(sys.argv) > 2 else None
    print(
        "| player | clubs | bags possible | above all clubs | proven after, bags (s) | guessed after | within 0.02 | proven after, bags (s) | away | added | swapped |"
    )
    print("|--|--|--|--|--|--|--|--|--|--|--|")
    for k, (name, table) in enumerate(players(count)):
        kept = folder / f"{k}.npz" if folder else None
        if kept is not None and kept.exists():
            problem = Problem.load(kept)
        else:
            problem = build_problem([Played("demo course", 1.0, rasters(), table)])
            if kept is not None:
                problem.save(kept)
        row(name, problem)


def row(name: str, problem: Problem) -> None:
    limits = limits_of(Wish(SLOTS), problem.clubs)
    alone, alone_s, guessed = searched(problem, limits, 0.0)
    near, near_s, _ = searched(problem, limits, WITHIN)
    known = Known(Evaluator(problem))
    first = start(known, limits)
    off = [
        one - alone.strokes
        for one in (taken_away(known, limits), added(known, limits), float(known.strokes([first])[0]))
    ]
    print(
        f"| {name} | {problem.n} | {comb(problem.n, SLOTS):,} | {alone.strokes - problem.everything:.3f} "
        f"| {alone.known.count:,} ({alone_s:.1f}) | {guessed:,} | {len(near.near)} "
        f"| {near.known.count:,} ({near_s:.1f}) | {off[0]:.4f} | {off[1]:.4f} | {off[2]:.4f} |",
        flush=True,
    )


if __name__ == "__main__":
    main()
