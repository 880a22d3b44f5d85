"""How well the check of carry and height against the launch finds bad reads, and how often it is wrong.

Invented visits of six clubs whose true flight is known. The truth is flown here, by this file's own
integrator of the same shape of law but with drag and lift that differ from the program's from club to club
(4 % each), so that the program never knows the level. No real shot was used; every figure of the world is a
working assumption. A unit of each grade then misreads speed, launch, spin, carry and height (t with 5 degrees
of freedom, 1 sd as in the table below), and some rows are broken in one way.

    .venv/bin/python -m bench.study_bad_reads [--visits 400] [--balls 8] [--restless 0.015]
"""

from __future__ import annotations

import argparse
import math
import time
import zlib
from collections.abc import Callable
from dataclasses import dataclass, replace
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from bagwright.shots.device import GRADES, NOISE, Grade, Noise
from bagwright.shots.physics import Physics, check_physics
from bagwright.shots.record import ShotTable
from bench._machine import banner
from bench._study import commit, share, table

Floats = NDArray[np.float64]

CLUBS: tuple[tuple[str, float, float, float], ...] = (
    ("Driver", 66.0, 12.0, 2700.0),
    ("5 wood", 60.0, 13.5, 3900.0),
    ("5 iron", 54.0, 14.5, 5200.0),
    ("7 iron", 49.0, 18.0, 6500.0),
    ("9 iron", 44.0, 23.0, 7900.0),
    ("GW", 37.0, 28.0, 8900.0),
)
"""Ball speed m/s, launch degrees and spin rpm of a solid strike: working assumptions of this study."""
APEX_NOISE = {"good": 0.02, "mid": 0.03, "budget": 0.05}
"""1 sd of height, share."""
LEVEL_SD = 0.04
"""Club's true drag and lift over the program's law, ln."""


@dataclass(frozen=True)
class World:
    """Shots a club in a visit, and what ball and air do from shot to shot as a share of carry.

    With 1.5 % the residuals of a good unit scatter by 1.8 %, with 0.7 % by 1.4 %.
    """

    balls: int = 8
    restless: float = 0.015


MISHITS = 0.10
BROKEN = 0.04
"""Share of rows broken in a study of detection."""


@dataclass(frozen=True)
class Visits:
    """Many visits of six clubs: what was struck, flown and read, arrays of (visits * 6 * balls,)."""

    speed: Floats
    launch: Floats
    spin: Floats
    carry: Floats
    apex: Floats
    visits: int

    def table(self) -> ShotTable:
        """As one table with a file for every visit."""
        n = len(self.speed)
        per = n // self.visits
        clubs = [name for name, *_ in CLUBS for _ in range(per // len(CLUBS))] * self.visits
        return ShotTable(
            n=n,
            order=np.tile(np.arange(1, per + 1), self.visits),
            measures={
                "carry_m": self.carry, "apex_m": self.apex, "ball_speed_mps": self.speed,
                "launch_rad": self.launch, "spin_rpm": self.spin,
            },
            texts={"club": clubs},
            files=tuple(f"visit {k}" for k in range(self.visits)),
            source_file=np.repeat(np.arange(self.visits), per),
        )  # fmt: skip


Break = Callable[[Visits, NDArray[np.int64]], Visits]


def _times(name: str, factor: float) -> Break:
    def broken(v: Visits, rows: NDArray[np.int64]) -> Visits:
        column = np.array(getattr(v, name))
        column[rows] *= factor
        return replace(v, **{name: column})  # type: ignore[arg-type]

    return broken


def _steeper(v: Visits, rows: NDArray[np.int64]) -> Visits:
    column = np.array(v.launch)
    column[rows] += math.radians(5.0)
    return replace(v, launch=column)


def _either(name: str, size: float) -> Break:
    """Half the rows too long, half too short."""

    def broken(v: Visits, rows: NDArray[np.int64]) -> Visits:
        return _times(name, 1.0 - size)(_times(name, 1.0 + size)(v, rows[::2]), rows[1::2])

    return broken


BREAKS: dict[str, Break] = {
    "carry ±7 %": _either("carry", 0.07),
    "carry ±10 %": _either("carry", 0.10),
    "carry ±15 %": _either("carry", 0.15),
    "speed −5 %": _times("speed", 0.95),
    "spin × ½": _times("spin", 0.5),
    "launch +5°": _steeper,
    "carry m as yd": _times("carry", 0.9144),
    "carry yd as m": _times("carry", 1.0 / 0.9144),
    "speed km/h as mph": _times("speed", 1.609344),
    "height m as ft": _times("apex", 0.3048),
}


def fly(speed: Floats, launch: Floats, spin: Floats, drag: Floats, lift: Floats) -> tuple[Floats, Floats]:
    """Carry and height in calm air of 1.2 kg/m3: fourth-order Runge-Kutta, steps of 0.02 s, in a plane."""
    r, m, rho, g, dt = 0.021335, 0.04593, 1.2, 9.80665, 0.02
    k = 0.5 * rho * math.pi * r * r / m

    def rate(state: Floats) -> Floats:
        _, _, u, w, q = state
        v = np.hypot(u, w)
        s = q * r / v
        cd = drag * (0.207 + 0.34 * s * s / (s * s + 0.162))
        cl = lift * 0.56 * s / (s + 0.245)
        return np.stack(
            [u, w, k * v * (-cd * u - cl * w), k * v * (-cd * w + cl * u) - g, -1.4e-5 * v * q / r]
        )

    state = np.stack(
        [0 * speed, 0 * speed, speed * np.cos(launch), speed * np.sin(launch), spin * np.pi / 30]
    )
    carry, apex = np.full(len(speed), np.nan), np.zeros(len(speed))
    while np.isnan(carry).any():
        a = rate(state)
        b = rate(state + 0.5 * dt * a)
        c = rate(state + 0.5 * dt * b)
        new = state + dt / 6.0 * (a + 2 * b + 2 * c + rate(state + dt * c))
        apex = np.where(np.isnan(carry), np.maximum(apex, new[1]), apex)
        down = np.isnan(carry) & (new[1] <= 0.0) & (new[3] < 0.0)
        part = state[1] / np.where(down, state[1] - new[1], 1.0)
        carry = np.where(down, state[0] + part * (new[0] - state[0]), carry)
        state = new
    return carry, apex


def t5(rng: np.random.Generator, n: int, sd: float) -> Floats:
    """Errors of a unit: t with 5 degrees of freedom, brought to the standard deviation `sd`."""
    return np.asarray(rng.standard_t(5, n) * sd / math.sqrt(5.0 / 3.0))


def draw(name: str, grade: Grade, visits: int, world: World) -> Visits:
    """Invent visits: solid strikes and mishits, flown by a law of their own, read by a unit of this grade."""
    rng = np.random.default_rng([20261125, zlib.crc32(name.encode())])
    per = len(CLUBS) * world.balls
    n = visits * per
    usual = np.tile(np.repeat(np.array([c[1:] for c in CLUBS]), world.balls, axis=0), (visits, 1))
    mishit = rng.random(n) < MISHITS
    length = np.repeat(np.exp(rng.normal(0.0, 0.10, visits)), per)
    weak = np.where(mishit, 1.0 - np.minimum(0.05 + rng.exponential(0.08, n), 0.5), 1.0)
    speed = usual[:, 0] * length * weak * np.exp(rng.normal(0.0, 0.018, n))
    odd = np.where(mishit, 3.0, 1.0)
    launch = np.radians(np.maximum(usual[:, 1] + rng.normal(0.0, 1.4, n) * odd, 3.0))
    spin = usual[:, 2] * np.exp(rng.normal(0.0, 0.08, n) * odd)
    drag, lift = (
        np.repeat(np.exp(rng.normal(0.0, LEVEL_SD, n // world.balls)), world.balls) for _ in range(2)
    )
    carry, apex = fly(speed, launch, spin, drag, lift)
    carry = carry * np.exp(t5(rng, n, world.restless))
    unit: Noise = NOISE[grade]
    return Visits(
        speed + t5(rng, n, unit.speed_mps),
        launch + t5(rng, n, unit.launch_rad),
        spin * np.exp(t5(rng, n, unit.spin)),
        carry * np.exp(t5(rng, n, unit.carry)),
        apex * np.exp(t5(rng, n, APEX_NOISE[grade])),
        visits,
    )


def broken_rows(name: str, n: int) -> NDArray[np.int64]:
    """Choose which rows are broken."""
    rng = np.random.default_rng([20261125, zlib.crc32(f"broken {name}".encode())])
    return np.flatnonzero(rng.random(n) < BROKEN)


def flags(v: Visits, height: bool) -> Physics:
    made = v.table()
    if not height:
        made = replace(made, measures={k: c for k, c in made.measures.items() if k != "apex_m"})
    return check_physics(made)


def false_marks(visits: int, world: World, height: bool) -> list[list[object]]:
    rows: list[list[object]] = []
    for grade in GRADES:
        v = draw(f"clean {grade}", grade, visits, world)
        found = flags(v, height)
        judged = int(np.isfinite(found.distance).sum())
        right = sum(d.grade == grade for d in found.devices.values())
        rows.append([grade, share(len(found.marks), judged), share(right, visits)])
    return rows


def detection(visits: int, world: World, height: bool) -> list[list[object]]:
    """Detected share of each way of breaking, by grade; in brackets, how many got the slip's name."""
    rows: list[list[object]] = []
    for what, broken in BREAKS.items():
        if what.startswith("height") and not height:
            continue
        cells: list[object] = [what]
        for grade in GRADES:
            v = draw(f"broken {grade}", grade, visits, world)
            at = broken_rows(what, len(v.speed))
            found = flags(broken(v, at), height)
            hit = [int(i) for i in at if int(i) in found.marks]
            named = sum(i in found.slips for i in hit)
            cells.append(f"{share(len(hit), len(at))} ({share(named, len(at))})" if " as " in what
                         else share(len(hit), len(at)))  # fmt: skip
        rows.append(cells)
    return rows


def calibration(visits: int, world: World, part: float, grade: Grade) -> list[list[object]]:
    """Stated chance of all judged shots against the truth, a mixture of all ways of breaking."""
    v = draw(f"mixed {grade} {part}", grade, visits, world)
    rng = np.random.default_rng([20261125, int(1000 * part)])
    rows = np.flatnonzero(rng.random(len(v.speed)) < part)
    truly = np.zeros(len(v.speed), dtype=np.bool_)
    truly[rows] = True
    ways = list(BREAKS.values())
    for k, rows_of in enumerate(np.array_split(rng.permutation(rows), len(ways))):
        v = ways[k](v, rows_of)
    found = flags(v, True)
    result: list[list[object]] = []
    edges = (0.0, 0.02, 0.1, 0.3, 0.5, 0.7, 0.9, 1.01)
    for low, high in pairwise(edges):
        inside = (found.chance >= low) & (found.chance < high)
        n = int(inside.sum())
        stated = float(found.chance[inside].mean()) if n else math.nan
        told = (f"{100 * part:.0f} %", f"{low:.2f}-{min(high, 1):.2f}", n, f"{100 * stated:.1f}")
        result.append([grade, *told, share(int(truly[inside].sum()), n)])
    marked = list(found.marks)
    result.append([grade, f"{100 * part:.0f} %", "all suggested", len(marked),
                   f"{100 * float(np.mean([found.chance[i] for i in marked])):.1f}",
                   share(int(truly[marked].sum()), len(marked))])  # fmt: skip
    return result


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--visits", type=int, default=400)
    parser.add_argument("--balls", type=int, default=World.balls)
    parser.add_argument("--restless", type=float, default=World.restless)
    told = parser.parse_args()
    visits, world = told.visits, World(told.balls, told.restless)
    started = time.perf_counter()
    banner()
    print(f"commit {commit()}; {visits} visits a cell; {world}\n")
    for height in (True, False):
        print("\n## " + ("Carry and height" if height else "Carry alone") + "\n")
        print(
            table(
                ("grade", "false suggestions, %", "grade told right, %"), false_marks(visits, world, height)
            )
        )
        print("\nFound, % (and named as that slip of units, %)\n")
        print(table(("broken", *GRADES), detection(visits, world, height)))
    print("\n## Stated chance against the truth\n")
    rows = [row for part in (0.01, 0.03) for g in GRADES for row in calibration(visits, world, part, g)]
    print(table(("grade", "bad reads", "stated", "shots", "mean stated, %", "true, %"), rows))
    print(f"\n{time.perf_counter() - started:.0f} s")


if __name__ == "__main__":
    main()
