"""A fair order of balls, and telling from an order whether it was one.

Warming up and tiring change carry through a visit. An order that reads the same backwards gives every
candidate the same mean ball number, so that a steady drift favours none; alternating in short blocks does the
same for drifts that are not steady. Rows of a Williams square (Williams 1949, Aust. J. Sci. Res. A 2, 149)
decide who follows whom in each pass, so that no candidate always follows the same other one.
"""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import groupby

from bagwright.bag.names import clean_text
from bagwright.errors import InputError
from bagwright.trial.slot import nearest_names
from bagwright.words import join, tell, term

BLOCKED_SHARE = 0.3
"""Mean ball numbers of two candidates this share of all balls apart make a visit "hit in blocks"."""

_RULE = re.compile(
    r"^(?P<a>.+?)\s+(?:(?P<end>first|last)|(?P<side>before|after)\s+(?P<b>.+))$", re.IGNORECASE
)


@dataclass(frozen=True, slots=True)
class Wishes:
    """What the user wants of the order: who is first or last, and whose first ball comes first."""

    first: str | None = None
    last: str | None = None
    before: tuple[tuple[str, str], ...] = ()


def read_wishes(texts: Sequence[str], clubs: Sequence[str]) -> Wishes:
    """Understand "driver last", "A first", "A before B", "B after A" over the given clubs.

    "last" and "first" hold for every ball of the club, "before" for the two clubs' first balls. Raises
    InputError for words that name no club, and for wishes that cannot all be had.
    """
    first: str | None = None
    last: str | None = None
    before: list[tuple[str, str]] = []
    for text in texts:
        match = _RULE.match(" ".join(text.split()))
        if match is None:
            raise InputError(
                tell('"{text}" is no wish for the order.', text=text[:60]),
                tell('Write "A last", "A first" or "A before B".'),
            )
        club = _club(match["a"], clubs)
        end = (match["end"] or "").lower()
        if end == "last":
            last = _only(last, club, "last")
        elif end == "first":
            first = _only(first, club, "first")
        else:
            other = _club(match["b"], clubs)
            before.append((club, other) if match["side"].lower() == "before" else (other, club))
    wishes = Wishes(first, last, tuple(dict.fromkeys(before)))
    in_turn(clubs, wishes)
    return wishes


def in_turn(clubs: Sequence[str], wishes: Wishes) -> tuple[str, ...]:
    """Give the clubs in an order that keeps every wish, else as given; InputError without one."""
    pairs = list(wishes.before)
    pairs += [(club, wishes.last) for club in clubs if wishes.last is not None and club != wishes.last]
    pairs += [(wishes.first, club) for club in clubs if wishes.first is not None and club != wishes.first]
    left, turn = list(clubs), []
    while left:
        free = [club for club in left if not any(b == club and a in left for a, b in pairs)]
        if not free:
            raise InputError(
                tell("The wishes for the order of {left} contradict each other.", left=join(", ", left)),
                tell("Take one of them away."),
            )
        turn.append(free[0])
        left.remove(free[0])
    return tuple(turn)


def mirrored(
    clubs: Sequence[str], counts: Mapping[str, int], block: int, wishes: Wishes = Wishes()
) -> list[str]:
    """Give the club of each ball, in an order that reads the same backwards.

    Clubs wished first or last stand outside the mirror.

    `counts` are even; blocks hold at most `block` balls, of which two may meet in the middle of the mirror.
    """
    turn = in_turn(clubs, wishes)
    ends = {wishes.first, wishes.last}
    inner = [club for club in turn if club not in ends and counts[club] > 0]
    passes = max((-(-(counts[club] // 2) // block) for club in inner), default=0)
    half: list[str] = []
    for p in range(passes):
        for club in (inner[i] for i in williams_row(len(inner), p)):
            half += [club] * _part(counts[club] // 2, passes, p)
    whole = half + half[::-1]
    front = [wishes.first] * counts[wishes.first] if wishes.first is not None else []
    back = [wishes.last] * counts[wishes.last] if wishes.last is not None else []
    return front + whole + back


def passes_of_bag(clubs: Sequence[str], counts: Mapping[str, int], wishes: Wishes = Wishes()) -> list[str]:
    """Mirrored passes for a whole bag: once up from the first club to the last, once back down."""
    return mirrored(clubs, counts, max(max(counts.values(), default=1), 1), wishes)


def williams_row(k: int, row: int) -> tuple[int, ...]:
    """Row `row` of a Williams square of size k, written so that row 0 is 0, 1, ..., k-1."""
    zigzag = [0]
    for step in range(1, k):
        zigzag.append((zigzag[-1] + (step if step % 2 else -step)) % k)
    place = {symbol: i for i, symbol in enumerate(zigzag)}
    return tuple(place[(symbol + row) % k] for symbol in zigzag[:k])


def spread_ranks(n_half: int, pairs: int) -> list[int]:
    """Evenly spread ranks within the first half of a candidate's balls, for `pairs` mirrored pairs."""
    return [((2 * i + 1) * n_half - 1) // (2 * pairs) for i in range(pairs)]


def spread_swings(clubs: Sequence[str], counts: Mapping[str, Mapping[str, int]]) -> list[str]:
    """Give the swing of each ball: each club's swings evenly interleaved, in mirrored pairs.

    So none is early or late. `counts` are balls by club and swing; what is not counted is "stock", and an odd
    ball of a swing stands as near to the middle as there is room.
    """
    swings = ["stock"] * len(clubs)
    for club, wanted in counts.items():
        places = [i for i, name in enumerate(clubs) if name == club]
        n = len(places)
        free, odd = list(range(n // 2)), []
        for swing in ("flat-out", "gripped-down", "three-quarter", "half"):
            pairs = wanted.get(swing, 0) // 2
            ranks = [free[i] for i in spread_ranks(len(free), pairs)] if pairs else []
            for rank in ranks:
                swings[places[rank]] = swings[places[n - 1 - rank]] = swing
            free = [rank for rank in free if rank not in ranks]
            odd += [swing] * (wanted.get(swing, 0) % 2)
        inside = [places[n // 2]] if n % 2 else []
        inside += [places[r] for rank in reversed(free) for r in (n - 1 - rank, rank)]
        for place, swing in zip(inside, odd, strict=False):
            swings[place] = swing
    return swings


def changes(order: Sequence[str]) -> int:
    """How often the club changes."""
    return max(sum(1 for _ in groupby(order)) - 1, 0)


def is_blocked(visits: Sequence[str], order: Sequence[int], names: Sequence[str]) -> bool:
    """Tell whether candidates were hit in blocks, so that the club is mixed up with warming up and tiring.

    The three sequences belong to the candidates' balls. True when two candidates' mean ball numbers are more
    than BLOCKED_SHARE of the balls apart in any visit, or when they share no visit.
    """
    balls = sorted(zip(visits, order, names, strict=True), key=lambda ball: ball[:2])
    everyone = set(names)
    together = False
    for _, group in groupby(balls, key=lambda ball: ball[0]):
        inside = [name for _, _, name in group]
        together = together or set(inside) == everyone
        if len(set(inside)) > 1 and _apart(inside):
            return True
    return len(everyone) > 1 and not together


def mean_places(order: Sequence[str]) -> dict[str, float]:
    """Mean place from 0 of each club in an order, in the order of first balls."""
    return {
        club: sum(i for i, name in enumerate(order) if name == club) / order.count(club)
        for club in dict.fromkeys(order)
    }


def apart_of(order: Sequence[str]) -> float:
    """The largest difference of two clubs' mean places, as a share of the order; 0 without a ball."""
    means = mean_places(order).values()
    return (max(means) - min(means)) / len(order) if means else 0.0


def _apart(names: Sequence[str]) -> bool:
    means = mean_places(names).values()
    return max(means) - min(means) > BLOCKED_SHARE * len(names)


def _part(total: int, parts: int, index: int) -> int:
    """Size of part `index` when `total` balls are split as evenly as possible."""
    return total * (index + 1) // parts - total * index // parts


def _only(found: str | None, club: str, word: str) -> str:
    if found is not None and found != club:
        raise InputError(
            tell('Both "{found}" and "{club}" are wished {word}.', found=found, club=club, word=term(word)),
            tell("Only one club can be."),
        )
    return club


def _club(word: str | None, clubs: Sequence[str]) -> str:
    same = [club for club in clubs if clean_text(club) == clean_text(word or "")]
    if len(same) != 1:
        raise InputError(
            tell('The order is wished for "{word}", which is not hit.', word=(word or "")[:60]),
            nearest_names(word or "", clubs),
        )
    return same[0]
