"""Which clubs take part in a trial: from the words of the user, the bag and the shots."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass
from difflib import get_close_matches

from bagwright.bag.club import Bag, Club
from bagwright.bag.names import clean_text, match_club, parse_club_name
from bagwright.errors import InputError
from bagwright.shots.record import SWINGS
from bagwright.words import join, tell, term

Key = tuple[str, str]
LOFT_REACH_DEG = 3.0
"""Clubs of one kind within this many degrees (measured or stamped) may be meant for one slot (judgement)."""
MOST = 12
"""Most candidates of one trial; more could not be hit fairly in a visit."""


@dataclass(frozen=True, slots=True)
class Entry:
    """One candidate: the name shown, its build and swing, and whether it is in the slot now.

    `cell` is the club's name in the keys of the dispersions where that differs, as when balls are compared.
    """

    name: str
    club: str
    swing: str = "stock"
    present: bool = False
    cell: str = ""

    @property
    def key(self) -> Key:
        """The key of its dispersion."""
        return (self.cell or self.club, self.swing)


@dataclass(frozen=True, slots=True)
class Slot:
    """A slot and who competes for it; `present` is the carried club now in it, hit or not."""

    label: str
    entries: tuple[Entry, ...]
    present: Club | None

    @property
    def names(self) -> tuple[str, ...]:
        """The names of the candidates as shown."""
        return tuple(entry.name for entry in self.entries)


def split_words(slot: str | Sequence[str]) -> tuple[str, ...]:
    """Give the slot's words: a list as it is, a text split at commas; empty ones and repeats are dropped."""
    words = slot.split(",") if isinstance(slot, str) else list(slot)
    found = tuple(dict.fromkeys(" ".join(str(word).split()) for word in words if str(word).strip()))
    if not found:
        raise InputError(
            tell("No slot was named."), tell('Name it by its candidates, such as "50 wedge,52 wedge".')
        )
    if len(found) > MOST:
        raise InputError(
            tell("{found} candidates were named.", found=len(found)),
            tell("At most {most} can be compared in one trial.", most=MOST),
        )
    return found


def find_slot(slot: str | Sequence[str], bag: Bag | None, hit: Collection[Key] = ()) -> Slot:
    """Resolve the words of a slot to candidates.

    One word stands for the slot: the carried club it names and every candidate or spare of its kind, number
    or loft; the exact name of one build of the rack stands for that build alone. Several words name the
    candidates. The carried club of the slot joins by default, and where the slot is empty, gripped-down shots
    of the next longer club do. `hit` holds the (club, swing) keys with shots; clubs that are in no bag are
    known by them. Raises InputError naming the nearest names.
    """
    words = split_words(slot)
    known = tuple(dict.fromkeys([*(club.name for club in bag or ()), *(club for club, _ in hit)]))
    entries = [entry for word in words for entry in _named(word, bag, known, alone=len(words) == 1)]
    if len(words) == 1 and bag is not None and not _one_of_the_rack(words[0], bag):
        entries += [Entry(club.name, club.name) for club in _rivals(entries, bag)]
    entries = list({entry.key: entry for entry in entries}.values())
    present = present_club([entry.club for entry in entries], bag)
    if present is not None and present.name not in {entry.club for entry in entries}:
        entries.append(Entry(present.name, present.name))
    if present is None:
        entries += _gripped_down(entries, bag, hit)
    marked = tuple(
        Entry(e.name, e.club, e.swing, present is not None and e.key == (present.name, "stock"))
        for e in entries
    )
    return Slot(join(", ", words), marked, present)


def present_club(candidates: Iterable[str], bag: Bag | None) -> Club | None:
    """Find the carried club now in the slot: a candidate, else one of their number or loft."""
    if bag is None:
        return None
    clubs = [club for name in candidates if (club := bag.find(name)) is not None]
    carried = [club for club in clubs if club.status == "carried"]
    if carried:
        return carried[0]
    near = [
        (_loft_gap(club, own), i, own)
        for i, own in enumerate(bag.with_status("carried"))
        for club in clubs
        if same_slot(club, own)
    ]
    return min(near, key=lambda item: item[:2])[2] if near else None


def same_slot(one: Club, other: Club) -> bool:
    """Tell whether two builds may be meant for one slot: same kind, same number or about its loft."""
    if one.kind != other.kind or one.name == other.name:
        return False
    if one.kind in ("driver", "putter"):
        return True
    same_number = one.number is not None and clean_text(one.number) == clean_text(other.number or "")
    return same_number or _loft_gap(one, other) <= LOFT_REACH_DEG


def nearest_names(word: str, known: Sequence[str]) -> str:
    """Give the known names that look most like a word, for an error's next step."""
    close = get_close_matches(word.lower(), [name.lower() for name in known], n=3, cutoff=0.4)
    names = [name for name in known if name.lower() in close] or list(known[:8])
    return (
        tell("Known names near it: {names}.", names=join(", ", names))
        if names
        else tell("No clubs are known yet.")
    )


def _named(word: str, bag: Bag | None, known: Sequence[str], alone: bool) -> list[Entry]:
    """Give the candidates that one word means."""
    exact = _exact(word, known)
    if exact is not None:
        return [Entry(exact, exact)]
    text, swing = _split_swing(word)
    exact = _exact(text, known)
    clubs: tuple[str, ...] = (exact,) if exact is not None else ()
    if not clubs and bag is not None:
        match = match_club(text, bag)
        clubs = (
            (match.club.name,) if match.club is not None else tuple(club.name for club in match.candidates)
        )
    if not clubs:
        clubs = _parsed_alike(text, known)
    if not clubs:
        raise InputError(tell('No club is called "{word}".', word=word[:60]), nearest_names(text, known))
    if len(clubs) > 1 and not alone:
        raise InputError(
            tell('"{word}" may mean {clubs}.', word=word[:60], clubs=join(", ", clubs)),
            tell("Give the full name of each build."),
        )
    return [
        Entry(name if swing == "stock" else tell("{name} {swing}", name=name, swing=term(swing)), name, swing)
        for name in clubs
    ]


def _exact(word: str, known: Sequence[str]) -> str | None:
    if word in known:
        return word
    same = [name for name in known if clean_text(name) == clean_text(word)]
    return same[0] if len(same) == 1 else None


def _parsed_alike(word: str, known: Sequence[str]) -> tuple[str, ...]:
    """Names in the shots that mean the same club as the word, where no club of a bag does."""
    wanted = parse_club_name(word)
    return () if wanted is None else tuple(name for name in known if parse_club_name(name) == wanted)


def _split_swing(word: str) -> tuple[str, str]:
    """Part a club and a swing, as in "PW gripped-down"; stock where no swing is named."""
    text, _, last = word.rpartition(" ")
    return (text.strip(), last.lower()) if text and last.lower() in SWINGS else (word, "stock")


def _one_of_the_rack(word: str, bag: Bag) -> bool:
    """Tell whether a word is the exact name of one build of the rack, to be tried against the present one."""
    club = bag.find(word)
    return club is not None and club.status != "carried"


def _rivals(entries: Sequence[Entry], bag: Bag) -> list[Club]:
    """Candidates and spares for the slot of the clubs that one word named."""
    named = [club for entry in entries if (club := bag.find(entry.club)) is not None]
    return [
        club
        for club in bag.with_status("candidate", "spare")
        if any(same_slot(club, other) for other in named) and club.name not in {other.name for other in named}
    ]


def _gripped_down(entries: Sequence[Entry], bag: Bag | None, hit: Collection[Key]) -> list[Entry]:
    """Give the carried club next stronger in loft, gripped down, where it was hit so."""
    if bag is None:
        return []
    lofts = [
        loft
        for e in entries
        if (club := bag.find(e.club)) is not None and (loft := club.loft_deg) is not None
    ]
    if not lofts:
        return []
    stronger = [
        (club.loft_deg, club.name)
        for club in bag.with_status("carried")
        if club.loft_deg is not None and club.kind != "putter" and club.loft_deg < min(lofts)
    ]
    name = max(stronger)[1] if stronger else None
    if name is None or (name, "gripped-down") not in hit:
        return []
    return [Entry(tell("{name} gripped-down", name=name), name, "gripped-down")]


def _loft_gap(one: Club, other: Club) -> float:
    """Give degrees between two clubs, measured or stamped, the closer; far apart where unknown."""
    pairs = (
        (one.build.loft_deg, other.build.loft_deg),
        (one.stamped_loft_deg, other.stamped_loft_deg),
        (one.loft_deg, other.loft_deg),
    )
    return min((abs(a - b) for a, b in pairs if a is not None and b is not None), default=99.0)
