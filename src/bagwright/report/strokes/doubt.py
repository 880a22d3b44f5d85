"""How well the shots know the strokes: the same round from shots drawn anew out of those that were hit.

The bootstrap of Efron (1979), "Bootstrap methods: another look at the jackknife", Annals of Statistics 7(1):
within each visit, club and swing as many shots are drawn with replacement as there are. What handicap and
lofts stand in for where nothing was hit is the same in every draw, so it is not in this doubt.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from bagwright.shots.record import ShotTable

DRAWS = 5
"""Rounds from drawn shots: each takes as long as the round itself; a standard deviation of five is itself
uncertain by a third (1 / sqrt(2 (n - 1)))."""


@dataclass(frozen=True, slots=True)
class Doubt:
    """Standard deviation of expected strokes over the draws: of the round, and of each hole."""

    draws: int
    strokes: float
    holes: Mapping[int, float]

    def plain(self) -> dict[str, Any]:
        """As JSON has it."""
        return {
            "draws": self.draws,
            "strokes": self.strokes,
            "holes": {str(number): sd for number, sd in self.holes.items()},
        }

    @classmethod
    def of(cls, kept: Mapping[str, Any]) -> Doubt:
        """The same again."""
        holes = {int(number): float(sd) for number, sd in kept["holes"].items()}
        return cls(int(kept["draws"]), float(kept["strokes"]), holes)


def drawn_anew(table: ShotTable, rng: np.random.Generator) -> ShotTable:
    """Draw as many shots with replacement within each visit, club and swing."""
    groups: dict[tuple[str, ...], list[int]] = {}
    keys = zip(table.text("visit"), table.text("club"), table.text("swing"), strict=True)
    for i, key in enumerate(keys):
        groups.setdefault(key, []).append(i)
    drawn = [int(k) for rows in groups.values() for k in np.sort(rng.choice(rows, size=len(rows)))]
    return ShotTable.of([table.shot(i) for i in drawn])


def doubt_of(draws: Sequence[Mapping[int, float]]) -> Doubt:
    """The spread over the draws, each the strokes of every hole. Raises ValueError for fewer than two."""
    if len(draws) < 2:
        raise ValueError("a spread needs two draws or more")
    holes = {number: _sd([draw[number] for draw in draws]) for number in draws[0]}
    return Doubt(len(draws), _sd([math.fsum(draw.values()) for draw in draws]), holes)


def _sd(values: Sequence[float]) -> float:
    return float(np.std(values, ddof=1))
