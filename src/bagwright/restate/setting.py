"""Where shots are hit: air, wind, ball and turf."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from bagwright.air import CALM, STANDARD, Air, Wind
from bagwright.errors import InputError
from bagwright.estimate import Estimate
from bagwright.turf import FAIRWAY, Turf

BallName = Literal["tour", "range", "soft"]

BALL_FACTORS: dict[str, Estimate] = {
    "tour": Estimate(1.0, 1.0, 1.0),
    "range": Estimate(0.93, 0.88, 0.98),
    "soft": Estimate(0.98, 0.96, 1.0),
}
"""Carry of a ball over that of a tour ball from the same strike: common practice, no source."""


@dataclass(frozen=True, slots=True)
class Setting:
    """Air, wind, ball and turf of shots. Standard air, no wind, a tour ball and a fairway unless said.

    Raises InputError for anything that is not one of those.
    """

    air: Air = STANDARD
    wind: Wind = CALM
    ball: BallName = "tour"
    turf: Turf = FAIRWAY

    def __post_init__(self) -> None:
        for name, kind in (("air", Air), ("wind", Wind), ("turf", Turf)):
            value = getattr(self, name)
            if not isinstance(value, kind):
                raise InputError(
                    f"setting: {name} = {str(value)[:40]!r} is no {kind.__name__}.",
                    f"Give a bagwright {kind.__name__}.",
                )
        if self.ball not in tuple(BALL_FACTORS):
            raise InputError(
                f"setting: ball = {str(self.ball)[:40]!r} is not known.", f"Known: {', '.join(BALL_FACTORS)}."
            )

    @property
    def ball_factor(self) -> float:
        """Carry with this ball over that with a tour ball."""
        return BALL_FACTORS[self.ball].value
