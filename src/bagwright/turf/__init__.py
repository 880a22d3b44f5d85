"""Turf: how far a ball bounces and runs after it lands, and how likely it holds a green.

Penner's form of bounce and roll with the firmness of the turf as a factor on its tilt. No simple model of a
bounce is adequate (Biber et al. 2023), so a run is always a band. Not modelled: slope, grain, the side spin
and curve of a ball (it runs straight on in its landing direction, so left and right are alike), and most of
what makes a wedge shot spin back: the model brings it back too little.

One ball needs neither numpy nor numba; `run_many` loads numpy when it is first asked for.
"""

from typing import TYPE_CHECKING

from bagwright.turf.ground import FAIRWAY, GREEN, Firmness, Turf, TurfLie
from bagwright.turf.hold import Hold, holds
from bagwright.turf.runs import Run, at_rest, run, run_after

if TYPE_CHECKING:
    from bagwright.turf.many import run_many

__all__ = [
    "FAIRWAY",
    "GREEN",
    "Firmness",
    "Hold",
    "Run",
    "Turf",
    "TurfLie",
    "at_rest",
    "holds",
    "run",
    "run_after",
    "run_many",
]


def __getattr__(name: str) -> object:
    """Load `run_many`, and numpy with it, when it is first asked for."""
    if name != "run_many":
        raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
    from bagwright.turf.many import run_many

    return run_many
