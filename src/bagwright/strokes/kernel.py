"""One shot of a player before the lie, the ground and the wind come to it."""

from __future__ import annotations

from dataclasses import dataclass

from bagwright.course.lies import Lie
from bagwright.strokes.patterns import Shot


@dataclass(frozen=True, slots=True)
class Strike:
    """What was measured at the strike and in flight, means of solid balls; None where nothing was."""

    ball_speed_mps: float | None = None
    launch_rad: float | None = None
    spin_rpm: float | None = None
    apex_m: float | None = None
    descent_rad: float | None = None


UNMEASURED = Strike()


@dataclass(frozen=True, slots=True)
class Kernel:
    """Where the next balls of one shot land from a good lie, level, in the air of the visit; metres.

    `x_m`, `y_m` are the centre of solid strikes, `x_var_m2`, `y_var_m2` the variance of the next one: spread,
    doubt of the centre and what a day moves together; `x_ball_m`, `y_ball_m` the sds from ball to ball alone.
    `x_tail`, `y_tail`, `skew`, `tie` describe how far that variance is in doubt (see `tails.three_parts`). A
    mishit is `loss_m` shorter, `loss_sd_m` wider in length and `side_factor` times as wide. `partial` marks a
    pitch or chip: its `x_m` is its whole length on a green (carry and run), its spread by lie that of the
    short game. `n_shots` is how many balls it rests on, `not_from` the lies it is not played from.
    """

    shot: Shot
    kind: str
    loft_deg: float
    x_m: float
    y_m: float
    x_var_m2: float
    y_var_m2: float
    x_ball_m: float
    y_ball_m: float
    x_tail: float
    y_tail: float
    skew: float
    tie: float
    correlation: float
    mishit: float
    loss_m: float
    loss_sd_m: float
    side_factor: float = 2.0
    n_shots: int = 0
    strike: Strike = UNMEASURED
    not_from: frozenset[Lie] = frozenset()
    partial: bool = False
    full_m: float = 0.0
    """Full carry of the wedge of a pitch."""
    bounce_deg: float | None = None
    sole: str | None = None
