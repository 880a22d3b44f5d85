"""What the order of shots does: bias of plain means, luck of being first, a bag's long clubs against short.

.venv/bin/python -m bench.study_order [--only bag] [--visits 900]
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import numpy as np

from bagwright.dispersion.fit import fit_dispersion
from bagwright.units import M_PER_YD
from bench._machine import banner
from bench._study import Cell, Result, arguments, chosen, commit, run_cells, table
from bench.study_decisions import belief, candidates
from bench.world import (
    Floats,
    World,
    alternated,
    bag_of,
    drift_share,
    hit,
    mirrored_passes,
    new_bag,
    new_golfer,
    one_pass,
)

ORDERS: dict[str, list[int]] = {
    "AAABBB": [0] * 3 + [1] * 3,
    "5+5 blocks": [0] * 5 + [1] * 5,
    "10+10 blocks": [0] * 10 + [1] * 10,
    "ABABAB": [0, 1] * 3,
    "ABBAAB": [0, 1, 1, 0, 0, 1],
    "ABBA x 5": [0, 1, 1, 0] * 5,
    "AAABBBBBBAAA": [0] * 3 + [1] * 6 + [0] * 3,
}
BAG_DRIFTS = {
    "none": (0.0, 0.0),
    "1.5 %, 3 %": (0.015, 0.03),
    "3 %, 3 %": (0.03, 0.03),
    "5 %, 5 %": (0.05, 0.05),
}
"""Fatigue in 50 balls and warm-up."""
PAIR_DRIFTS = {"cold 6 %": (0.0, 0.06), "cold 3 %": (0.0, 0.03), "tired 5 %": (0.05, 0.0)}
"""The same for two candidates; cold: no ball before the first."""


def mean_bias_yd(order: Sequence[int], world: World, balls_before: int) -> float:
    """Give the expected B - A of plain means for identical 180-yd clubs in yards (mishits cancel)."""
    shift = 180.0 * drift_share(world, np.arange(len(order), dtype=np.float64) + balls_before)
    which = np.asarray(order)
    return float(shift[which == 1].mean() - shift[which == 0].mean())


def wander_sd_yd(order: Sequence[int], wander_sd: float) -> float:
    """Give the sd in yards that wander adds to B - A at 180 yd, exact from autocovariances .85^|i-j|."""
    which = np.asarray(order)
    weight = np.where(which == 1, 1.0 / (which == 1).sum(), -1.0 / (which == 0).sum())
    lag = np.abs(np.subtract.outer(np.arange(len(order)), np.arange(len(order))))
    return float(180.0 * wander_sd * np.sqrt(weight @ 0.85**lag @ weight))


def mean_table() -> str:
    """Write the expected bias of plain means by order."""
    scenarios: list[tuple[str, World, int]] = [
        ("6 % warm-up, cold", World("w", warm_up=0.06), 0),
        ("6 %, after 6 balls", World("w", warm_up=0.06), 6),
        ("6 %, after 15 balls", World("w", warm_up=0.06), 15),
        ("fatigue 3 % in 50", World("f", fatigue=0.03), 0),
    ]
    rows = [
        [name, *(f"{mean_bias_yd(order, world, before):+.1f}" for order in ORDERS.values())]
        for name, world, before in scenarios
    ]
    for sd in (0.012, 0.025):
        rows.append(
            [f"sd from wander {100 * sd:.1f} %", *(f"{wander_sd_yd(o, sd):.1f}" for o in ORDERS.values())]
        )
    return table(["yards at 180", *ORDERS], rows)


def cells() -> list[Cell]:
    """List whole-bag cells (drift by order) and pair cells (drift by design and by who is hit first)."""
    bags = [
        Cell(f"bag, {drift}, {order}", f"bag {drift}", {"drift": drift, "order": order})
        for drift in BAG_DRIFTS
        for order in ("one pass", "mirrored")
    ]
    pairs = [
        Cell(f"pair, {drift}, {order}", f"pair {drift}", {"drift": drift, "order": order})
        for drift in PAIR_DRIFTS
        for order in ("blocks", "mirrored")
    ]
    return pairs + bags


def work(cell: Cell, rng: np.random.Generator) -> Result:
    """Run one visit of a cell."""
    return bag_visit(cell, rng) if cell.name.startswith("bag") else pair_visit(cell, rng)


def bag_visit(cell: Cell, rng: np.random.Generator) -> Result:
    """Fit twelve clubs with six balls each, handicap 10; errors of long clubs against short ones."""
    fatigue, warm_up = BAG_DRIFTS[cell.options["drift"]]
    world = World("bag", wander_sd=0.012, warm_up=warm_up, fatigue=fatigue)
    golfer = new_golfer(rng, world, handicap=10.0)
    clubs = new_bag(rng, world, golfer)
    counts = [6] * len(clubs)
    order = one_pass(counts) if cell.options["order"] == "one pass" else mirrored_passes(counts)
    visit = hit(rng, world, golfer, clubs, order, 0)
    bag = bag_of(golfer, clubs)
    fits = fit_dispersion(visit.table, bag.player, bag)
    ranges = [fits[(truth.club.name, "stock")].carry_m for truth in clubs]
    centre = np.array([truth.centre_yd for truth in clubs])
    expected = np.array([truth.expected_yd for truth in clubs])
    low, high = (np.array([getattr(r, end) for r in ranges]) / M_PER_YD for end in ("low", "high"))
    fitted = np.array([r.value for r in ranges]) / M_PER_YD
    plain = np.array([np.median(visit.carry_yd[visit.which == i]) for i in range(len(clubs))])
    return {
        "plain": slope_error(plain - centre, expected),
        "fit": slope_error(fitted - centre, expected),
        "inside": int(((low <= centre) & (centre <= high)).sum()),
        "clubs": len(clubs),
    }


def slope_error(error_yd: Floats, expected_yd: Floats) -> float:
    """Compare the six long with the six short clubs: difference of mean relative errors, times 180 yd."""
    relative = error_yd / expected_yd
    longest = np.argsort(-expected_yd)
    half = len(longest) // 2
    return float(180.0 * (relative[longest[:half]].mean() - relative[longest[half:]].mean()))


def pair_visit(cell: Cell, rng: np.random.Generator) -> Result:
    """Compare two clubs 5 yd apart, handicap 5, five balls each; plain and fitted difference B - A."""
    fatigue, warm_up = PAIR_DRIFTS[cell.options["drift"]]
    world = World("pair", wander_sd=0.012, warm_up=warm_up, fatigue=fatigue)
    golfer, clubs, d = candidates(rng, world, 180.0, 5.0, 5.0)
    blocked = cell.options["order"] == "blocks"
    visit = hit(rng, world, golfer, clubs, ORDERS["5+5 blocks"] if blocked else alternated(5), 0)
    plain = visit.carry_yd[visit.which == 1].mean() - visit.carry_yd[visit.which == 0].mean()
    found = belief(golfer, visit, blocked)
    return {"d": d, "plain": float(plain), "fit": found[0], "chance": found[2]}


def bag_table(results: Mapping[str, Sequence[Result]]) -> str:
    """Write slope errors and coverage of the whole-bag cells."""
    rows = []
    for name, found in results.items():
        if not name.startswith("bag") or not found:
            continue
        row = [name]
        for way in ("plain", "fit"):
            values = np.array([visit[way] for visit in found])
            row.append(f"{values.mean():+.2f} ({values.std() / np.sqrt(len(values)):.2f})")
        inside, of = sum(v["inside"] for v in found), sum(v["clubs"] for v in found)
        rows.append([*row, f"{100 * inside / of:.1f}", str(len(found))])
    head = [
        "fatigue, warm-up, order",
        "medians: long - short, yd at 180 (s.e.)",
        "model",
        "90 % range holds %",
        "visits",
    ]
    return table(head, rows)


def pair_table(results: Mapping[str, Sequence[Result]]) -> str:
    """Write bias and wrong choices, better club hit second / first, plain and fitted."""
    rows = []
    for name, found in results.items():
        if not name.startswith("pair") or not found:
            continue
        d = np.array([visit["d"] for visit in found])
        row = [name]
        for way in ("plain", "fit"):
            seen = np.array([visit[way] for visit in found])
            wrong = (seen > 0) != (d > 0)
            row += [
                f"{100 * wrong[d > 0].mean():.0f} / {100 * wrong[d < 0].mean():.0f}",
                f"{(seen - d).mean():+.1f}",
            ]
        rows.append([*row, str(len(found))])
    head = ["drift, order", "plain: wrong % second / first", "bias yd", "model: wrong %", "bias yd", "tests"]
    return table(head, rows)


def main() -> None:
    """Run the cells and print the tables."""
    options = arguments(__doc__ or "", 900).parse_args()
    banner()
    print("commit", commit())
    results = run_cells("order", chosen(cells(), options), work, options)
    print(f"\nExpected B - A of plain means, identical clubs\n\n{mean_table()}")
    print(f"\nTwo clubs 5 yd apart, 5+5 balls, handicap 5\n\n{pair_table(results)}")
    print(f"\nTwelve clubs, six balls each, handicap 10\n\n{bag_table(results)}")


if __name__ == "__main__":
    main()
