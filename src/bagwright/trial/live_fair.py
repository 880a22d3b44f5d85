"""How fair an order is, as it was hit and as what is left of it will be."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import combinations, groupby

from bagwright.trial.live import Joined, Queue, order_of
from bagwright.trial.order import BLOCKED_SHARE, is_blocked, mean_places
from bagwright.words import tell

EVEN_SHARE = 0.02
"""Mean places of two candidates closer than this share of the test balls count as even (judgement)."""


@dataclass(frozen=True, slots=True)
class Apart:
    """By how much of the test balls the mean place of `second` lies behind that of `first`."""

    first: str
    second: str
    share: float


@dataclass(frozen=True, slots=True)
class Fairness:
    """How even an order is: 0 for a mirrored one.

    `apart` is the largest difference of any pair, `blocked` true where it mixes the club up with warming up
    and tiring, `longest_block` the most balls in a row with one club.
    """

    pairs: tuple[Apart, ...]
    apart: float
    blocked: bool
    longest_block: int
    words: tuple[str, ...]


def fairness(queue: Queue) -> Fairness:
    """How fair the whole order is, hit and waiting balls together; skipped ones are left out."""
    order = order_of(queue)
    means = mean_places(order)
    pairs = tuple(Apart(a, b, (means[b] - means[a]) / len(order)) for a, b in combinations(means, 2))
    apart = max((abs(pair.share) for pair in pairs), default=0.0)
    longest = max((len(list(group)) for _, group in groupby(order)), default=0)
    blocked = is_blocked([""] * len(order), range(len(order)), order)
    late = [one for one in queue.joined if one.after and one.club in means]
    said = {one.club for one in late}
    rest = [pair for pair in pairs if pair.first not in said and pair.second not in said]
    words = (*_uneven(rest), *(_came_late(one, pairs, len(order)) for one in late))
    return Fairness(pairs, apart, blocked, longest, words)


def worse(before: Queue, after: Queue) -> str:
    """What a step did to the order's fairness in one sentence, "" where it did no harm."""
    was, now = fairness(before), fairness(after)
    if now.apart <= max(was.apart, EVEN_SHARE) + 1e-9:
        return ""
    pair = max(now.pairs, key=lambda one: abs(one.share))
    early, late = _early_late(pair)
    return tell(
        "With this step {late} is hit {percent} of the test balls later than {early} on "
        "average (before it: {percent_2} at most): the comparison gets wider.",
        late=late,
        percent=_percent(now.apart),
        early=early,
        percent_2=_percent(was.apart),
    )


def _early_late(pair: Apart) -> tuple[str, str]:
    return (pair.first, pair.second) if pair.share > 0 else (pair.second, pair.first)


def _uneven(pairs: Sequence[Apart]) -> list[str]:
    """One sentence for the pair that is farthest apart, where that is more than even."""
    pair = max(pairs, key=lambda one: abs(one.share), default=None)
    if pair is None or abs(pair.share) <= EVEN_SHARE:
        return []
    early, late = _early_late(pair)
    blocks = tell("; that is hitting in blocks") if abs(pair.share) > BLOCKED_SHARE else ""
    return [
        tell(
            "{late} is hit {percent} of the test balls later than {early} on average, where a "
            "mirrored order has none{blocks}: warming up and tiring between them are estimated "
            "by the model, not balanced, and the comparison is wider.",
            late=late,
            percent=_percent(abs(pair.share)),
            early=early,
            blocks=blocks,
        )
    ]


def _came_late(one: Joined, pairs: Sequence[Apart], balls: int) -> str:
    """What it costs that a candidate came in mid-visit, against the candidate it is farthest from."""
    mine = [pair for pair in pairs if one.club in (pair.first, pair.second)]
    pair = max(mine, key=lambda each: abs(each.share), default=None)
    apart = ""
    if pair is not None and abs(pair.share) > EVEN_SHARE:
        early, late = _early_late(pair)
        other = (
            tell("later than {early}", early=early)
            if late == one.club
            else tell("earlier than {late}", late=late)
        )
        apart = tell(
            " and is hit {percent} of the test balls {other} on average",
            percent=_percent(abs(pair.share)),
            other=other,
        )
    return tell(
        "{one_club} came in after {after} of {balls} test balls{apart}: warming up and "
        "tiring between it and the others are estimated by the model, not balanced, and the "
        "comparison with it is wider.",
        one_club=one.club,
        after=one.after,
        balls=balls,
        apart=apart,
    )


def _percent(share: float) -> str:
    return tell("{share:.0f} %", share=100 * share)
