"""From a bag, its player and a fit to the kernels of every shot."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence

from bagwright.bag.club import Bag, Club, Player
from bagwright.course.lies import Lie
from bagwright.dispersion import prior as p
from bagwright.dispersion.dispersions import Dispersions
from bagwright.dispersion.measured import solid_mean
from bagwright.strokes import short_game
from bagwright.strokes.ahead import Ahead, ahead_of
from bagwright.strokes.kernel import UNMEASURED, Kernel, Strike
from bagwright.strokes.patterns import Shot
from bagwright.strokes.rules import not_from

SWINGS = ("stock", "gripped-down", "three-quarter")
"""Swings that every club has, beside those it was hit with."""
_KIND_LOFT = {"driver": 10.5, "wood": 17.0, "hybrid": 22.5, "iron": 33.5, "wedge": 52.0}
"""Loft where nothing but the kind is known: common practice, no source."""


def loft_of(club: Club) -> float:
    """Loft in degrees: measured, stamped, usual for its number, or of its kind."""
    if club.loft_deg is not None:
        return club.loft_deg
    usual = p.usual_loft_deg(club.kind, club.number)
    return usual if usual is not None else _KIND_LOFT.get(club.kind, 33.5)


def swings_of(club: Club, fits: Dispersions, swings: Sequence[str]) -> tuple[str, ...]:
    """Swings of a club: the given ones, and those it was hit with from a good lie, unchanged."""
    hit = [
        swing for name, swing in fits if name == club.name and " after " not in swing and "from " not in swing
    ]
    return tuple(dict.fromkeys([*swings, *hit]))


def full_kernels(
    bag: Bag, fits: Dispersions, own: Mapping[str, Iterable[str]], swings: Sequence[str]
) -> list[Kernel]:
    """Kernels of every swing of every club that is carried or a candidate, without the putter."""
    found = []
    for club in bag.with_status("carried", "candidate"):
        if club.kind == "putter":
            continue
        never = not_from(club, own.get(club.name, ()))
        for swing in swings_of(club, fits, swings):
            ahead = ahead_of(fits, club, swing)
            found.append(_kernel(club, swing, ahead, never, strike_of(fits, (club.name, swing))))
    return found


def _kernel(club: Club, swing: str, ahead: Ahead, never: frozenset[Lie], strike: Strike) -> Kernel:
    return Kernel(
        shot=Shot(club.name, swing), kind=club.kind, loft_deg=loft_of(club),
        x_m=max(ahead.carry.mean_m, 1.0), y_m=ahead.side.mean_m,
        x_var_m2=ahead.carry.var_m2, y_var_m2=ahead.side.var_m2, x_ball_m=math.sqrt(ahead.carry.ball_var_m2),
        y_ball_m=math.sqrt(ahead.side.ball_var_m2), x_tail=ahead.carry.tail, y_tail=ahead.side.tail,
        skew=0.5 * (ahead.carry.skew + ahead.side.skew), tie=ahead.tie, correlation=ahead.correlation,
        mishit=ahead.mishit, loss_m=p.MISHIT_LOSS * ahead.expected_m,
        loss_sd_m=p.MISHIT_LOSS_SD * ahead.expected_m, side_factor=p.MISHIT_SIDE_FACTOR,
        n_shots=ahead.n_shots, strike=strike, not_from=never, bounce_deg=club.bounce_deg, sole=club.sole,
    )  # fmt: skip


def strike_of(fits: Dispersions, key: tuple[str, str]) -> Strike:
    """Weighted means of what was measured at the strike and in flight, solid balls only."""
    if key not in fits:
        return UNMEASURED
    fit = fits[key]
    index = fits.session.cells[key].shots.index
    solid = fits.solid_probability[index]
    found: dict[str, float | None] = {}
    for name, cv in (("ball_speed_mps", 0.03), ("launch_rad", 0.08), ("spin_rpm", 0.08)):
        column = fits.table.measures.get(name)
        mean = None if column is None else solid_mean(column[index], solid, cv)
        found[name] = None if mean is None or mean.value <= 0.0 else mean.value
    for name, value in (("apex_m", fit.apex_m), ("descent_rad", fit.descent_rad)):
        found[name] = None if value is None or value.value <= 0.0 else value.value
    return Strike(**found)


def partial_kernels(full: Sequence[Kernel], handicap: float) -> list[Kernel]:
    """Pitches and chips at the player's lengths with each wedge (without one, with the most lofted club).

    The player chooses the length, so the doubt of the full carry is none of a pitch's; towards the full
    length the spread from ball to ball becomes the wedge's own.
    """
    stock = [kernel for kernel in full if kernel.shot.swing == "stock"]
    wedges = [kernel for kernel in stock if kernel.kind == "wedge"]
    if not wedges and stock:
        wedges = [max(stock, key=lambda kernel: kernel.loft_deg)]
    return [
        partial_kernel(wedge, length, handicap)
        for wedge in wedges
        for length in short_game.ladder_m(handicap)
        if length <= short_game.HIGHEST * wedge.x_m
    ]


def partial_kernel(wedge: Kernel, length_m: float, handicap: float) -> Kernel:
    """One pitch: spread from ball to ball only on its way, by lie, is set where the lies come in."""
    share = length_m / wedge.x_m
    return Kernel(
        shot=Shot(wedge.shot.club, wedge.shot.swing, length_m), kind=wedge.kind, loft_deg=wedge.loft_deg,
        x_m=length_m, y_m=wedge.y_m * share, x_var_m2=0.0, y_var_m2=0.0, x_ball_m=wedge.x_ball_m,
        y_ball_m=wedge.y_ball_m, x_tail=wedge.x_tail, y_tail=wedge.y_tail, skew=wedge.skew, tie=wedge.tie,
        correlation=0.0, mishit=short_game.mishit_share(handicap), loss_m=short_game.LOSS * length_m,
        loss_sd_m=short_game.LOSS_SD * length_m, side_factor=short_game.SIDE_FACTOR, n_shots=wedge.n_shots,
        strike=UNMEASURED, not_from=wedge.not_from, partial=True, full_m=wedge.x_m,
        bounce_deg=wedge.bounce_deg, sole=wedge.sole,
    )  # fmt: skip


def handicap_of(player: Player) -> float:
    """Handicap for short game and putting: -6 to 54, the middle of what is likely where none is known."""
    handicap = player.handicap if player.handicap is not None else p.UNKNOWN_HANDICAP[0]
    return min(max(handicap, -6.0), 54.0)
