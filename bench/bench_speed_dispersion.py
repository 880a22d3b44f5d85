"""How long a fit takes: one more ball with every shown number, a bag, a large cell, draws, the import.

Each line is the median and the 95th percentile of many runs in one process, after a first run that fills the
caches. `python startup` is a bare interpreter with numpy, for the ratio of the last line.

    .venv/bin/python -m bench.bench_speed_dispersion
"""

from __future__ import annotations

import subprocess
import sys
import time
from collections.abc import Callable

import numpy as np

from bagwright.bag.club import Player
from bagwright.dispersion.fit import fit_dispersion
from bagwright.shots.record import Shot, ShotTable
from bench._machine import banner

NAMES = (
    "driver", "3 wood", "5 wood", "4 hybrid", "4 iron", "5 iron", "6 iron", "7 iron", "8 iron", "9 iron",
    "PW", "GW", "SW", "LW",
)  # fmt: skip
CARRY_YD = (240, 222, 208, 196, 193, 183, 172, 160, 148, 136, 124, 110, 94, 76)
PLAYER = Player(handicap=10.0, driver_speed_mps=46.6)
SEVEN = ("7 iron", "stock")


def visit(rng: np.random.Generator, balls_each: int) -> list[Shot]:
    """Make a whole-bag visit, clubs in turn, a tenth of the balls mishit."""
    shots: list[Shot] = []
    for _ in range(balls_each):
        for name, yards in zip(NAMES, CARRY_YD, strict=True):
            length = yards * 0.9144
            miss = 0.2 * length * (rng.random() < 0.1)
            carry = length * (1 + 0.05 * rng.standard_normal()) - miss
            side = 0.078 * length * rng.standard_normal()
            shots.append(Shot(name, 13 + len(shots), carry_m=float(carry), offline_m=float(side)))
    return shots


def timed(what: str, job: Callable[[], object], runs: int, goal_ms: float | None = None) -> float:
    """Print median and 95th percentile in milliseconds; give the median."""
    job()
    spent = []
    for _ in range(runs):
        start = time.perf_counter()
        job()
        spent.append(1e3 * (time.perf_counter() - start))
    median, high = float(np.median(spent)), float(np.quantile(spent, 0.95))
    goal = "" if goal_ms is None else f"   goal {goal_ms:g} ms: {'met' if median < goal_ms else 'MISSED'}"
    print(f"{what:58s} {median:8.2f} ms median {high:8.2f} ms p95{goal}")
    return median


def main() -> None:
    banner()
    rng = np.random.default_rng(20261125)
    shots = visit(rng, 6)
    table = ShotTable.of(shots)
    fits = fit_dispersion(table, PLAYER)
    new = Shot("7 iron", len(shots) + 13, carry_m=148.0, offline_m=2.0)
    alone = fit_dispersion(ShotTable.of([s for s in shots if s.club == "7 iron"]), PLAYER)
    timed("one more ball in a bag of 14, all numbers of its club", lambda: fits.updated(new)[SEVEN], 200, 5.0)
    timed("one more ball, one club alone", lambda: alone.updated(new)[SEVEN], 200, 5.0)
    timed(
        "bag of 14, 84 balls, from the table, all numbers",
        lambda: dict(fit_dispersion(table, PLAYER)),
        100,
        25.0,
    )
    timed(
        "the same, handicap unknown", lambda: dict(fit_dispersion(table, Player(driver_speed_mps=46.6))), 50
    )
    two = [SEVEN, ("8 iron", "stock")]
    timed("contrast of two candidates", lambda: fits.contrast(two[0], two[1], True), 200)
    timed("2048 joint draws of two candidates", lambda: fits.candidates(two, True), 50)
    timed("2048 joint draws of 14 clubs", lambda: fits.draws(list(fits)), 20)
    many = [
        Shot("7 iron", 1 + i, carry_m=float(146 + 7 * rng.standard_normal()), offline_m=1.0)
        for i in range(200)
    ]
    two_hundred = ShotTable.of(many)
    timed("one cell of 200 shots, all numbers", lambda: fit_dispersion(two_hundred, PLAYER)[SEVEN], 50)
    net = [
        Shot("driver", 1 + i, carry_m=min(205.0 + 9 * (i % 4), 215.0), carry_at_least=i % 4 > 1)
        for i in range(8)
    ]
    beyond = ShotTable.of(net)
    timed("8 drives, 4 beyond the net", lambda: fit_dispersion(beyond, PLAYER)[("driver", "stock")], 50)
    whole = timed("import of the fit in a fresh process", lambda: fresh("import bagwright.dispersion.fit"), 7)
    bare = timed("import of numpy in a fresh process", lambda: fresh("import numpy"), 7)
    print(f"the import costs {whole / bare:.1f} times that of numpy; scipy.stats loaded: {loads_stats()}")


def fresh(program: str) -> None:
    subprocess.run([sys.executable, "-c", program], check=True)


def loads_stats() -> bool:
    program = "import sys, bagwright.dispersion.fit; print('scipy.stats' in sys.modules)"
    said = subprocess.run([sys.executable, "-c", program], check=True, capture_output=True, text=True)
    return said.stdout.strip() == "True"


if __name__ == "__main__":
    main()
