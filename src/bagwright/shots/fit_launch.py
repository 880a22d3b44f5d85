"""Measured carry and height of one file against what each strike's own launch figures fly."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from bagwright.shots.centre import centred, group_medians, robust_scale, standardised
from bagwright.shots.chance import bad_chances, distances
from bagwright.shots.device import NOISE, Device, judge_device
from bagwright.shots.strikes import Strikes

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
Bools = NDArray[np.bool_]

Flyer = Callable[[Strikes], tuple[Floats, Floats]]
"""Carries and heights (m) that strikes fly, NaN where the flight gives none."""

CARRY_LIMIT = 3.5
"""Carry is suspect from so many sds of one shot against its club's others.

As 4.5 of the sds that plain residuals show: those of shots around the median that they are part of are some
0.78 of these, with errors that have heavy tails and eight shots a club.
"""
BOTH_LIMIT = 4.25
"""Carry and height together are suspect from this distance; both limits from bench/study_bad_reads.py."""
BETWEEN_CLUBS = (0.04, 0.08)
"""How far the flight law's own error differs from club to club, ln carry and ln height: published laws differ
by -4 to +14 % of carry for one mid iron and -7 to +13 % for a wedge; height is fitted less well still."""
_USUAL = (0.020, 0.042)
_USUAL_WEIGHT = 4.0
_MODEL = 0.015
"""Model, ball and air from shot to shot, ln carry."""
_MODEL_DRIFT = 0.06
"""Error of the law's change for a strike unlike the club's usual one, per ln of flown carry: the law's error
changes by some 4 % over a halving of carry (its fit to four typical strikes); working judgement."""
_LOOK = 3.0
"""From this distance a shot's own sensitivity to its launch figures is worked out."""
_RHO = 0.45
_RHO_WEIGHT = 10.0


@dataclass(frozen=True, slots=True)
class Held:
    """One file's judged shots, arrays (n,), in the order given.

    `carry_gap` and `height_gap` are ln measured / expected from the launch, `carry_sd` and `height_sd` what
    they are held against; the heights' are NaN without height;
    `carry_expected` and `height_expected` are in metres; `distance` in robust sds; `suspect` by the rule;
    `chance` of being a bad read. `offset` is the middle of the clubs' medians of ln measured / flown.
    """

    carry_gap: Floats
    carry_sd: Floats
    height_gap: Floats
    height_sd: Floats
    carry_expected_m: Floats
    height_expected_m: Floats
    distance: Floats
    suspect: Bools
    chance: Floats
    offset: float
    share: float
    device: Device


@dataclass(frozen=True, slots=True)
class Measured:
    """What was measured and flown of one file's shots, arrays (n,); `group` numbers club and visit."""

    carry_m: Floats
    apex_m: Floats
    flown_carry_m: Floats
    flown_apex_m: Floats
    group: Ints
    strikes: Strikes


def hold(seen: Measured, fly: Flyer, weaker: bool = False) -> Held:
    """Hold one file's carries and heights against their launches; every array finite but `apex_m`.

    Each club is centred on its own other shots, because the flight law's level is not known per club. The
    scale is that of the file. Suspect are carries beyond CARRY_LIMIT, and shots whose carry and height
    together lie beyond BOTH_LIMIT.
    """
    carry = np.log(seen.carry_m / seen.flown_carry_m)
    height = np.log(seen.apex_m / seen.flown_apex_m)
    tall = np.isfinite(height)
    carry_seen, n = robust_scale(carry, seen.group)
    apex_seen, apex_n = robust_scale(height[tall], seen.group[tall])
    device = judge_device(
        _shrunk(carry_seen, n, _USUAL[0]), carry_seen, n,
        _shrunk(apex_seen, apex_n, _USUAL[1]) if apex_n else None, apex_n, weaker,
    )  # fmt: skip
    c = centred(carry, seen.group, device.scale, BETWEEN_CLUBS[0])
    h_residual, h_var = np.full(len(carry), np.nan), np.full(len(carry), np.nan)
    h_expected = np.full(len(carry), np.nan)
    if apex_n or tall.any():
        h = centred(height[tall], seen.group[tall], device.apex_scale, BETWEEN_CLUBS[1])
        h_residual[tall], h_var[tall], h_expected[tall] = h.residual, h.open_var, h.expected
    carry_sd = np.sqrt(device.scale**2 + c.open_var)
    height_sd = np.sqrt(device.apex_scale**2 + h_var)
    rho = _correlation(carry[tall], height[tall], seen.group[tall])
    distance = distances(c.residual / carry_sd, h_residual / height_sd, rho)
    _widen(seen, np.flatnonzero(distance > _LOOK), device, fly, carry_sd, height_sd)
    distance = distances(c.residual / carry_sd, h_residual / height_sd, rho)
    chance, share = bad_chances(c.residual, carry_sd, h_residual, height_sd, rho)
    _, medians = group_medians(carry, seen.group)
    return Held(
        c.residual, carry_sd, h_residual, height_sd,
        seen.flown_carry_m * np.exp(c.expected), seen.flown_apex_m * np.exp(h_expected),
        distance, (distance > BOTH_LIMIT) | (np.abs(c.residual) > CARRY_LIMIT * carry_sd), chance,
        float(np.median(medians)), share, device,
    )  # fmt: skip


def _shrunk(seen: float, n: int, usual: float) -> float:
    """The scale seen with the usual one as _USUAL_WEIGHT shots: four shots prove no unit fine."""
    if not n:
        return usual
    return float(np.sqrt((n * seen**2 + _USUAL_WEIGHT * usual**2) / (n + _USUAL_WEIGHT)))


def _correlation(carry: Floats, height: Floats, group: Ints) -> float:
    """Robust correlation of the residuals, drawn towards what a unit's errors in speed and launch give.

    From the MADs of sum and difference (Gnanadesikan and Kettenring 1972, Biometrics 28).
    """
    a, b = standardised(carry, group), standardised(height, group)
    held = np.isfinite(a) & np.isfinite(b)
    n = int(held.sum())
    if n < 4:
        return _RHO
    a, b = a[held], b[held]
    scales = np.median(np.abs(a)), np.median(np.abs(b))
    if min(scales) <= 0.0:
        return _RHO
    a, b = a / scales[0], b / scales[1]
    plus, minus = float(np.median(np.abs(a + b))) ** 2, float(np.median(np.abs(a - b))) ** 2
    seen = (plus - minus) / (plus + minus)
    return float(np.clip((n * seen + _RHO_WEIGHT * _RHO) / (n + _RHO_WEIGHT), -0.5, 0.85))


def _widen(
    seen: Measured, rows: Ints, device: Device, fly: Flyer, carry_sd: Floats, height_sd: Floats
) -> None:
    """Widen the sds of suspect rows, in place, where small errors of launch move this strike more than usual.

    A thin drive at 2 degrees changes its carry several times as much per degree as a usual one; so its
    carry may lie farther from its launch figures before anything is odd.
    """
    if not len(rows):
        return
    typical, place = _typical(seen, rows)
    noise = NOISE[device.grade]
    usual = _spread(typical, fly, noise.speed_mps, noise.launch_rad, noise.spin)
    own = _spread(seen.strikes.take(rows), fly, noise.speed_mps, noise.launch_rad, noise.spin)
    unlike = np.abs(np.log(seen.flown_carry_m[rows] / usual[0][place])) * _MODEL_DRIFT
    fixed = np.hypot(noise.carry, _MODEL)
    for sd, k in ((carry_sd, 1), (height_sd, 2)):
        ratio = np.sqrt(own[k] ** 2 + fixed**2 + (k * unlike) ** 2) / np.hypot(usual[k][place], fixed)
        sd[rows] *= np.fmax(ratio, 1.0)


def _typical(seen: Measured, rows: Ints) -> tuple[Strikes, Ints]:
    """A strike of median launch figures for each group among `rows`, and each row's place among them."""
    groups, place = np.unique(seen.group[rows], return_inverse=True)
    among = np.isin(seen.group, groups)
    s, g = seen.strikes.take(among), seen.group[among]
    speed, launch, spin = (group_medians(v, g)[1] for v in (s.ball_speed_mps, s.launch_rad, s.spin_rpm))
    zero = np.zeros(len(groups))
    return Strikes(speed, launch, spin, zero, zero, zero > 0), place


def _spread(
    s: Strikes, fly: Flyer, speed_mps: float, launch_rad: float, spin: float
) -> tuple[Floats, Floats, Floats]:
    """Flown carry, and the sds of ln carry and ln height that a unit's errors in the launch figures cause."""
    shifted = [
        s,
        Strikes(s.ball_speed_mps + speed_mps, s.launch_rad, s.spin_rpm, s.direction_rad, s.spin_axis_rad,
                s.sideways_known),
        Strikes(s.ball_speed_mps, s.launch_rad + launch_rad, s.spin_rpm, s.direction_rad, s.spin_axis_rad,
                s.sideways_known),
        Strikes(s.ball_speed_mps, s.launch_rad, s.spin_rpm * (1 + spin), s.direction_rad, s.spin_axis_rad,
                s.sideways_known),
    ]  # fmt: skip
    flown = [fly(one) for one in shifted]
    carry, height = (np.sqrt(sum(np.log(moved[k] / flown[0][k]) ** 2 for moved in flown[1:])) for k in (0, 1))
    return flown[0][0], np.nan_to_num(carry), np.nan_to_num(height)
