"""From which lies a club is played: the rules of the lie, and the player's own."""

from __future__ import annotations

from collections.abc import Iterable

from bagwright.bag.club import Club
from bagwright.course.lies import PLAYED_FROM, Lie
from bagwright.strokes.lie_table import RULES

WORDS: dict[str, tuple[Lie, ...]] = {
    "tee": (Lie.TEE,),
    "fairway": (Lie.FAIRWAY,),
    "rough": (Lie.ROUGH, Lie.DEEP),
    "deep rough": (Lie.DEEP,),
    "sand": (Lie.SAND,),
    "recovery": (Lie.RECOVERY,),
}
"""Lies as the bag file says them in `use`: "only from tee", "not from rough", "not from sand" ..."""


def not_from(club: Club, own: Iterable[str] = ()) -> frozenset[Lie]:
    """Lies that the player does not play a club from.

    The texts of `use` say so: "only from LIE", "not from LIE"; a club kept for the tee alone (`use =
    ["tee"]`) is played from nowhere else. `own` adds such texts. Any other text is a job and forbids nothing.
    """
    texts = [text.strip().lower() for text in (*club.use, *own)]
    only: set[Lie] = set(WORDS["tee"]) if texts == ["tee"] else set()
    never: set[Lie] = set()
    for text in texts:
        for start, into in (("only from ", only), ("not from ", never)):
            if text.startswith(start):
                into.update(WORDS.get(text.removeprefix(start).strip(), ()))
    if only:
        never |= set(PLAYED_FROM) - only
    return frozenset(never)


def forbidden(lie: Lie, kind: str, loft_deg: float) -> str:
    """Say why a lie forbids a kind of club of this loft, "" where it does not."""
    for rule in RULES:
        if rule.lie is lie and rule.kind == kind and loft_deg < rule.below_loft_deg:
            return rule.why
    return ""
