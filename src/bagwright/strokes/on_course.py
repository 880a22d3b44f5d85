"""What a course adds to the spread along the line of shots that were hit on a range.

On a course distances are read wrongly, wind is not felt, lies are uneven, and turf takes what a mat forgives.
The published patterns on courses are much longer, and no wider, than the same players' shots from a mat are
taken to be (dispersion room): average-90 players 12.5 % of the carry in solid strikes (fit to Broadie's
facts, read) against 6.0 % at handicap 16 with the day in it, tour players 4.3 % (James & Rees 2008, read)
against 3.3 % at -5. What is missing, as variances, is taken to grow evenly with handicap:

    share(h) = 0.0275 + 0.0039 (h + 5)          at least 0.0275, at most that of handicap 36

It is added to every player's full shots alike, as nobody measured it. Whether a course adds to the side as
well is not known, and nothing is added there.
"""

from __future__ import annotations

import math
from dataclasses import replace

from bagwright.strokes.kernel import Kernel
from bagwright.strokes.putting import TOUR_HANDICAP

TOUR_SHARE = 0.0275
PER_STROKE = 0.0039
"""Share of the carry: sqrt(0.043^2 - 0.033^2) at -5 and sqrt(0.125^2 - 0.060^2) = 0.110 at 16 (derived)."""
HIGHEST_HANDICAP = 36.0
"""Beyond it the line is not drawn further: judgement."""


def course_share(handicap: float) -> float:
    """Sd along the line that a course adds, as a share of the carry."""
    return TOUR_SHARE + PER_STROKE * (min(max(handicap, TOUR_HANDICAP), HIGHEST_HANDICAP) - TOUR_HANDICAP)


def on_course(kernel: Kernel, handicap: float) -> Kernel:
    """The same shot on a course: longer along the line, its tails and correlation thinned by what is added.

    The added variance e^2 is known, so that the doubt of the whole variance keeps its sd and its share falls
    by var / (var + e^2); it has no part in the correlation, which falls by the root of that.
    """
    added = (course_share(handicap) * kernel.x_m) ** 2
    kept = kernel.x_var_m2 / (kernel.x_var_m2 + added)
    return replace(
        kernel,
        x_var_m2=kernel.x_var_m2 + added,
        x_ball_m=math.sqrt(kernel.x_ball_m**2 + added),
        x_tail=kernel.x_tail * kept,
        correlation=kernel.correlation * math.sqrt(kept),
    )
