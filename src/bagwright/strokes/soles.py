"""How a wedge's sole suits the player's sand and turf: common practice, no source.

Soft sand and soft turf want bounce, firm ones little of it. A sole that does not suit widens bunker shots and
pitches and makes more of them mishits; one that suits, or of which too little is known, changes nothing.
"""

from __future__ import annotations

SOFT = ("soft", "fluffy", "deep", "powder", "lush", "weich", "tief", "locker")
FIRM = ("firm", "hard", "thin", "tight", "packed", "wet sand", "fest", "hart", "dünn")
ENOUGH_DEG, LITTLE_DEG, REACH_DEG = 10.0, 8.0, 6.0
"""Bounce from which a sole suits soft ground, and up to which it suits firm; beyond it by so much it does
not."""
WIDE_DEG = 2.0
"""What a wide sole is worth in bounce; a narrow one takes as much."""
SPREAD, MISHITS = 0.15, 0.5
"""What a sole that does not suit at all adds to the spread and to the odds of a mishit."""


def misfit(bounce_deg: float | None, sole: str | None, ground: str | None) -> float:
    """How little a sole suits the ground (0 to 1); 0 where bounce or ground are not known."""
    if bounce_deg is None or not ground:
        return 0.0
    words = ground.lower()
    acts = bounce_deg + WIDE_DEG * _width(sole)
    if any(word in words for word in FIRM):
        return min(max((acts - LITTLE_DEG) / REACH_DEG, 0.0), 1.0)
    if any(word in words for word in SOFT):
        return min(max((ENOUGH_DEG - acts) / REACH_DEG, 0.0), 1.0)
    return 0.0


def _width(sole: str | None) -> float:
    words = (sole or "").lower()
    if "wide" in words or "breit" in words:
        return 1.0
    return -1.0 if "narrow" in words or "schmal" in words else 0.0
