"""The whole way with fitted dispersions: simulated shots in, distances out."""

import time
from collections import Counter

import numpy as np
import pytest

from bagwright.dispersion.fit import fit_dispersion
from bagwright.distances import distances
from bagwright.shots.record import Shot, ShotTable
from bagwright.units import M_PER_YD
from tests.unit.distances.players import FAST, JUNIOR, SENIOR, WOMAN, Line, bag_of


def shots_of(lines: tuple[Line, ...], handicap: float, per_club: int, seed: int) -> ShotTable:
    """Solid strikes around the typed carries, one in ten a mishit of about four fifths; clubs in turn."""
    rng = np.random.default_rng(seed)
    shots, order = [], 0
    for _ in range(per_club):
        for name, _, _, _, carry in lines:
            order += 1
            spread = ((0.035 + 0.0014 * handicap) ** 2 * carry**2 + (3.5 + 0.1 * handicap) ** 2) ** 0.5
            length = carry * (0.8 if rng.random() < 0.1 else 1.0) + spread * rng.standard_normal()
            side = np.radians(2.9 + 0.16 * handicap) * carry * rng.standard_normal()
            shots.append(
                Shot(
                    name, order, visit="v", carry_m=float(length * M_PER_YD), offline_m=float(side * M_PER_YD)
                )
            )
    return ShotTable.of(shots)


PLAYERS: dict[str, tuple[tuple[Line, ...], float, float, float | None]] = {
    "55 mph junior": (JUNIOR, 55.0, 36.0, 13.0),
    "65 mph woman": (WOMAN, 65.0, 24.0, None),
    "75 mph senior": (SENIOR, 75.0, 18.0, 70.0),
    "115 mph player": (FAST, 115.0, 2.0, None),
}


@pytest.mark.parametrize("player", PLAYERS)
def test_findings_of_real_fits_over_ten_visits(player: str) -> None:
    """Fourteen balls a club, ten visits: what must be found nearly always, and what nearly never."""
    lines, speed, handicap, age = PLAYERS[player]
    bag = bag_of(lines, speed, handicap, age)
    kinds: Counter[str] = Counter()
    inside = []
    for seed in range(10):
        result = distances(fit_dispersion(shots_of(lines, handicap, 14, seed), bag.player, bag), bag)
        kinds.update({finding.kind for finding in result.findings})
        typed = {name: carry * M_PER_YD for name, _, _, _, carry in lines}
        inside += [row.carry_m.low <= typed[row.club] <= row.carry_m.high for row in result.clubs]
    assert len(inside) == 10 * len(lines)
    assert 0.82 <= np.mean(inside) <= 1.0, "90 % ranges hold the typed carries about nine times in ten"
    if player == "115 mph player":
        assert kinds["set size"] == 0
        assert kinds["long end"] <= 1, "no false bunching"
        assert kinds["gap"] + kinds["overlap"] <= 2
    else:
        assert kinds["set size"] == 10
        assert kinds["long end"] >= 7
        assert kinds["gap"] <= 1


def test_a_club_never_hit_is_predicted_from_the_rest() -> None:
    bag = bag_of(FAST, 115.0, 2.0)
    hit = tuple(line for line in FAST if line[0] != "7 iron")
    result = distances(fit_dispersion(shots_of(hit, 2.0, 8, 3), bag.player, bag), bag)
    row = next(row for row in result.clubs if row.club == "7 iron")
    assert row.used == "predicted"
    assert row.carry_m.low < 170 * M_PER_YD < row.carry_m.high
    assert [s.longer for s in result.steps] == [line[0] for line in FAST[:-1]]


def test_a_bag_of_thirteen_clubs_takes_a_fraction_of_a_second() -> None:
    bag = bag_of(FAST, 115.0, 2.0)
    fits = fit_dispersion(shots_of(FAST, 2.0, 15, 1), bag.player, bag)
    distances(fits, bag)
    started = time.perf_counter()
    distances(fits, bag)
    assert time.perf_counter() - started < 1.0, (
        "measured 0.05 s; twenty times that leaves room for a busy machine"
    )
