"""How long the board's figures take after one more ball: fit, verdict, flights; and the papers after it.

    .venv/bin/python -m bench.bench_board [--runs 15]

The demo's own shots (two visits, three candidates). Medians in milliseconds of one process. "fresh" forgets
every flight before each run, as after a ball: a ball moves what all clubs share, so every club's carry moves
a little and every flight is another one. "again" asks about the same shots once more, as papers, the other
units and a second screen do. The last lines hold what shares its work against doing it batch by batch.
"""

from __future__ import annotations

import argparse
import statistics
import tempfile
import time
from collections.abc import Callable
from pathlib import Path

from bagwright import demo
from bagwright.dispersion.fit import Dispersions, fit_dispersion
from bagwright.distances import distances
from bagwright.report.gather import gather
from bagwright.shots.record import ShotTable
from bagwright.tasks import Loaded, Source, load
from bagwright.trial import flown
from bagwright.trial.miss import Pattern
from bagwright.trial.result import Verdict
from bagwright.trial.value import MissBelief, choices, miss_worth
from bagwright.trial.verdict import DRAWS, judge
from bench._machine import banner

SLOT = tuple(demo.SLOT.split(","))
GOAL_MS = 120.0


def loaded() -> Loaded:
    """The demo's shots and bag."""
    with tempfile.TemporaryDirectory() as folder:
        demo.copy_demo(Path(folder))
        answers = {"figures": "as measured", "spin": "measured"}
        return load(Source(bag=Path(folder) / "bag.toml", answers=answers))


def forget() -> None:
    """Forget every flight."""
    flown._worked_out.cache_clear()
    flown.path_of.cache_clear()


def median_ms(job: Callable[[], object], runs: int, before: Callable[[], object] = lambda: None) -> float:
    """Median of `runs` runs in milliseconds, after one that fills the other caches."""
    spent = []
    for _ in range(runs + 1):
        before()
        start = time.perf_counter()
        job()
        spent.append(1e3 * (time.perf_counter() - start))
    return statistics.median(spent[1:])


def main() -> None:
    """Print every line with its ratio."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--runs", type=int, default=15)
    runs = parser.parse_args().runs
    banner()
    data = loaded()
    bag, said = data.bag, data.result.conditions
    if bag is None:
        raise RuntimeError("the demo has no bag")
    table = ShotTable.of([data.table.shot(i) for i in range(data.table.n)])

    def fit() -> Dispersions:
        return fit_dispersion(table, bag.player, bag)

    fits = fit()

    def verdict_of(fits: Dispersions) -> Verdict:
        return judge(table, SLOT, bag, fits=fits, conditions=said)

    verdict, steps = verdict_of(fits), distances(fits, bag)

    def papers() -> object:
        return gather(table, fits, bag=bag, verdict=verdict, distances=steps, conditions=said)

    print(f"{table.n} shots, {len(SLOT)} candidates")
    print(f"{'fit':44s} {median_ms(fit, runs):7.1f} ms")
    ball = median_ms(lambda: verdict_of(fit()), runs, forget)
    print(f"{'one more ball: fit and verdict, fresh':44s} {ball:7.1f} ms   goal {GOAL_MS:g}: {word(ball)}")
    pairs = (
        ("verdict", lambda: verdict_of(fits)),
        ("papers' figures", papers),
        ("distances", lambda: distances(fits, bag)),
    )
    for name, job in pairs:
        first, again = median_ms(job, runs, forget), median_ms(job, runs)
        print(f"{name + ', fresh and again':44s} {first:7.1f} {again:7.1f} ms   {first / again:4.1f} times")
    pattern = Pattern.of(fits.candidates([(name, "stock") for name in SLOT], False, DRAWS))
    batches = list(choices(len(SLOT), (0, 1)))
    apart = median_ms(lambda: [miss_worth(pattern, verdict.spot_m, batch) for batch in batches], runs)
    belief = MissBelief.of(pattern, verdict.spot_m)
    shared = median_ms(lambda: [belief.worth(batch) for batch in batches], runs)
    print(
        f"{f'{len(batches)} batches of further balls, apart and shared':44s} {apart:7.1f} {shared:7.1f} ms   "
        f"{apart / shared:4.1f} times"
    )


def word(ms: float) -> str:
    """Whether a goal was met."""
    return "met" if ms <= GOAL_MS else "MISSED"


if __name__ == "__main__":
    main()
