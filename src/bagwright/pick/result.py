"""What a pick gives: the bag, the bags near it, what every club is worth, and how sure that is."""

from __future__ import annotations

from dataclasses import dataclass

from bagwright.estimate import Estimate
from bagwright.pick.further import Further
from bagwright.pick.wish import WITHIN_STROKES
from bagwright.words import join, tell

TIE_STROKES = 0.001
"""Bags that differ by less are called a tie (judgement). What the problem's own spots and balls leave open is
more: 0.006 strokes (sd) between random bags of the demo course, 0.018 at most (docs/benchmarks.md)."""


@dataclass(frozen=True, slots=True)
class HoleWorth:
    """What a club saves on one hole of one round, strokes each time it is played."""

    round: str
    hole: int
    strokes: float


@dataclass(frozen=True, slots=True)
class TakesOver:
    """A club that is used more without another one, and how many times a round."""

    club: str
    times: float


@dataclass(frozen=True, slots=True)
class Worth:
    """What a club of a bag saves: strokes a round of the same bag without it, less those with it.

    Worked out anew without the club, every decision chosen again. `holes` are those where it saves most.
    `range` is the 90 % range over what the shots leave open, None where that was not worked out.
    """

    club: str
    strokes: float
    times: float
    """How often a round uses it."""
    holes: tuple[HoleWorth, ...]
    takes_over: tuple[TakesOver, ...]
    range: Estimate | None = None


@dataclass(frozen=True, slots=True)
class RunnerUp:
    """A bag near the best one: how many strokes a round more, and what is swapped.

    `tie` says that the difference is below what the problem settles. `chance` (0..1) is how often it is the
    best bag of those near it, None where that was not worked out.
    """

    clubs: tuple[str, ...]
    more: float
    without: tuple[str, ...]
    instead: tuple[str, ...]
    tie: bool
    chance: float | None = None


@dataclass(frozen=True, slots=True)
class PinCost:
    """A club that is carried in any case, why, and the strokes a round that this costs."""

    club: str
    reason: str
    strokes: float


@dataclass(frozen=True, slots=True)
class HowSure:
    """How sure the pick is.

    `proof` says what is proven, `shots` what the shots leave open. `chance` (0..1) is how often the bag is
    the best of those near it when what the shots leave open is drawn anew; None where not worked out.
    """

    proof: str
    shots: str
    chance: float | None = None
    draws: int = 0
    further: tuple[Further, ...] = ()
    """Further balls that would move the choice most."""


@dataclass(frozen=True, slots=True)
class Anew:
    """A bag solved anew on every yard of its holes, all shots and aims free (`confirm`).

    `round` strokes a round; `more` than the picked bag solved so, `said_more` what the problem says.
    """

    clubs: tuple[str, ...]
    round: float
    more: float
    said_more: float


@dataclass(frozen=True, slots=True)
class Pick:
    """The best bag for a wish, under the model and the inputs of its problem.

    `round` are its strokes a weighted round. No allowed bag costs less than `bound`; `optimal` is true only
    where that is the round itself, proven. `likely_bound` is what hardly any bag is below, by measurement and
    not proven. `runners_up` are all bags within the wish's `within` strokes, the best first, where `optimal`;
    else those that were found. Of a list that is too long the nearest are given, `near` counts all.
    """

    clubs: tuple[str, ...]
    round: float
    bound: float
    likely_bound: float
    optimal: bool
    worth: tuple[Worth, ...]
    runners_up: tuple[RunnerUp, ...]
    near: int
    how_sure: HowSure
    pins: tuple[PinCost, ...]
    everything: float
    """Strokes a round with every club there is, however many."""
    today: float | None
    """Strokes a round with today's clubs; None where today's bag is not made of clubs to choose from."""
    method: str
    bags: int
    """Bags that were worked out."""
    seconds: float
    problem: str
    """Digest of the problem."""
    within: float = WITHIN_STROKES
    """Strokes within which near bags are listed: the wish's, or fewer where more come near than are kept."""

    @property
    def gap(self) -> float:
        """Strokes by which some bag could still be better: 0 where proven."""
        return max(0.0, self.round - self.bound)


def proof_words(optimal: bool, bags: int, every: bool, gap: float, likely_gap: float) -> str:
    """What is proven, as a sentence. Always under this model and these inputs."""
    if optimal and every:
        return tell(
            "Under this model and these inputs no allowed bag is better: all {bags} were worked out.",
            bags=bags,
        )
    if optimal:
        return tell(
            "Under this model and these inputs no allowed bag is better: {bags} were worked out, and more "
            "clubs never cost strokes, which rules out the others.",
            bags=bags,
        )
    told = tell(
        "Under this model and these inputs none better was found among {bags} bags. Not proven: a better one "
        "could save up to {gap:.3f} strokes a round.",
        bags=bags, gap=gap,
    )  # fmt: skip
    if likely_gap >= gap:
        return told
    more = tell(
        "By the sum of what single clubs are worth, which is right nearly always, up to {gap:.3f}.",
        gap=likely_gap,
    )
    return join(" ", (told, more))
