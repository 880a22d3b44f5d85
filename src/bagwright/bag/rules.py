"""Checks of a bag against the club limit and those limits on clubs that a bag file lets us know.

Limits are those of the Rules of Golf (2023) and the Equipment Rules, Part 2; each says whether it was read in
its source or is written from memory. The program decides no club's legality: the governing bodies' lists and
the committee do.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from bagwright.bag.club import Bag, Club
from bagwright.bag.finding import Finding, make_finding
from bagwright.units import M_PER_IN
from bagwright.words import join, tell, term

CLUBS_MAX = 14
LENGTH_MIN_M = 18 * M_PER_IN
LENGTH_MAX_M = 48 * M_PER_IN
LOCAL_LENGTH_MAX_M = 46 * M_PER_IN
PUTTER_LOFT_DEG = (-15.0, 10.0)
HEAD_VOLUME_CM3 = 460.0
HEAD_VOLUME_TOLERANCE_CM3 = 10.0

COUNT_SOURCE = tell("Rules of Golf, Rule 4.1b(1) (from memory)")
LENGTH_SOURCE = tell("Equipment Rules, Part 2, section 1c (from memory)")
LOCAL_SOURCE = tell("optional Model Local Rule on club length, 12 October 2021 (read in a report of it)")
LOFT_SOURCE = tell("Equipment Rules, Part 2, section 1a (read)")
VOLUME_SOURCE = tell("guide to the Equipment Rules, Appendix II 4b (read)")

PENALTY = tell(
    "In stroke play the general penalty, two strokes, for each hole with a breach, at "
    "most four in a round; in match play one hole is deducted for each, at most two."
)
DEFERRAL = tell(
    "Whether a club may be used is decided by the governing bodies' lists of clubs and by the committee; "
    "this checks only what the bag says."
)
NOT_IN_THE_FILE = tell(
    "Not checked for any club, because the bag does not say them: grooves, spring effect, moment of "
    "inertia, head dimensions, grip and face."
)

_WOODS = ("driver", "wood", "hybrid")


@dataclass(frozen=True, slots=True)
class Check:
    """What the check found.

    `within_limits` is False if a carried club or their number breaks a limit that was checked, else True: it
    says nothing of what is listed in `unchecked`, which names item and clubs.
    """

    within_limits: bool
    findings: tuple[Finding, ...]
    unchecked: tuple[Finding, ...]


def check(bag: Bag) -> Check:
    """Check a bag: clubs carried, lengths, putter lofts, head volumes, the player's own limit.

    Candidates and spares are checked too, so that none is bought in vain, but only carried clubs decide
    `within_limits`. Former clubs are left alone.
    """
    clubs = bag.with_status("carried", "candidate", "spare")
    findings = [*_count(bag), *_own_limit(bag), *_putter(bag)]
    for club in clubs:
        findings.extend([*_length(club), *_putter_loft(club), *_volume(club), *_adjustable(club)])
    carried = {club.name for club in bag.with_status("carried")}
    broken = any(f.kind == "breach" and carried.issuperset(f.clubs) for f in findings)
    unchecked = tuple(_unknown(clubs))
    notes = (make_finding("note", (), (NOT_IN_THE_FILE,)), make_finding("note", (), (DEFERRAL,)))
    order = {"breach": 0, "own limit": 1}
    findings.sort(key=lambda f: order.get(f.kind, 2))
    return Check(not broken, (*findings, *unchecked, *notes), unchecked)


def _count(bag: Bag) -> Iterator[Finding]:
    carried = bag.with_status("carried")
    n = len(carried)
    facts = (tell("clubs carried"), str(n), tell("at most 14"), COUNT_SOURCE)
    if n > CLUBS_MAX:
        step = tell(
            "Leave {n} out before the round: take the club out of play as soon as it is noticed.",
            n=n - CLUBS_MAX,
        )
        text = tell(
            "{n} clubs are carried, {over} more than the 14 allowed ({count_source}). {penalty}",
            n=n,
            over=n - CLUBS_MAX,
            count_source=COUNT_SOURCE,
            penalty=PENALTY,
        )
        yield make_finding("breach", tuple(club.name for club in carried), (text,), (step,), None, *facts)
    else:
        yield make_finding(
            "within",
            (),
            (tell("{n} of at most 14 clubs are carried ({count_source}).", n=n, count_source=COUNT_SOURCE),),
            (),
            None,
            *facts,
        )


def _own_limit(bag: Bag) -> Iterator[Finding]:
    n, limit = len(bag.with_status("carried")), bag.player.club_limit
    if n > limit and limit < CLUBS_MAX:
        text = tell(
            "{n} clubs are carried, more than the {limit} this player wants to carry. The Rules allow 14.",
            n=n,
            limit=limit,
        )
        step = tell("Leave {n} out, or raise the player's own limit.", n=n - limit)
        yield make_finding(
            "own limit",
            (),
            (text,),
            (step,),
            None,
            tell("own limit"),
            str(n),
            tell("at most {limit}", limit=limit),
            tell("the player"),
        )


def _putter(bag: Bag) -> Iterator[Finding]:
    if bag.with_status("carried") and not any(club.kind == "putter" for club in bag.with_status("carried")):
        yield make_finding(
            "note",
            (),
            (tell("No putter is carried. The Rules do not ask for one."),),
            (tell("Add it if it is missing."),),
        )


def _inches(metres: float) -> str:
    return tell("{metres:.4g} in ({metres_2:.1f} cm)", metres=metres / M_PER_IN, metres_2=100 * metres)


def _length(club: Club) -> Iterator[Finding]:
    length = club.build.length_m
    if length is None:
        return
    tiny = 1e-9  # 48 in written in centimetres is still 48 in
    limit = tell("at least 18 in") if club.kind == "putter" else tell("18 to 48 in")
    too_long = club.kind != "putter" and length > LENGTH_MAX_M + tiny
    if length < LENGTH_MIN_M - tiny or too_long:
        word = tell("longer than 48 in") if too_long else tell("shorter than 18 in")
        text = tell(
            "{club} is {inches}, {word} ({length_source}).",
            club=club.name,
            inches=_inches(length),
            word=word,
            length_source=LENGTH_SOURCE,
        )
        yield _breach(
            club, text, tell("Measure it again, then cut or rebuild it."), "length", _inches(length), limit
        )
    elif club.kind != "putter" and length > LOCAL_LENGTH_MAX_M + tiny:
        text = tell(
            "{club} is {inches}. A competition may limit length to 46 in ({local_source}).",
            club=club.name,
            inches=_inches(length),
            local_source=LOCAL_SOURCE,
        )
        facts = (
            "length",
            _inches(length),
            tell("46 in where adopted"),
            LOCAL_SOURCE,
        )
        yield make_finding("note", (club.name,), (text,), (tell("Ask the committee."),), None, *facts)


def _putter_loft(club: Club) -> Iterator[Finding]:
    loft = club.loft_deg
    if club.kind == "putter" and loft is not None and not PUTTER_LOFT_DEG[0] <= loft <= PUTTER_LOFT_DEG[1]:
        text = tell(
            "{club} has {loft:g}° of loft; a putter may have −15 to 10° ({loft_source}).",
            club=club.name,
            loft=loft,
            loft_source=LOFT_SOURCE,
        )
        yield _breach(
            club,
            text,
            tell("Measure it again, or have it bent."),
            tell("putter loft"),
            tell("{loft:g}°", loft=loft),
            tell("−15 to 10°"),
        )


def _volume(club: Club) -> Iterator[Finding]:
    volume = club.head_volume_cm3
    if volume is None or club.kind not in _WOODS or volume <= HEAD_VOLUME_CM3:
        return
    limit = tell("460 cm³ with a tolerance of 10")
    if volume > HEAD_VOLUME_CM3 + HEAD_VOLUME_TOLERANCE_CM3:
        text = tell(
            "{club} has a head of {volume:g} cm³, over 460 and its tolerance of 10 ({volume_source}).",
            club=club.name,
            volume=volume,
            volume_source=VOLUME_SOURCE,
        )
        yield _breach(
            club,
            text,
            tell("Look it up in the lists of heads."),
            tell("head volume"),
            tell("{volume:g} cm³", volume=volume),
            limit,
        )
    else:
        text = tell(
            "{club} has a head of {volume:g} cm³: over 460, inside its tolerance ({volume_source}).",
            club=club.name,
            volume=volume,
            volume_source=VOLUME_SOURCE,
        )
        facts = (tell("head volume"), tell("{volume:g} cm³", volume=volume), limit, VOLUME_SOURCE)
        yield make_finding(
            "note", (club.name,), (text,), (tell("Look it up in the lists of heads."),), None, *facts
        )


def _adjustable(club: Club) -> Iterator[Finding]:
    if club.status == "carried" and club.build.hosel_setting:
        text = tell("{club} is adjustable: its setting may not be changed during a round.", club=club.name)
        yield make_finding(
            "note", (club.name,), (text,), item=tell("hosel setting"), value=club.build.hosel_setting
        )


_SOURCES = {"length": LENGTH_SOURCE, "putter loft": LOFT_SOURCE, "head volume": VOLUME_SOURCE}


def _breach(club: Club, text: str, step: str, item: str, value: str, limit: str) -> Finding:
    if club.status != "carried":
        text = tell("{text} It is a {status}, not carried.", text=text, status=term(club.status))
    return make_finding("breach", (club.name,), (text,), (step,), None, item, value, limit, _SOURCES[item])


def _unknown(clubs: tuple[Club, ...]) -> Iterator[Finding]:
    """Name what could be checked if the bag file said it."""
    missing = {
        "length": [club.name for club in clubs if club.build.length_m is None],
        "putter loft": [club.name for club in clubs if club.kind == "putter" and club.loft_deg is None],
        "head volume": [c.name for c in clubs if c.kind in ("driver", "wood") and c.head_volume_cm3 is None],
    }
    for item, names in missing.items():
        if names:
            text = tell(
                "{item} not given, so not checked: {names}.",
                item=term(item).capitalize(),
                names=join(", ", names),
            )
            step = tell("Measure it and add it to the bag.")
            yield make_finding(
                "unchecked", tuple(names), (text,), (step,), item=item, value=tell("not given")
            )
