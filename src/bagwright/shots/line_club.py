"""The club that a typed line may begin with: `Eisen 7 153 5R`, `7er Eisen 153`, `Gap wedge 92 3L`.

A name ends where the figures begin. A bare number belongs to it only right behind a word that lacks one
("Eisen 7"), so that in "PW 110" and "Eisen 7 153" the last figure is the carry; a loft needs its sign
("56°").
What could be a figure with its letter (`h4`: a height) is one: write `4H` or `Hybrid 4`.
"""

from __future__ import annotations

import re
from collections.abc import Collection

from bagwright.bag.names import ClubName, clean_text, parse_club_name
from bagwright.shots.line_form import LineForm
from bagwright.shots.line_words import small

_MOST_PIECES = 5
_BARE = re.compile(r"[0-9]{1,2}(?:[.,][0-9]{1,2})?")
_FIRST = re.compile(rf"(?:{_BARE.pattern}|[0-9]{{1,2}}(?:er|\.)-?)", re.IGNORECASE)
"""A number that may stand before its word: "7 Eisen", "7er Eisen"."""
_TAGGED = re.compile(r"([a-z])[+\-−]?[0-9]")


def split_club(text: str, form: LineForm, own: Collection[str] = ()) -> tuple[str, int]:
    """The club's name that a line begins with, and where the rest begins; ("", 0) for a line without one.

    `own` are the names of the bag's clubs: a whole one of them is taken before any usual spelling.
    """
    pieces = list(re.finditer(r"\S+", text))[:_MOST_PIECES]
    if not pieces or _means_else(pieces[0].group(), form):
        return "", 0
    heads = [text[pieces[0].start() : piece.end()] for piece in pieces]
    n = _own_name(heads, own) or _usual_name([piece.group() for piece in pieces])
    return (heads[n - 1], pieces[n - 1].end()) if n else ("", 0)


def _means_else(piece: str, form: LineForm) -> bool:
    """Whether the first piece has a meaning in a line without a club."""
    low = small(piece)
    tagged = _TAGGED.match(low)
    return low in form.words or (tagged is not None and tagged[1] in form.tags)


def _own_name(heads: list[str], own: Collection[str]) -> int:
    """How many pieces are the whole name of a club of the bag, 0 for none; a name needs a letter."""
    names = {clean_text(name) for name in own}
    for n in range(len(heads), 0, -1):
        head = clean_text(heads[n - 1])
        if head in names and any(letter.isalpha() for letter in head):
            return n
    return 0


def _usual_name(pieces: list[str]) -> int:
    """How many pieces are a club's name in a usual spelling, 0 where the first ones are none."""
    start = 2 if len(pieces) > 1 and _FIRST.fullmatch(pieces[0]) and _word(pieces[1]) else 1
    if start == 1 and (_BARE.fullmatch(pieces[0]) or len(pieces[0]) < 2):
        return 0
    found = parse_club_name(" ".join(pieces[:start]))
    if found is None:
        return 0
    n = start
    while n < len(pieces) and (longer := _longer(pieces[:n], pieces[n], found)) is not None:
        n, found = n + 1, longer
    return n


def _longer(before: list[str], piece: str, found: ClubName) -> ClubName | None:
    """The name with one piece more, None where that piece begins the figures."""
    if _BARE.fullmatch(piece) and (found.number or found.loft_deg is not None):
        return None
    if not (_BARE.fullmatch(piece) or _word(piece) or "°" in clean_text(piece)):
        return None
    return parse_club_name(" ".join([*before, piece]))


def _word(piece: str) -> bool:
    """A piece of letters only, two or more: a lone letter may be a side."""
    letters = piece.replace("-", "").rstrip(".")
    return len(letters) > 1 and letters.isalpha()
