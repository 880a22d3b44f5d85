"""Where a player's shots come down on a course: the table that the solver reads.

A pattern is a mixture of normal parts in the frame of the shot: x along the aim, y to the right, metres
from the ball, for a level landing in still air (or in the air of the visit). Beside it stand what the
ground and the wind change: the descent (a landing h metres higher comes down h / tan(descent) shorter), the
run by the lie of the landing, and the shift by the wind as a function of its direction.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from bagwright.course.lies import PLAYED_FROM
from bagwright.units import System, distance_unit

Floats = NDArray[np.float64]

PARTS = 4
"""Normal parts of a pattern: up to three of solid shots (a spread that is not known exactly has heavy tails)
and one of mishits; unused parts weigh 0.
"""

PART_FIELDS = ("weight", "x_m", "y_m", "x_sd_m", "y_sd_m", "correlation")
RUN_LIES = ("fairway", "rough", "green", "soft")
"""Classes of landing lies for the run: TEE and FAIRWAY; ROUGH; GREEN; DEEP, SAND, RECOVERY. Nothing runs in
a penalty area or out of bounds: there the place of the first crossing counts."""


@dataclass(frozen=True, slots=True)
class Shot:
    """One action: a club and a swing, and for a partial shot its intended length."""

    club: str
    swing: str
    length_m: float | None = None

    @property
    def words(self) -> str:
        """Say it as it is kept, in metres: `7 iron`, `54 wedge half`, `58 wedge 18 m`."""
        return self.said("metres")

    def said(self, system: System) -> str:
        """Say it in the reader's unit: `58 wedge 20 yd`."""
        if self.length_m is not None:
            unit = distance_unit(system)
            return f"{self.club} {self.length_m / unit.factor:.0f} {unit.name}"
        return self.club if self.swing == "stock" else f"{self.club} {self.swing}"


@dataclass(frozen=True, slots=True)
class PatternTable:
    """All shots of a player from every lie; arrays over (lie of `PLAYED_FROM`, shot).

    `parts` (6, n, PARTS, 6) with the fields of `PART_FIELDS`; `allowed` (6, n) says what a lie and the
    player's own rules permit; `tan_descent` (6, n); `run_m` and `run_sd_m` (6, n, 4) in the order of
    `RUN_LIES`; `wind_x_m` (6, n, 3) the shift of carry a0 + a1 cos t + a2 cos 2t and `wind_y_m` (6, n, 2)
    the shift to the right b1 sin t + b2 sin 2t, where t is the direction that the wind comes from,
    clockwise from the shot's direction (0 head, pi/2 from the right); zeros in calm air. `wind_from_rad` is
    where the wind comes from, clockwise from north, None in calm air. `putts` (k,) and `putts_square` (k,)
    are mean and mean square of putts from `putt_m` (k,) metres. `said` says what was assumed, in words.
    """

    shots: tuple[Shot, ...]
    parts: Floats
    allowed: NDArray[np.bool_]
    tan_descent: Floats
    run_m: Floats
    run_sd_m: Floats
    wind_x_m: Floats
    wind_y_m: Floats
    wind_from_rad: float | None
    putt_m: Floats
    putts: Floats
    putts_square: Floats
    said: tuple[str, ...] = ()

    def __post_init__(self) -> None:
        """Refuse tables of the wrong shape and parts that are no distribution."""
        n, lies = len(self.shots), len(PLAYED_FROM)
        shapes = {
            "parts": (lies, n, PARTS, len(PART_FIELDS)), "allowed": (lies, n), "tan_descent": (lies, n),
            "run_m": (lies, n, len(RUN_LIES)), "run_sd_m": (lies, n, len(RUN_LIES)),
            "wind_x_m": (lies, n, 3), "wind_y_m": (lies, n, 2),
        }  # fmt: skip
        for name, shape in shapes.items():
            found = getattr(self, name).shape
            if found != shape:
                raise ValueError(f"{name} has the shape {found}, but must have {shape}")
        weights = self.parts[..., 0].sum(-1)[self.allowed]
        if not np.allclose(weights, 1.0, atol=1e-9) or bool((self.parts[..., 0] < 0).any()):
            raise ValueError("the weights of a pattern's parts must be at least 0 and add up to 1")

    @property
    def n(self) -> int:
        """How many shots."""
        return len(self.shots)
