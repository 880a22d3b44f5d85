"""The usual solid strike of every club of a fit, as launches that can be flown."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING

from bagwright.restate.measured import measured
from bagwright.restate.setting import Setting
from bagwright.restate.shots import prepared

if TYPE_CHECKING:
    from bagwright.bag.club import Bag
    from bagwright.dispersion.dispersions import Dispersions
    from bagwright.dispersion.results import Dispersion
    from bagwright.flight.launch import Launches, Scale
    from bagwright.flight.level import Level
    from bagwright.shots.record import Conditions, ShotTable

Key = tuple[str, str]


@dataclass(frozen=True, slots=True, eq=False)
class ClubStrikes:
    """Fits with the median launch of their solid strikes, one each, the level's factors, and how well seen.

    `seen` is the share (0..1) of those strikes whose launch and height were measured. `unknown` are the
    fits of which no strike is known.
    """

    fits: tuple[Dispersion, ...]
    launches: Launches
    scale: Scale
    seen: tuple[float, ...]
    unknown: tuple[Key, ...]
    level: Level


def club_strikes(
    fits: Dispersions, table: ShotTable, bag: Bag | None, here: Setting,
    conditions: Mapping[str, Conditions] | None, law: str, level: Level | None,
) -> ClubStrikes:  # fmt: skip
    """Median launches of the solid strikes of every club and swing. Errors as `restate_shots`."""
    import numpy as np

    from bagwright.flight.launch import RANGES, Launches, Scale

    ready = prepared(table, here, bag, conditions, law, level)
    launches, sensible = ready.strikes.launches, ready.strikes.launches.sensible() & ~ready.out
    whole = ~ready.strikes.inferred & ~ready.guessed & np.isfinite(measured(table, "apex_m"))
    solid = fits.solid_probability >= 0.5
    known, unknown, middles, seen = [], [], [], []
    for key in fits:
        fit = fits[key]
        rows = np.array([i for i in fit.shot_indices if solid[i] and sensible[i]], dtype=np.int64)
        if not fit.measured or not len(rows):
            unknown.append(key)
            continue
        known.append(fit)
        middles.append([float(np.median(getattr(launches, name)[rows])) for name in RANGES])
        seen.append(float(whole[rows].mean()))
    columns = np.array(middles, dtype=np.float64).reshape(len(middles), len(RANGES)).T
    factors = [ready.level.scale_of(fit.club) for fit in known]
    scale = Scale(np.array([f.drag for f in factors]), np.array([f.lift for f in factors]))
    return ClubStrikes(tuple(known), Launches(*columns), scale, tuple(seen), tuple(unknown), ready.level)
