"""Which club of a bag a name means. Builds never merge because they share a number."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from bagwright.bag.club import Bag, Club
from bagwright.bag.spelling import (
    WEDGE_LETTERS,
    WEDGE_WORDS,
    ClubName,
    clean_text,
    parse_club_name,
    split_club_name,
)
from bagwright.words import tell

__all__ = [
    "ClubName",
    "Match",
    "clean_text",
    "match_club",
    "parse_club_name",
    "plain_number",
    "split_club_name",
]


@dataclass(frozen=True, slots=True)
class Match:
    """Which club of the bag a text means: one, or none with every club that it could mean.

    `setting_open` is True when the shots name a hosel setting but the bag does not say the club's: the caller
    must then keep shots of different settings apart. `reason` says why no single club was found.
    """

    club: Club | None
    candidates: tuple[Club, ...] = ()
    setting_open: bool = False
    reason: str = ""


def match_club(text: str, bag: Bag, setting: str = "") -> Match:
    """Find the club of the bag that a text means. Builds never merge: several that fit are ambiguous.

    The exact name or an `also` spelling of one club wins; then any usual spelling. Where several builds fit,
    or the named club is known to have another hosel setting, the shot's `setting` decides or nothing does.
    """
    named = tuple(club for club in bag if clean_text(text) in _own_spellings(club))
    if not named:
        parsed = parse_club_name(text)
        named = () if parsed is None else tuple(club for club in bag if _answers(parsed, club))
    return _settle(named, bag, clean_text(setting))


def _own_spellings(club: Club) -> set[str]:
    return {clean_text(name) for name in (club.name, *club.also)} - {""}


def _settle(found: tuple[Club, ...], bag: Bag, setting: str) -> Match:
    """One club out of those whose name fits, with the shot's setting as the judge."""
    if not found:
        return Match(None, (), reason=tell("no club of the bag has this name"))
    if not setting:
        club = found[0] if len(found) == 1 else None
        return Match(club, found, reason="" if club else tell("several builds of the bag fit this name"))
    relatives = found if len(found) > 1 else (*found, *_same_slot(found[0], bag))
    exact = tuple(club for club in relatives if _setting(club) == setting)
    if len(exact) == 1:
        return Match(exact[0], exact)
    if len(found) == 1 and _setting(found[0]) == "":
        return Match(found[0], found, setting_open=True)
    return Match(
        None,
        exact or found,
        reason=tell('no single build of the bag has the setting "{setting}"', setting=setting[:40]),
    )


def _setting(club: Club) -> str:
    return clean_text(club.build.hosel_setting or "")


def _same_slot(club: Club, bag: Bag) -> Iterable[Club]:
    """List the bag's other builds with the same kind, number and head as this club."""
    slot = (club.kind, club.number, club.build.head)
    return (
        other for other in bag if other is not club and (other.kind, other.number, other.build.head) == slot
    )


def _answers(parsed: ClubName, club: Club) -> bool:
    """Tell whether this club may be what the parsed name means."""
    own = parse_club_name(club.name)
    if not _kinds_agree(parsed, club):
        return False
    if parsed.number is not None and parsed.number not in {
        plain_number(club.number),
        own.number if own else None,
    }:
        return False
    if parsed.number is None and parsed.kind == "driver" and plain_number(club.number) == "mini":
        return False
    bounces = (parsed.bounce_deg, club.bounce_deg)
    if None not in bounces and bounces[0] != bounces[1]:
        return False
    return parsed.loft_deg is None or _loft_agrees(parsed, club, own)


def _kinds_agree(parsed: ClubName, club: Club) -> bool:
    """Kinds must be equal, but a set's own pitching or gap wedge may stand in the bag as an iron."""
    set_wedge = parsed.kind == "wedge" and club.kind == "iron" and parsed.number is not None
    return parsed.kind == club.kind or set_wedge


def plain_number(number: str | None) -> str | None:
    """Spell a club's number as names do: "pw", "P" and "Pitching" are "PW", " 7" is "7"."""
    if number is None:
        return None
    cleaned = clean_text(number)
    return WEDGE_WORDS.get(cleaned) or WEDGE_LETTERS.get(cleaned, cleaned)


def _loft_agrees(parsed: ClubName, club: Club, own: ClubName | None) -> bool:
    """Tell whether the name's loft is the stamped one, the one in the club's own name, or the measured one.

    A name gives whole degrees, a gauge tenths: half a degree is close enough. With a number in the name that
    fits, an unknown loft does not stand in the way.
    """
    loft = parsed.loft_deg
    possible = [club.stamped_loft_deg, club.build.loft_deg, own.loft_deg if own else None]
    known = [value for value in possible if value is not None]
    if not known:
        return parsed.number is not None or parsed.kind == "driver"
    return loft is not None and any(abs(loft - value) <= 0.5 for value in known)
