"""The player's own word on each candidate: look at address, feel, sound, turf, confidence, 1 to 5."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence

from bagwright.errors import InputError
from bagwright.trial.result import Rating
from bagwright.words import join, tell, term

ASPECTS = ("look", "feel", "sound", "turf", "confidence")
"""What a player rates; 1 is poor, 5 is very good."""

Ratings = Mapping[str, Mapping[str, float]]
"""Club name -> aspect -> 1..5. What was not rated is left out."""


def read_ratings(ratings: Ratings | None, names: Sequence[str]) -> dict[str, Rating]:
    """Check the ratings of the candidates; other clubs are an error, so that no word is lost.

    Raises InputError that names the club, the aspect and the value.
    """
    found: dict[str, Rating] = {}
    for club, given in (ratings or {}).items():
        if club not in names:
            raise InputError(
                tell('Ratings are given for "{club}", which is no candidate.', club=str(club)[:60]),
                tell("The candidates are {names}.", names=join(", ", names)),
            )
        values = {aspect: _value(club, aspect, value) for aspect, value in given.items()}
        if values:
            found[club] = Rating(club, sum(values.values()) / len(values), **values)
    return found


def _value(club: str, aspect: str, value: object) -> float:
    if aspect not in ASPECTS:
        raise InputError(
            tell(
                '"{aspect}" of "{club}" is nothing a player rates.', aspect=str(aspect)[:40], club=club[:60]
            ),
            tell("Use {aspects}.", aspects=join(", ", map(term, ASPECTS))),
        )
    usable = isinstance(value, int | float) and not isinstance(value, bool) and math.isfinite(value)
    if not usable or not 1.0 <= float(value) <= 5.0:  # type: ignore[arg-type]
        raise InputError(
            tell(
                'The rating "{aspect}" of "{club}" is {value}.',
                aspect=term(aspect),
                club=club[:60],
                value=str(value)[:20],
            ),
            tell("Ratings go from 1 (poor) to 5 (very good)."),
        )
    return float(value)  # type: ignore[arg-type]
