"""What the solver gives: expected strokes of holes and a round, values and decisions at every spot."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import asdict, dataclass, field, replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from bagwright.strokes.patterns import Shot

Place = tuple[float, float]
"""Metres in the hole's frame: x from the tee towards the pin, y to the right."""
ARRAYS = ("value", "shot", "aim")


@dataclass(frozen=True, slots=True)
class Demand:
    """How often a shot is played from a lie and a band of distances to the pin, times a round."""

    shot: int
    """Number of the shot in the result's `shots`."""
    lie: int
    low_m: float
    high_m: float
    """The band: low <= distance < high; infinite in the last."""
    times: float


@dataclass(frozen=True, slots=True)
class Spot:
    """The decision at one place: strokes to hole out, and the shot with its aim (none on a green)."""

    strokes: float
    shot: int | None
    aim_rad: float | None


@dataclass(frozen=True, slots=True)
class HoleStrokes:
    """One hole under this model and these inputs.

    `strokes` are expected from the tee, `sd` is their spread from round to round (from `rounds` rounds
    played by the model's own dice). `residual` is the mean, over played rounds, of what the exact definition
    of every shot adds to the strokes; `error_bound` is its size and three standard errors of it: how far
    `strokes` may be from what these decisions cost in the exact model. It says nothing of how well the player
    is known. `change` is the largest change of a value in the last sweep.
    """

    number: int
    par: int
    stroke_index: int | None
    tee: str
    length_m: float
    tee_m: Place
    pin_m: Place
    corner_m: Place
    cell_m: float
    strokes: float
    sd: float
    rounds: int
    error_bound: float
    residual: float
    change: float
    converged: bool
    sweeps: int
    cells: int
    seconds: float
    first: tuple[int, float]
    """Number and direction of the shot from the tee."""
    demand: tuple[Demand, ...]
    value: NDArray[np.float32] = field(repr=False, compare=False)
    """(nx, ny) strokes to hole out; NaN in penalty areas and out of bounds."""
    shot: NDArray[np.int16] = field(repr=False, compare=False)
    """(nx, ny) number of the chosen shot; -1 on greens, in penalty areas and out of bounds."""
    aim: NDArray[np.float32] = field(repr=False, compare=False)
    """(nx, ny) its direction in radians from x towards y; NaN where there is none."""
    local_rule_e5: bool = False
    """Whether a ball out of bounds was dropped at the fairway for two strokes (Model Local Rule E-5)."""

    def at(self, x_m: float, y_m: float) -> Spot | None:
        """The decision at a place; None outside, in a penalty area and out of bounds."""
        i = math.floor((x_m - self.corner_m[0]) / self.cell_m)
        j = math.floor((y_m - self.corner_m[1]) / self.cell_m)
        nx, ny = self.value.shape
        if not (0 <= i < nx and 0 <= j < ny) or math.isnan(self.value[i, j]):
            return None
        k = int(self.shot[i, j])
        return Spot(float(self.value[i, j]), *((None, None) if k < 0 else (k, float(self.aim[i, j]))))


@dataclass(frozen=True, slots=True)
class Strokes:
    """All holes of a round with one bag, from one tee, in one wind."""

    holes: tuple[HoleStrokes, ...]
    shots: tuple[Shot, ...]
    said: tuple[str, ...]
    """What was assumed, in words."""
    seconds: float

    @property
    def strokes(self) -> float:
        """Expected strokes of the round."""
        return math.fsum(hole.strokes for hole in self.holes)

    @property
    def sd(self) -> float:
        """Spread from round to round: holes are independent once the player's patterns are given."""
        return math.sqrt(math.fsum(hole.sd**2 for hole in self.holes))

    @property
    def error_bound(self) -> float:
        """The holes' bounds together."""
        return math.fsum(hole.error_bound for hole in self.holes)

    @property
    def converged(self) -> bool:
        """True where every hole is."""
        return all(hole.converged for hole in self.holes)

    @property
    def demand(self) -> tuple[Demand, ...]:
        """The holes' demand together, the most frequent first."""
        total: dict[tuple[int, int, float, float], float] = {}
        for one in (one for hole in self.holes for one in hole.demand):
            key = (one.shot, one.lie, one.low_m, one.high_m)
            total[key] = total.get(key, 0.0) + one.times
        return tuple(Demand(*key, times) for key, times in sorted(total.items(), key=lambda pair: -pair[1]))

    def hole(self, number: int) -> HoleStrokes:
        """A hole by its number; KeyError where there is none."""
        for hole in self.holes:
            if hole.number == number:
                return hole
        raise KeyError(number)

    def plain(self) -> dict[str, Any]:
        """Everything but the arrays, as JSON has it (an endless band ends at null)."""
        return {
            "shots": [asdict(shot) for shot in self.shots],
            "said": list(self.said),
            "seconds": self.seconds,
            "holes": [_plain(hole) for hole in self.holes],
        }

    def arrays(self) -> dict[str, NDArray[Any]]:
        """The arrays of every hole, named `value-7`, `shot-7`, `aim-7`."""
        return {f"{name}-{hole.number}": getattr(hole, name) for hole in self.holes for name in ARRAYS}

    @classmethod
    def of(cls, plain: Mapping[str, Any], arrays: Mapping[str, NDArray[Any]]) -> Strokes:
        """The result again from what was kept; a hole without its arrays has empty ones."""
        return cls(
            tuple(_hole(one, arrays) for one in plain["holes"]),
            tuple(Shot(**one) for one in plain["shots"]),
            tuple(plain["said"]),
            plain["seconds"],
        )


def _plain(hole: HoleStrokes) -> dict[str, Any]:
    bare = replace(hole, value=_EMPTY[0], shot=_EMPTY[1], aim=_EMPTY[2])
    found = asdict(bare)
    for name in ARRAYS:
        del found[name]
    for one in found["demand"]:
        one["high_m"] = None if math.isinf(one["high_m"]) else one["high_m"]
    return {key: list(value) if isinstance(value, tuple) else value for key, value in found.items()}


_EMPTY = (np.zeros((0, 0), np.float32), np.zeros((0, 0), np.int16), np.zeros((0, 0), np.float32))


def _hole(plain: Mapping[str, Any], arrays: Mapping[str, NDArray[Any]]) -> HoleStrokes:
    found = dict(plain)
    for name in ("tee_m", "pin_m", "corner_m"):
        found[name] = (float(plain[name][0]), float(plain[name][1]))
    found["first"] = (int(plain["first"][0]), float(plain["first"][1]))
    found["demand"] = tuple(
        Demand(**{**one, "high_m": math.inf if one["high_m"] is None else one["high_m"]})
        for one in plain["demand"]
    )
    value, shot, aim = (arrays.get(f"{name}-{plain['number']}") for name in ARRAYS)
    found["value"] = _EMPTY[0] if value is None else value.astype(np.float32)
    found["shot"] = _EMPTY[1] if shot is None else shot.astype(np.int16)
    found["aim"] = _EMPTY[2] if aim is None else aim.astype(np.float32)
    return HoleStrokes(**found)
