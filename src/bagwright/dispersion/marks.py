"""Marks that the dispersion model suggests. Nothing is applied: a person takes a suggestion or leaves it."""

from __future__ import annotations

from typing import TYPE_CHECKING

from bagwright.shots.record import Mark, ShotTable
from bagwright.words import tell

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    from bagwright.dispersion.dispersions import Dispersions

THRESHOLD = 0.45
"""Chance of "not solid" from which a mark is suggested: on invented players it finds about nine in ten shots
more than 3 sd short at about one false mark in a hundred solid strikes (docs/benchmarks.md)."""


def suggest_marks(
    fits: Dispersions,
    table: ShotTable,
    threshold: float = THRESHOLD,
    fits_launch: NDArray[np.bool_] | None = None,
) -> dict[int, Mark]:
    """Suggested marks by position in the table, author "model", with the probability of the mark's kind.

    A shot that already carries a mark gets none. "bad-read" where that is the likelier half of "not solid",
    else "mishit". Mild mishits cannot be told from landing points and are not claimed. `fits_launch` (n,)
    says where the shot's own launch figures explain its carry: such a ball was hit so, and is never suggested
    as a bad read.
    """
    solid, bad = fits.solid_probability, fits.bad_read_probability
    found: dict[int, Mark] = {}
    for i in range(min(table.n, len(solid))):
        not_solid = 1.0 - float(solid[i])
        if i in table.marks or not not_solid > threshold:
            continue
        bad_read = float(bad[i])
        if fits_launch is not None and fits_launch[i]:
            bad_read = 0.0
        likelier_bad = bad_read > 0.5 * not_solid
        probability = bad_read if likelier_bad else not_solid - bad_read
        reason = (
            tell("far from where this club's shots finish, and not as a mishit would be")
            if likelier_bad
            else tell("much shorter or wider than this club's solid strikes")
        )
        found[i] = Mark("bad-read" if likelier_bad else "mishit", reason, "model", probability)
    return found
