"""Which of two clubs is longer: wrong choices, stated against actual chance, and when to stop.

One path a test: mirrored pairs A B, B A, ... fitted after every pair from 3 to 15, six balls after the
first swing of the day, warm-up 3 %, fatigue 1.5 % in 50 balls, wander 1.2 %. The rules (a fixed number of
balls, the value of further balls, a stated chance) are then applied to the stored beliefs, so that all meet
the same balls. `population`: handicap 0..25, carry 150, 180 or 215 yd, true gap N(0, 8^2) yd. `gap d, hcp
h`: 180 yd and a stated gap. `identical`: the population without a gap. The two candidates are all that was
ever hit.

    .venv/bin/python -m bench.study_decisions [--only population] [--visits 1500]
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence

import numpy as np

from bagwright.bag.club import Club, Kind
from bagwright.dispersion.fit import fit_dispersion
from bagwright.trial.value import LOOK_AHEAD, CarryBelief, carry_worth
from bagwright.units import M_PER_YD
from bench._machine import banner
from bench._study import Cell, Result, arguments, chosen, commit, run_cells, share, table
from bench.world import Golfer, Truth, Visit, World, alternated, bag_of, hit, new_golfer, new_truth

MILD = World("mild", wander_sd=0.012, warm_up=0.03, fatigue=0.015)
BALLS_BEFORE = 6
PAIRS = range(3, 16)
SLOTS: dict[float, tuple[Kind, str, float]] = {
    150.0: ("iron", "7", 160.0 / 160.0),
    180.0: ("iron", "5", 183.0 / 160.0),
    215.0: ("wood", "5", 208.0 / 160.0),
}
"""Carry in yards: the slot's kind and number, and its carry over a 7-iron's."""
GAPS_YD = (3.0, 5.0, 8.0, 10.0, 15.0)
HANDICAPS = (2.0, 10.0, 20.0)
PRICES_YD = (0.1, 0.05, 0.025)
BINS = ((0.5, 0.7), (0.7, 0.85), (0.85, 0.95), (0.95, 1.0))


def cells() -> list[Cell]:
    """List the population, identical clubs, and stated gaps by handicap."""
    stated = [
        Cell(f"gap {gap:.0f}, hcp {h:.0f}", f"stated {h:.0f}", {"gap": gap, "handicap": h})
        for gap in GAPS_YD
        for h in HANDICAPS
    ]
    return [
        Cell("population", "decisions", {"gap": None, "handicap": None}),
        Cell("identical", "identical", {"gap": 0.0, "handicap": None}),
        *stated,
    ]


def work(cell: Cell, rng: np.random.Generator) -> Result:
    """Run one test to fifteen balls a club; the beliefs about B minus A after every pair."""
    gap, handicap = cell.options["gap"], cell.options["handicap"]
    carry = 180.0 if handicap is not None else float(rng.choice(list(SLOTS)))
    golfer, clubs, d = candidates(rng, MILD, carry, gap, handicap)
    visit = hit(rng, MILD, golfer, clubs, alternated(max(PAIRS)), BALLS_BEFORE)
    beliefs = [belief(golfer, visit.first(2 * pairs)) for pairs in PAIRS]
    return {"d": d, "beliefs": beliefs}


def candidates(
    rng: np.random.Generator, world: World, carry_yd: float, gap_yd: float | None, handicap: float | None
) -> tuple[Golfer, tuple[Truth, Truth], float]:
    """Draw a golfer and two candidates of one slot; B's solid centre is longer by the gap (drawn if None)."""
    kind, number, relative = SLOTS[carry_yd]
    golfer = new_golfer(rng, world, handicap, carry_yd / relative)
    middle = carry_yd * (1.0 + 0.05 * rng.standard_normal())
    sign = 1.0 if rng.random() < 0.5 else -1.0
    d = float(8.0 * rng.standard_normal() if gap_yd is None else gap_yd * sign)
    pair = tuple(
        new_truth(
            rng,
            world,
            golfer,
            Club(name=name, kind=kind, number=number, status="candidate"),
            carry_yd,
            middle + half * d,
        )
        for name, half in (("A", -0.5), ("B", 0.5))
    )
    return golfer, (pair[0], pair[1]), d


def belief(golfer: Golfer, visit: Visit, blocked: bool = False) -> list[float]:
    """Fit and give mean, sd and chance of B - A (yd), spreads (yd) and mishit shares of A and B."""
    bag = bag_of(golfer, visit.clubs)
    fits = fit_dispersion(visit.table, bag.player, bag)
    a, b = ("A", "stock"), ("B", "stock")
    found = fits.contrast(b, a, blocked=blocked)
    spreads = [fits[key].carry_sd_m.value / M_PER_YD for key in (a, b)]
    shares = [fits[key].mishit_share.value for key in (a, b)]
    numbers = [found.mean_m / M_PER_YD, found.sd_m / M_PER_YD, found.probability, *spreads, *shares]
    return [round(float(value), 5) for value in numbers]


Rule = Callable[[Sequence[list[float]]], int]
"""From the beliefs after 3, 4, .. 15 pairs to the index at which the rule stops."""


def fixed(pairs: int) -> Rule:
    """Stop after so many balls of each."""
    return lambda beliefs: pairs - PAIRS[0]


def at_chance(chance: float, most: int = PAIRS[-1]) -> Rule:
    """Stop once the favoured club's chance reaches a level, or after `most` balls of each."""
    return lambda beliefs: next(
        (i for i, b in enumerate(beliefs) if max(b[2], 1 - b[2]) >= chance or PAIRS[i] >= most),
        len(beliefs) - 1,
    )


def by_value(price_yd: float) -> Rule:
    """Stop once no number of further pairs, up to the look-ahead, is worth its price."""
    return lambda beliefs: next(
        (i for i, b in enumerate(beliefs) if not worth_more(b, price_yd)), len(beliefs) - 1
    )


def worth_more(numbers: list[float], price_yd: float) -> bool:
    """Ask the program's own value of further balls whether any batch of pairs pays."""
    mean, sd, _, sd_a, sd_b, share_a, share_b = numbers
    known = CarryBelief(
        mean_m=np.array([0.0, mean]) * M_PER_YD,
        cov_m2=np.eye(2) * 0.5 * (sd * M_PER_YD) ** 2,
        sd_m=np.array([sd_a, sd_b]) * M_PER_YD,
        solid_share=1.0 - np.array([share_a, share_b]),
    )
    price_m = price_yd * M_PER_YD
    return any(carry_worth(known, (k, k)).net_m(price_m) > 0.0 for k in range(1, LOOK_AHEAD + 1))


def rules() -> dict[str, Rule]:
    """List every rule of the tables by name."""
    named = {f"{n}+{n} model": fixed(n) for n in (3, 5, 10, 15)}
    named |= {f"value, ball worth {price} yd": by_value(price) for price in PRICES_YD}
    named |= {"stop at 90 %, at most 24": at_chance(0.90, 12), "stop at 90 %, at most 30": at_chance(0.90)}
    return named | {"stop at 95 %, at most 30": at_chance(0.95)}


class Outcome:
    """What a rule did over many tests: arrays of true gap, stated chance, choice right, balls."""

    def __init__(self, rule: Rule, tests: Sequence[Result]) -> None:
        stops = [rule(test["beliefs"]) for test in tests]
        ends = [test["beliefs"][i] for test, i in zip(tests, stops, strict=True)]
        self.d = np.array([test["d"] for test in tests])
        chance = np.array([end[2] for end in ends])
        self.stated = np.maximum(chance, 1.0 - chance)
        self.wrong = np.where(self.d == 0.0, False, (chance > 0.5) != (self.d > 0.0))
        self.balls = 2.0 * np.array([PAIRS[i] for i in stops])

    @property
    def regret(self) -> float:
        """Mean yards given away by wrong choices."""
        return float(np.mean(np.abs(self.d) * self.wrong))

    def row(self) -> list[str]:
        """Write balls, wrong choices (all; gaps of 5 yd and more), regret, and stated : right by bin."""
        far = np.abs(self.d) >= 5.0
        error = float(np.std(np.abs(self.d) * self.wrong) / np.sqrt(len(self.d)))
        parts = [f"{self.balls.mean():.1f}", share(int(self.wrong.sum()), len(self.d))]
        parts += [share(int(self.wrong[far].sum()), int(far.sum())), f"{self.regret:.2f} ({error:.2f})"]
        return parts + [self.calibration(low, high) for low, high in BINS]

    def calibration(self, low: float, high: float) -> str:
        """Write mean stated chance : share right (cases) of one bin."""
        here = (self.stated >= low) & ((self.stated < high) | (high == 1.0))
        if not here.any():
            return "-"
        return f"{100 * self.stated[here].mean():.1f} : {100 * (~self.wrong[here]).mean():.1f} ({here.sum()})"


def population_table(tests: Sequence[Result]) -> str:
    """Write every rule over the population."""
    rows = [[name, *Outcome(rule, tests).row()] for name, rule in rules().items()]
    bins = [f"stated : right, {100 * low:.0f}-{100 * high:.0f}" for low, high in BINS]
    return table(["rule", "balls", "wrong %", "wrong, gap >= 5 yd %", "regret yd (s.e.)", *bins], rows)


def saving_table(tests: Sequence[Result]) -> str:
    """Write the fixed number of balls that has the regret of each value rule, between pairs by a line."""
    fixed_regret = [Outcome(fixed(n), tests).regret for n in PAIRS]
    smooth = np.minimum.accumulate(fixed_regret)
    rows = []
    for price in PRICES_YD:
        found = Outcome(by_value(price), tests)
        beyond = found.regret < smooth[-1]
        needed = float(np.interp(-found.regret, -smooth, [2.0 * n for n in PAIRS]))
        saved = f"{100 * (1 - found.balls.mean() / needed):.0f}"
        mark = "> " if beyond else ""
        figures = [
            f"{found.balls.mean():.1f}",
            f"{found.regret:.2f}",
            f"{mark}{needed:.1f}",
            f"{mark}{saved}",
        ]
        rows.append([price, *figures])
    return table(["ball worth yd", "balls", "regret yd", "fixed balls for it", "fewer %"], rows)


def identical_table(tests: Sequence[Result]) -> str:
    """Write how often a rule ends at least 90 % sure between two identical clubs."""
    rows = []
    for name, rule in rules().items():
        found = Outcome(rule, tests)
        sure = int((found.stated >= 0.90).sum())
        rows.append([name, f"{found.balls.mean():.1f}", share(sure, len(found.d))])
    return table(["rule", "balls", "falsely >= 90 % sure, %"], rows)


def stated_table(results: Mapping[str, Sequence[Result]]) -> str:
    """Write wrong choices and balls at stated gaps, mean over the handicaps."""
    rows = []
    for name, rule in rules().items():
        row = [name]
        for gap in GAPS_YD:
            tests = [t for h in HANDICAPS for t in results.get(f"gap {gap:.0f}, hcp {h:.0f}", ())]
            if tests:
                found = Outcome(rule, tests)
                row.append(f"{100 * found.wrong.mean():.0f} ({found.balls.mean():.1f})")
        rows.append(row)
    return table(["rule", *(f"{gap:.0f} yd" for gap in GAPS_YD)], rows)


def main() -> None:
    """Run the cells and print the tables."""
    options = arguments(__doc__ or "", 1500).parse_args()
    banner()
    print("commit", commit())
    results = run_cells("decisions", chosen(cells(), options), work, options)
    for name, tests in results.items():
        if name == "population":
            print(f"\n{len(tests)} tests\n\n{population_table(tests)}\n\n{saving_table(tests)}")
        if name == "identical":
            print(f"\n{len(tests)} tests of identical clubs\n\n{identical_table(tests)}")
    if any(name.startswith("gap") for name in results):
        print(f"\nWrong % (balls) at stated gaps\n\n{stated_table(results)}")


if __name__ == "__main__":
    main()
