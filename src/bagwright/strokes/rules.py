"""From which lies a club is played: the rules of the lie, and the player's own."""

from __future__ import annotations

from collections.abc import Iterable

from bagwright.bag.club import Club
from bagwright.course.lies import PLAYED_FROM, Lie
from bagwright.errors import InputError
from bagwright.strokes.lie_table import RULES
from bagwright.words import join, tell

WORDS: dict[str, tuple[Lie, ...]] = {
    "tee": (Lie.TEE,),
    "fairway": (Lie.FAIRWAY,),
    "rough": (Lie.ROUGH, Lie.DEEP),
    "deep rough": (Lie.DEEP,),
    "sand": (Lie.SAND,),
    "recovery": (Lie.RECOVERY,),
}
"""Lies as the bag file says them in `use`: "only from tee", "not from rough", "not from sand" ..."""
STARTS = ("only from ", "not from ")


def not_from(club: Club, own: Iterable[str] = ()) -> frozenset[Lie]:
    """Lies that the player does not play a club from.

    The texts of `use` say so: "only from LIE", "not from LIE"; a club kept for the tee alone (`use =
    ["tee"]`) is played from nowhere else. Any other text of `use` is a job and forbids nothing. `own` adds
    rules. Raises InputError for a rule of `own` that is none.
    """
    given = [text.strip().lower() for text in own]
    for text in given:
        if not _is_rule(text):
            raise InputError(
                tell("{text} is no rule for a club.", text=repr(text[:60])),
                tell("Say 'only from' or 'not from' and one of: {lies}.", lies=join(", ", WORDS)),
            )
    use = [text.strip().lower() for text in club.use]
    only: set[Lie] = set(WORDS["tee"]) if use == ["tee"] else set()
    never: set[Lie] = set()
    for text in filter(_is_rule, use + given):
        start, into = (STARTS[0], only) if text.startswith(STARTS[0]) else (STARTS[1], never)
        into.update(WORDS[text.removeprefix(start).strip()])
    if only:
        never |= set(PLAYED_FROM) - only
    return frozenset(never)


def _is_rule(text: str) -> bool:
    return any(text.startswith(start) and text.removeprefix(start).strip() in WORDS for start in STARTS)


def unread(club: Club) -> tuple[str, ...]:
    """Texts of `use` that begin like a rule but name no lie: they forbid nothing, which has to be said."""
    texts = (text.strip() for text in club.use)
    return tuple(text for text in texts if text.lower().startswith(STARTS) and not _is_rule(text.lower()))


def forbidden(lie: Lie, kind: str, loft_deg: float) -> str:
    """Say why a lie forbids a kind of club of this loft, "" where it does not."""
    for rule in RULES:
        if rule.lie is lie and rule.kind == kind and loft_deg < rule.below:
            return rule.why
    return ""
