"""How an option's strokes move as its club's pattern differs from what was expected of it.

A shot's strokes hang on its own club's pattern alone as long as what follows is worth what it was. So every
option is measured again at a few settings of its club, one thing at a time: how far it goes, how widely it
spreads along and across, how often it is mishit; each as far as the player's shots leave it open. Any draw of
the posterior is then read between these settings.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from bagwright.course.lies import Lie
from bagwright.strokes.balls import balls_of, means, variants
from bagwright.strokes.hole import Solver, strokes_of
from bagwright.strokes.probes import MISHIT, Player

Ints = NDArray[np.int64]
Singles = NDArray[np.float32]
Floats = NDArray[np.float64]

FAR_AT = (-2.0, -1.0, 1.0, 2.0)
SPREAD_AT = (-1.5, 1.5)
MISHIT_AT = 1.0
"""Settings, in sds of what is not known."""
NODES = len(FAR_AT) + 2 * len(SPREAD_AT) + 1
FURTHEST = 2.5
"""Draws beyond are read as this, sds."""
BALLS = (192, 192, 192, 128)
"""Balls of each part: the same for all settings, so that the difference is much better known than either."""


@dataclass(frozen=True, slots=True)
class Settings:
    """For each club (clubs,) the middle and the sd of what is not known.

    `far` is a factor's logarithm on the carry, `long` and `wide` on the spread along and across, `mishit` a
    shift of the logit of its chance; `club_of` (shots,) numbers the clubs, -1 for a shot that stays as it is.
    """

    middle: dict[str, Floats]
    sd: dict[str, Floats]
    club_of: Ints


AXES = ("far", "long", "wide", "mishit")


def _steps() -> list[tuple[str, float]]:
    """Axis and place of every node."""
    found = [("far", at) for at in FAR_AT]
    found += [(axis, at) for axis in ("long", "wide") for at in SPREAD_AT]
    return [*found, ("mishit", MISHIT_AT)]


def changed(player: Player, settings: Settings, axis: str | None = None, at: float = 0.0) -> Player:
    """The player with every club at its middle, one axis off it by `at` sds."""
    value = {}
    for name in AXES:
        off = at * settings.sd[name] if name == axis else 0.0
        value[name] = np.append(settings.middle[name] + off, 0.0)[settings.club_of]
    return with_pattern(player, value)


def with_pattern(player: Player, value: dict[str, Floats]) -> Player:
    """The player with patterns changed shot by shot (shots,): logarithms of factors, a shift of a logit."""
    parts = player.parts.astype(float)
    parts[..., 1] *= np.exp(value["far"])[None, :, None]
    parts[..., 3] *= np.exp(value["long"])[None, :, None]
    parts[..., 4:6] *= np.exp(value["wide"])[None, :, None, None]
    for lie in range(len(parts)):
        # Under trees the last part is of balls that hit one, and mishits stand before it.
        trees = lie == int(Lie.RECOVERY)
        last = MISHIT - 1 if trees else MISHIT
        own = parts[lie, :, : last + 1, 0]
        whole, missed = own.sum(1), own[:, last].copy()
        share = np.clip(missed / np.maximum(whole, 1e-12), 0.0, 1.0 - 1e-9)
        odds = share / (1.0 - share) * np.exp(value["mishit"])
        risen = odds / (1.0 + odds)
        own[:, :last] *= ((1.0 - risen) / (1.0 - share))[:, None]
        own[:, last] = risen * whole
    return replace(player, parts=parts.astype(np.float32))


def responses(solver: Solver, whole: Ints, number: Singles, spot: Ints, settings: Settings | None) -> Singles:
    """What options cost more at each node than with every club at its middle (m, NODES)."""
    if settings is None:
        return np.zeros((len(spot), 0), np.float32)
    out = np.zeros((len(spot), NODES), np.float32)

    def strokes(player: Player) -> Floats:
        solver.pulse()
        sets = balls_of(player, BALLS)
        rest, which = solver.pyramids.rest, variants(spot)
        return np.asarray(strokes_of(*means(solver.turf, player, sets, rest, whole, number, which)), float)

    middle = strokes(changed(solver.player, settings))
    for k, (axis, at) in enumerate(_steps()):
        out[:, k] = strokes(changed(solver.player, settings, axis, at)) - middle
    return out


def basis(far: Floats, long: Floats, wide: Floats, mishit: Floats) -> Floats:
    """Weights of the nodes (..., NODES) for places in sds; `mishit` in shares of the node's own change.

    Polynomials through the nodes and the middle: of the fourth degree for the carry, of the second for the
    spreads, a line for the mishits, in which a shot's strokes are linear.
    """
    found = [
        _lagrange(far, FAR_AT),
        _lagrange(long, SPREAD_AT),
        _lagrange(wide, SPREAD_AT),
        mishit[..., None],
    ]
    return np.concatenate(found, -1)


def _lagrange(t: Floats, nodes: tuple[float, ...]) -> Floats:
    """Weights of the nodes beside 0 of the polynomial through all of them and 0."""
    x = np.clip(t, -FURTHEST, FURTHEST)
    out = []
    for one in nodes:
        others = [at for at in (*nodes, 0.0) if at != one]
        out.append(np.prod([(x - at) / (one - at) for at in others], axis=0))
    return np.stack(out, -1)
