"""The best bag's problem on the demo course: time of its parts, and how near its bags are to solutions anew.

    .venv/bin/python -m bench.bench_pick time differences draws played

24 clubs of an invented player of handicap 12 without shots. Times are processor times of all threads beside
those of the clock, because the machine may be shared. "differences" solves whole bags on every yard of 18
holes, which takes minutes.
"""

from __future__ import annotations

import dataclasses
import sys
import time
from collections.abc import Callable
from functools import lru_cache, partial
from typing import Any

import numpy as np

from bagwright.bag.club import Bag, Club, Player
from bagwright.dispersion.dispersions import Dispersions
from bagwright.dispersion.fit import fit_dispersion
from bagwright.pick.build import Played, build_problem, build_swayed, clubs_of
from bagwright.pick.confirm import apart, confirm, table_of
from bagwright.pick.doubt import Doubt, doubt_of
from bagwright.pick.evaluate import Evaluator
from bagwright.pick.problem import Problem
from bagwright.pick.sure import Sure, chosen
from bagwright.pick.sway import AXES, with_pattern
from bagwright.shots.record import ShotTable
from bagwright.strokes.patterns import PatternTable
from bagwright.strokes.probes import player_of
from bagwright.strokes.solve import expected_strokes
from bagwright.strokes.table import patterns_of
from bench._machine import banner
from bench._pick_player import CLUBS, rasters
from bench._play_hole import play_hole

THREADS = 2
SEED = 7
BAGS = 8
PLAYED_HOLES = (3, 5, 12)
ROUNDS = 400_000
DRAWS, DRAWN_HOLES = 4, 6

USUAL = (
    "driver", "3 wood", "4 hybrid", "5 iron", "6 iron", "7 iron", "8 iron", "9 iron", "44 wedge", "48 wedge",
    "52 wedge", "56 wedge", "60 wedge",
)  # fmt: skip


@lru_cache(maxsize=1)
def player() -> tuple[Bag, Dispersions, PatternTable]:
    """The bag of 24 clubs, its fit without a shot, and the patterns."""
    who = Player("invented", sex="male", handicap=12.0, driver_speed_mps=44.0)
    clubs = tuple(
        Club(name, kind, number, stamped_loft_deg=loft, status="carried" if name in USUAL else "candidate")
        for name, kind, number, loft in CLUBS
    )
    bag = Bag(who, clubs)
    fits = fit_dispersion(ShotTable.of([]), who, bag)
    return bag, fits, patterns_of(bag, who, fits)


def played(holes: int = 18) -> Played:
    """The demo course as a round."""
    return Played("demo", 1.0, rasters()[:holes], player()[2])


@lru_cache(maxsize=1)
def problem() -> Problem:
    """The 18 holes as a problem."""
    return build_problem([played()], threads=THREADS)


def random_bags(p: Problem, count: int) -> list[int]:
    """Bags of 13 as somebody might carry them: a driver, eight of the middle, four wedges."""
    rng = np.random.default_rng(SEED)
    return [
        p.bag(
            [p.clubs[int(k)] for k in (rng.integers(2), *(2 + rng.choice(13, 8, False)), *(15 + rng.choice(9, 4, False)))]
        )
        for _ in range(count)
    ]  # fmt: skip


def swapped(p: Problem, count: int) -> list[int]:
    """A usual bag, and bags that differ from it in one club."""
    rng, usual = np.random.default_rng(SEED), p.bag(list(USUAL))
    inside = [k for k in range(p.n) if usual >> k & 1]
    outside = [k for k in range(p.n) if not usual >> k & 1]
    swaps = {(int(rng.choice(inside)), int(rng.choice(outside))) for _ in range(5 * count)}
    return [usual, *(usual ^ 1 << a ^ 1 << b for a, b in sorted(swaps)[: count - 1])]


def timed(call: Callable[[], Any]) -> tuple[Any, float, float]:
    """Result, wall time and processor time."""
    wall, cpu = time.perf_counter(), time.process_time()
    found = call()
    return found, time.perf_counter() - wall, time.process_time() - cpu


def time_of() -> None:
    """Time of the parts, warm."""
    build_problem([played(1)], threads=1)
    p, wall, cpu = timed(problem)
    print(f"build, 24 clubs, 18 holes: {wall:.1f} s, {cpu:.1f} s of processors, {THREADS} threads")
    print(
        f"{len(p.spot_x_m)} spots, {len(p.club)} options, {len(p.next)} entries; all clubs {p.everything:.3f}"
    )
    for name, bags in (("random bags", random_bags(p, 512)), ("near bags", swapped(p, 100))):
        for threads in (1, THREADS):
            evaluator = Evaluator(p, threads)
            evaluator.strokes(bags)
            runs = [timed(partial(evaluator.strokes, bags)) for _ in range(5)]
            _, wall, cpu = min(runs, key=lambda run: run[2])
            each = 1e3 / len(bags)
            print(
                f"{name}, {threads} threads: {wall * each:.2f} ms a bag, {cpu * each:.2f} ms of processors; last "
                f"change {evaluator.residual:.1e}"
            )


def differences() -> None:
    """Bags of the problem against whole solutions on every yard, aims and all."""
    p = problem()
    evaluator = Evaluator(p, THREADS)
    for name, bags in (("random", random_bags(p, BAGS)), ("one club swapped", swapped(p, BAGS))):
        found, wall, cpu = timed(partial(confirm, evaluator, [played()], bags, threads=THREADS))
        off = evaluator.strokes(bags) - np.array([one.strokes for one in found])
        strokes = np.array([one.strokes for one in found])
        against = apart(evaluator, found)
        print(
            f"{name}: {len(bags)} bags, {np.ptp(strokes):.3f} strokes apart; solved anew in {wall:.0f} s, {cpu:.0f} s"
        )
        print(
            f"  the problem's strokes less those: mean {off.mean():+.4f}, sd {off.std(ddof=1):.4f}; differences "
            f"between bags: most {np.abs(against[:, None] - against[None]).max():.4f}"
        )


def draws() -> None:
    """The near bags under 200 draws, in time, and some draws against problems built from them."""
    bag, fits, table = player()
    doubt = narrowed(doubt_of(bag, fits, clubs_of(table), 200))
    (p, response), wall, cpu = timed(lambda: build_swayed([played()], doubt, threads=THREADS))
    print(f"build with its sway: {wall:.1f} s, {cpu:.1f} s of processors")
    bags = swapped(p, 22)
    sure, wall, cpu = timed(lambda: Sure(Evaluator(p, THREADS), response, doubt))
    print(f"200 draws of {len(response)} options: {wall:.2f} s, {cpu:.2f} s of processors")
    ours, wall, cpu = timed(lambda: sure.strokes(bags))
    print(f"22 near bags under them: {wall:.2f} s, {cpu:.2f} s of processors")
    choice = chosen(ours, bags, p.n)
    print(f"most likely bag {choice.chance.max():.2f}, its regret {choice.regret.min():.4f} strokes")
    holes = rasters()[:DRAWN_HOLES]
    p, response = build_swayed([Played("demo", 1.0, holes, table)], doubt, threads=THREADS)
    ours = Sure(Evaluator(p, THREADS), response, doubt).strokes(bags)[:DRAWS]
    fine = np.array([anew(doubt, table, draw, bags) for draw in range(DRAWS)])
    own, other = (ours - ours[:, :1])[:, 1:], (fine - fine[:, :1])[:, 1:]
    print(
        f"{DRAWS} draws built anew on {DRAWN_HOLES} holes, bags less the first: sd {other.std():.4f}, correlation "
        f"{np.corrcoef(own.ravel(), other.ravel())[0, 1]:.4f}, off by {np.sqrt(((own - other) ** 2).mean()):.4f} "
        f"(mean {(own - other).mean():+.4f}); the bags themselves: sd {fine.std():.4f}, correlation "
        f"{np.corrcoef(ours.ravel(), fine.ravel())[0, 1]:.4f}, mean {(ours - fine).mean():+.4f}"
    )


def narrowed(doubt: Doubt) -> Doubt:
    """Doubt as some ten shots a club leave it: a third of the carry's, two thirds of the spreads'."""
    share = {"far": 0.33, "long": 0.67, "wide": 0.67, "mishit": 0.67}
    drawn = {
        axis: doubt.drawn[axis].mean(0) + share[axis] * (doubt.drawn[axis] - doubt.drawn[axis].mean(0))
        for axis in AXES
    }
    return dataclasses.replace(doubt, drawn=drawn)  # fmt: skip


def anew(doubt: Doubt, table: PatternTable, draw: int, bags: list[int]) -> Any:
    """Strokes of bags in a problem built from one draw's patterns."""
    settings = doubt.settings(clubs_of(table), table.shots)
    value = {axis: np.append(doubt.drawn[axis][draw], 0.0)[settings.club_of] for axis in AXES}
    parts = table.parts.copy()
    parts[..., 0] = with_pattern(player_of(table, rasters()[0].cell_m), value).parts[:, :, :4, 0]
    parts[..., 0] /= parts[..., 0].sum(-1, keepdims=True)
    parts[..., 1] *= np.exp(value["far"])[None, :, None]
    parts[..., 3] *= np.exp(value["long"])[None, :, None]
    parts[..., 4] *= np.exp(value["wide"])[None, :, None]
    drawn = Played("drawn", 1.0, rasters()[:DRAWN_HOLES], dataclasses.replace(table, parts=parts))
    return Evaluator(build_problem([drawn], threads=THREADS), THREADS).strokes(bags)


def play() -> None:
    """What a bag saves on some holes, against rounds by a simulator that shares nothing with the solver."""
    p = problem()
    evaluator, whole = Evaluator(p, THREADS), player()[2]
    bags = [
        p.bag(list(USUAL)),
        p.bag([name for name in USUAL if name not in ("5 iron", "48 wedge", "60 wedge")]),
    ]
    rows = [evaluator.by_hole(bag) for bag in bags]
    for number in PLAYED_HOLES:
        raster = rasters()[number - 1]
        scores = []
        for bag in bags:
            table = table_of(whole, p.names(bag))
            hole = expected_strokes([raster], table, threads=1).holes[0]
            scores.append(play_hole(hole, raster, table, ROUNDS, SEED))
        apart_ = scores[1] - scores[0]
        at = int(np.flatnonzero(p.hole_number == number)[0])
        error = apart_.std(ddof=1) / np.sqrt(ROUNDS)
        print(
            f"hole {number}: {rows[1][at] - rows[0][at]:.4f} strokes more; played {apart_.mean():.4f} +- {error:.4f}"
        )


PARTS = {"time": time_of, "differences": differences, "draws": draws, "played": play}

if __name__ == "__main__":
    banner("numba")
    for part in sys.argv[1:] or list(PARTS):
        print(f"--- {part}")
        PARTS[part]()
