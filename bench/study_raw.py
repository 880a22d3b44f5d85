"""What plain averages do, with no model: wrong choices, balls needed, three-shot practice, side bias.

Golfers are drawn from the population of `bench.world` (their handicap where a row names one, else uniform on
0..25); "re-hit" practice hits again after every mishit, which a player is taken to notice.

    .venv/bin/python -m bench.study_raw
"""

from __future__ import annotations

import zlib
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.special import ndtri

from bench._machine import banner
from bench._study import commit, table
from bench.world import (
    Floats,
    World,
    alternated,
    carry_sd_share,
    drift_share,
    mishit_share,
    side_sd_rad,
)

MILD = World("mild", wander_sd=0.012, warm_up=0.03, fatigue=0.015)
"""Drift of the decision tables; six balls are hit before the first that counts."""
STILL = World("still")
BALLS_BEFORE = 6
HANDICAPS = (2.0, 10.0, 20.0)
GAPS_YD = (3.0, 5.0, 8.0, 10.0, 15.0)
TESTS = 4000
SPARE = 40
"""Balls drawn a club where three good ones are waited for."""
Bools = NDArray[np.bool_]


@dataclass(frozen=True)
class Pair:
    """Many tests of two clubs A and B: carries (tests, balls), mishits likewise, which club each ball was."""

    carry: Floats
    mishit: Bools
    which: NDArray[np.int64]
    centre: Floats
    """True centres of solid strikes, (tests, 2)."""
    sd: Floats
    """True carry sds of solid strikes, (tests, 2)."""

    def mean(self, club: int, balls: Bools | None = None) -> Floats:
        """Average one club's carries over all or the chosen balls, (tests,); NaN where there are none."""
        mine = self.which == club
        weight = np.ones_like(self.mishit[:, mine]) if balls is None else balls[:, mine]
        with np.errstate(invalid="ignore"):
            return np.asarray((self.carry[:, mine] * weight).sum(1) / weight.sum(1))


def rng_of(name: str) -> np.random.Generator:
    """Make the generator of one table row."""
    return np.random.default_rng([20261125, zlib.crc32(name.encode())])


def draw_pairs(
    rng: np.random.Generator,
    world: World,
    handicap: Floats,
    expected_yd: Floats,
    gap_yd: Floats,
    which: list[int],
    good: int = 0,
) -> Pair:
    """Hit two clubs in one order, for many golfers at once; the second's solid centre is longer by the gap.

    With `good` the second club's first ball comes right after the first club's good-th ball without a mishit.
    """
    tests, balls = len(handicap), len(which)
    clubs = np.asarray(which)
    sd = carry_sd_share_of(handicap) * expected_yd * np.exp(0.25 * rng.standard_normal(tests))
    club_sd = sd[:, None] * np.exp(0.15 * rng.standard_normal((tests, 2)))
    logit = np.log(mishit_share_of(handicap) / (1.0 - mishit_share_of(handicap)))
    share = 1.0 / (1.0 + np.exp(-(logit + 0.5 * rng.standard_normal(tests))))
    middle = expected_yd * (1.0 + 0.05 * rng.standard_normal(tests))
    centre = middle[:, None] + gap_yd[:, None] * np.array([-0.5, 0.5])
    mishit = rng.random((tests, balls)) < share[:, None]
    loss = np.minimum(0.08 + rng.exponential(0.12, (tests, balls)), 0.75)
    place = np.tile(np.arange(balls), (tests, 1))
    if good:
        place[:, clubs == 1] -= (balls // 2 - balls_until(mishit[:, clubs == 0], good))[:, None]
    shift = drift_share(world, np.float64(1.0) * place + BALLS_BEFORE)
    shift = shift + np.take_along_axis(wander(rng, world, tests, balls), place, axis=1)
    noise = club_sd[:, clubs] * rng.standard_normal((tests, balls))
    return Pair(centre[:, clubs] * (1.0 + shift - mishit * loss) + noise, mishit, clubs, centre, club_sd)


def balls_until(mishit: Bools, good: int) -> NDArray[np.int64]:
    """Count the balls of one club hit until so many were no mishits, (tests,)."""
    reached = np.cumsum(~mishit, axis=1) >= good
    if not reached.any(axis=1).all():
        raise AssertionError("too few spare balls were drawn to re-hit every mishit")
    return np.asarray(reached.argmax(axis=1) + 1, dtype=np.int64)


def carry_sd_share_of(handicap: Floats) -> Floats:
    """Apply `carry_sd_share` to many handicaps."""
    return np.array([carry_sd_share(h) for h in handicap])


def mishit_share_of(handicap: Floats) -> Floats:
    """Apply `mishit_share` to many handicaps."""
    return np.array([mishit_share(h) for h in handicap])


def wander(rng: np.random.Generator, world: World, tests: int, balls: int) -> Floats:
    """Form wander of many visits at once, (tests, balls)."""
    steps = rng.standard_normal((tests, balls))
    path = np.zeros((tests, balls))
    for i in range(balls):
        path[:, i] = steps[:, i] if i == 0 else 0.85 * path[:, i - 1] + np.sqrt(1 - 0.85**2) * steps[:, i]
    return world.wander_sd * path


def blocks(n: int) -> list[int]:
    """Order n balls of A, then n of B."""
    return [0] * n + [1] * n


def first_good(pair: Pair, n: int) -> tuple[Bools, Floats]:
    """Choose each club's first n balls that were no mishits, and count the balls hit until then."""
    chosen = np.zeros_like(pair.mishit)
    spent = np.zeros(len(pair.carry))
    for club in (0, 1):
        mine = pair.which == club
        good = ~pair.mishit[:, mine]
        chosen[:, mine] = good & (np.cumsum(good, axis=1) <= n)
        spent += balls_until(pair.mishit[:, mine], n)
    return chosen, spent


def difference(pair: Pair, good: int = 0) -> tuple[Floats, float]:
    """Subtract A's mean from B's and count balls; with `good`, of so many balls a club without mishits."""
    if not good:
        return pair.mean(1) - pair.mean(0), float(pair.carry.shape[1])
    chosen, spent = first_good(pair, good)
    return pair.mean(1, chosen) - pair.mean(0, chosen), float(spent.mean())


DESIGNS: tuple[tuple[str, list[int], int], ...] = (
    ("AAABBB mean", blocks(3), 0),
    ("AAABBB re-hit to 3 good", blocks(SPARE), 3),
    ("5+5 blocks mean", blocks(5), 0),
    ("10+10 blocks mean", blocks(10), 0),
    ("10+10 re-hit to 10 good", blocks(60), 10),
    ("ABBA 3+3 mean", alternated(3), 0),
    ("ABBA 5+5 mean", alternated(5), 0),
    ("ABBA 10+10 mean", alternated(10), 0),
    ("ABBA 20+20 mean", alternated(20), 0),
    ("ABBA 28+28 mean", alternated(28), 0),
)
"""Name, order, and how many good balls a club are hit for (0: every ball counts)."""


def wrong_choices() -> str:
    """Write the wrong-choice table at stated gaps: 180 yd, mean over handicaps 2, 10 and 20."""
    rows = []
    for name, order, good in DESIGNS[:8]:
        row: list[object] = [name]
        for gap in GAPS_YD:
            rng = rng_of(f"wrong {name} {gap}")
            handicap = np.repeat(HANDICAPS, TESTS)
            gaps = gap * rng.choice([-1.0, 1.0], len(handicap))
            pair = draw_pairs(rng, MILD, handicap, np.full(len(handicap), 180.0), gaps, order, good)
            seen, balls = difference(pair, good)
            row.append(f"{100 * np.mean(seen * gaps < 0):.0f}")
        rows.append([*row, f"{balls:.1f}"])
    return table(["design", *(f"{gap:.0f} yd" for gap in GAPS_YD), "balls"], rows)


def population() -> str:
    """Write the table over the whole population: gaps N(0, 8^2) yd, carries 150, 180 and 215 yd."""
    rows = []
    for name, order, good in DESIGNS:
        rng = rng_of(f"population {name}")
        handicap = rng.uniform(0.0, 25.0, 3 * TESTS)
        gaps = 8.0 * rng.standard_normal(3 * TESTS)
        pair = draw_pairs(
            rng, MILD, handicap, rng.choice([150.0, 180.0, 215.0], 3 * TESTS), gaps, order, good
        )
        seen, balls = difference(pair, good)
        wrong = seen * gaps < 0
        far = np.abs(gaps) >= 5.0
        regret = np.mean(np.abs(gaps) * wrong)
        rows.append(
            [
                name,
                f"{balls:.1f}",
                f"{100 * wrong.mean():.0f}",
                f"{100 * wrong[far].mean():.0f}",
                f"{regret:.2f}",
            ]
        )
    return table(["design", "balls", "wrong, all %", "wrong, gap >= 5 yd %", "regret yd"], rows)


GRID = (2, 3, 4, 5, 6, 7, 8, 9, 10, 12, 14, 16, 20, 24, 28, 32, 40, 50, 60, 80, 100, 130)


def needed(handicap: float, expected_yd: float, gap: float) -> list[str]:
    """Balls a club for 90 % right: all balls, those within 85 % of the longest, and solid strikes only."""
    rng = rng_of(f"needed {handicap} {expected_yd} {gap}")
    order = blocks(GRID[-1])
    pair = draw_pairs(
        rng, STILL, np.full(TESTS, handicap), np.full(TESTS, expected_yd), np.full(TESTS, gap), order
    )
    ways: dict[str, list[float]] = {"raw": [], "by eye": [], "solid": []}
    for n in GRID:
        within = np.tile(np.arange(GRID[-1]) < n, 2)[None, :]
        longest = np.stack([pair.carry[:, pair.which == c][:, :n].max(1) for c in (0, 1)], axis=1)[
            :, pair.which
        ]
        for way, balls in (
            ("raw", within & np.ones_like(pair.mishit)),
            ("by eye", within & (pair.carry >= 0.85 * longest)),
            ("solid", within & ~pair.mishit),
        ):
            seen = pair.mean(1, balls) - pair.mean(0, balls)
            right = np.where(np.isnan(seen), 0.5, seen > 0)
            ways[way].append(float(right.mean()))
    return [first_reaching(rights) for rights in ways.values()]


def first_reaching(rights: list[float]) -> str:
    """Find the first count from which on at least 90 % are right, at every larger count too."""
    good = np.array(rights) >= 0.90
    if not good[-1]:
        return f">{GRID[-1]}"
    bad = np.flatnonzero(~good)
    return str(GRID[0 if len(bad) == 0 else int(bad[-1]) + 1])


def balls_needed() -> str:
    """Write the balls-needed table: raw / by eye / solid only."""
    rows = []
    for handicap in HANDICAPS:
        for expected in (150.0, 180.0, 230.0):
            shown = [" / ".join(needed(handicap, expected, gap)) for gap in (5.0, 8.0, 10.0, 15.0)]
            rows.append([f"{handicap:.0f}", f"{expected:.0f}", *shown])
    return table(["handicap", "carry yd", "5 yd", "8 yd", "10 yd", "15 yd"], rows)


def side_sd_all(handicap: float, expected_yd: float) -> float:
    """Sd of side over all shots of a typical golfer in yards; mishits are twice as wide."""
    return float(side_sd_rad(handicap) * expected_yd * np.sqrt(1.0 + 3.0 * mishit_share(handicap)))


def side_bias() -> str:
    """Write balls needed to name the side (one club) or the side difference (two), n = (z sd / bias)^2."""
    rows = []
    for clubs in (1, 2):
        for handicap in HANDICAPS:
            sd = side_sd_all(handicap, 180.0) * np.sqrt(clubs)
            shown = [
                " / ".join(str(int(np.ceil((ndtri(p) * sd / bias) ** 2))) for p in (0.80, 0.90, 0.95))
                for bias in (5.0, 8.0, 10.0, 15.0)
            ]
            half = [f"{ndtri(0.95) * side_sd_all(handicap, 180.0) / np.sqrt(n):.0f}" for n in (3, 5, 8, 12)]
            rows.append([clubs, f"{handicap:.0f}", *shown, " / ".join(half)])
    return table(["clubs", "handicap", "5 yd", "8 yd", "10 yd", "15 yd", "± yd at 3/5/8/12"], rows)


def three_shots() -> str:
    """Write what three shots are worth at 180 yd: all three | re-hit to three good."""
    rows = []
    for handicap in HANDICAPS:
        n = 3 * TESTS
        pair = draw_pairs(
            rng_of(f"three {handicap}"),
            STILL,
            np.full(n, handicap),
            np.full(n, 180.0),
            np.zeros(n),
            blocks(SPARE),
        )
        first = np.tile(np.arange(SPARE) < 3, 2)[None, :] & np.ones_like(pair.mishit)
        both = zip(*(three_shot_cells(pair, balls) for balls in (first, first_good(pair, 3)[0])), strict=True)
        ratio = pair.carry[:, :3].std(axis=1, ddof=1) / pair.sd[:, 0]
        low, high = np.quantile(ratio, [0.05, 0.95])
        rows.append([f"{handicap:.0f}", *(" / ".join(texts) for texts in both), f"{low:.2f}-{high:.1f}"])
    apart = ["identical >= 5 yd apart %", "identical >= 10 yd apart %"]
    return table(["handicap", "rmse yd", "off > 5 yd %", "off > 10 yd %", *apart, "sd of 3 over true"], rows)


def three_shot_cells(pair: Pair, balls: Bools) -> list[str]:
    """Compare means of chosen balls with the solid centre, and two identical clubs with each other."""
    means = np.stack([pair.mean(club, balls) for club in (0, 1)], axis=1)
    off = np.abs(means - pair.centre)
    apart = np.abs(means[:, 1] - means[:, 0])
    shares = [(off > 5).mean(), (off > 10).mean(), (apart >= 5).mean(), (apart >= 10).mean()]
    return [f"{np.sqrt((off**2).mean()):.1f}", *(f"{100 * value:.0f}" for value in shares)]


def main() -> None:
    """Print every table."""
    banner()
    print("commit", commit())
    for title, write in (
        ("Wrong club %, 180 yd", wrong_choices),
        ("Whole population", population),
        ("Balls a club for 90 % right: raw / by eye / solid only", balls_needed),
        ("Balls for 80 / 90 / 95 % right about the side, 180 yd", side_bias),
        ("Three shots, 180 yd: all / re-hit to three good", three_shots),
    ):
        print(f"\n{title}\n\n{write()}")


if __name__ == "__main__":
    main()
