"""Predictions held against what came later: how many of the later solid shots fell inside.

The balls of one club share the doubt of its centre and the day, so that they are worth fewer than they are.
How much their being inside goes together follows from the prediction itself (the share of its variance
that is common); the count is divided by the design effect 1 + (n - 1) r (Kish 1965), and the share of balls
inside has a Jeffreys interval with what is left (Brown, Cai and DasGupta 2001; effective size after Korn and
Graubard 1998). A prediction is called too narrow or too wide only where that range leaves the promised share
out.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Literal

import numpy as np
from scipy.special import betaincinv, ndtr, ndtri

from bagwright.dispersion._kernel import Floats
from bagwright.dispersion.cells import sort_shots
from bagwright.dispersion.predict import LEVELS, SIDE_NOTE, Interval, Prediction
from bagwright.errors import InputError
from bagwright.estimate import LEVEL, Estimate
from bagwright.shots.record import ShotTable
from bagwright.words import tell

Quantity = Literal["carry", "side"]
When = Literal["same visit", "later visit"]
Word = Literal["as promised", "too narrow", "too wide", "too few balls to tell"]

LEAST_BALLS = 10.0
"""Fewer balls, counted for what they are worth, are not called too narrow or too wide (judgement)."""
_NODES = np.polynomial.hermite_e.hermegauss(64)


def share_range(inside: float, balls: float, level: float = LEVEL) -> Estimate:
    """A share from counts, with the range that holds it with probability `level`: the Jeffreys interval.

    Quantiles of Beta(x + 1/2, n - x + 1/2) with the low end 0 where x is 0 and the high end 1 where x is n
    (Brown, Cai and DasGupta 2001, Statistical Science 16:101). The value is x/n, 1/2 without any ball.
    Counts need not be whole, as balls that go together count for less. Raises InputError for counts that
    cannot be.
    """
    if not (math.isfinite(balls) and 0.0 <= inside <= balls):
        raise InputError(
            tell("{inside:g} of {balls:g} balls cannot be inside.", inside=inside, balls=balls),
            tell("Give counts with 0 <= x <= n."),
        )
    if not 0.0 < level < 1.0:
        raise InputError(
            tell("A level of {level:g} is no probability.", level=level), tell("Give one between 0 and 1.")
        )
    if balls == 0.0:
        return Estimate(0.5, 0.0, 1.0)
    a, b, tail = inside + 0.5, balls - inside + 0.5, 0.5 * (1.0 - level)
    low = 0.0 if inside == 0.0 else float(betaincinv(a, b, tail))
    high = 1.0 if inside == balls else float(betaincinv(a, b, 1.0 - tail))
    value = inside / balls
    return Estimate(value, min(low, value), max(high, value))


def go_together(shared: float, level: float) -> float:
    """Correlation of "inside" between two balls whose values have the correlation `shared` (0..1).

    Both values are normal and the interval is the middle `level` of them: integrated over what they share by
    Gauss-Hermite. 0 where nothing is shared, 1 where all is.
    """
    if shared <= 0.0:
        return 0.0
    if shared >= 1.0:
        return 1.0
    z = float(ndtri(0.5 + 0.5 * level))
    x, w = _NODES
    rest = math.sqrt(1.0 - shared)
    inside = ndtr((z - math.sqrt(shared) * x) / rest) - ndtr((-z - math.sqrt(shared) * x) / rest)
    share = w / w.sum()
    both = float(share @ inside**2)
    return min(max((both - level**2) / (level * (1.0 - level)), 0.0), 1.0)


@dataclass(frozen=True, slots=True)
class RecordLine:
    """For one kind of club: later solid balls, how many fell inside, and the share that this suggests.

    `worth` is what the balls are worth as a count, as those of one club and visit go together. `level` is
    the share that was promised.
    """

    quantity: Quantity
    when: When
    kind: str
    level: float
    balls: int
    inside: int
    worth: float
    share: Estimate
    word: Word

    @property
    def sentence(self) -> str:
        """In words: "nominal 90 %; 41 of 48 inside: as promised"."""
        return tell(
            "nominal {level:.0f} %; {inside} of {balls} inside: {word}",
            level=100 * self.level,
            inside=self.inside,
            balls=self.balls,
            word=self.word,
        )


@dataclass(frozen=True, slots=True)
class Record:
    """What became of the predictions; `left_out` counts the later shots that say nothing, by reason."""

    lines: tuple[RecordLine, ...]
    left_out: tuple[tuple[str, int], ...]

    def line(
        self,
        quantity: Quantity = "carry",
        when: When = "later visit",
        kind: str = "all",
        level: float = LEVEL,
    ) -> RecordLine | None:
        """Find one line; None where no ball belongs to it. `kind` "all" is all clubs together."""
        wanted = (quantity, when, kind, level)
        return next((o for o in self.lines if (o.quantity, o.when, o.kind, o.level) == wanted), None)


def score(
    predictions: Iterable[Prediction], later: ShotTable, solid_probability: Floats | None = None
) -> Record:
    """Count how many later solid shots fell inside what was predicted of them.

    A shot whose visit is the prediction's own is held against the rest of that visit, carry and side; any
    other against another day, carry only. Warm-up balls, bad reads and marked mishits say nothing of solid
    strikes; with `solid_probability` (n,), such as a fit of the later shots gives, those that are more
    likely not solid are left out too, and without it every unmarked shot counts as solid. `later` must not
    hold a shot that the predictions were made from.
    """
    by_key = {one.key: one for one in predictions}
    if solid_probability is not None and len(solid_probability) != later.n:
        raise InputError(
            tell(
                "{n_} shots came with {solid_probability} chances of being solid.",
                n_=later.n,
                solid_probability=len(solid_probability),
            ),
            tell("Give one a shot."),
        )
    sorted_ = sort_shots(later)
    out = Counter(left.reason for left in sorted_.left_out)
    visits = later.text("visit")
    groups: dict[_Group, list[float]] = {}
    for key, cell in sorted_.cells.items():
        known = by_key.get(key)
        if known is None:
            out["club and swing that nothing was predicted of"] += cell.n
            continue
        for i, carry, side, at_least, mishit in zip(
            cell.index, cell.carry_m, cell.offline_m, cell.at_least, cell.mishit, strict=True
        ):
            if mishit or (solid_probability is not None and not solid_probability[int(i)] >= 0.5):
                out["not solid"] += 1
                continue
            visit = visits[int(i)]
            _take(groups, out, known, visit, None if at_least else float(carry), float(side))
    return Record(_lines(groups), tuple(sorted((reason, n) for reason, n in out.items() if n)))


@dataclass(frozen=True, slots=True)
class _Group:
    """Later balls that share a prediction and a visit."""

    quantity: Quantity
    when: When
    kind: str
    visit: str
    interval: Interval
    key: tuple[str, str]


def _take(
    groups: dict[_Group, list[float]],
    out: Counter[str],
    known: Prediction,
    visit: str,
    carry: float | None,
    side: float,
) -> None:
    """Put one solid ball's carry and side where they are counted, or say why not."""
    same = visit == known.visit
    when: When = "same visit" if same else "later visit"
    if carry is None:
        out["carry only known to be at least so much"] += 1
    elif math.isnan(carry):
        out["carry not measured"] += 1
    else:
        interval = known.carry if same else known.later_carry
        groups.setdefault(_Group("carry", when, known.kind, visit, interval, known.key), []).append(carry)
    if math.isnan(side):
        out["side not measured"] += 1
    elif same:
        groups.setdefault(_Group("side", when, known.kind, visit, known.side, known.key), []).append(side)
    else:
        out[f"side of another day: not predicted. {SIDE_NOTE}"] += 1


def _lines(groups: dict[_Group, list[float]]) -> tuple[RecordLine, ...]:
    """All clubs together first, then each kind, for every quantity, day and level that has balls."""
    found = []
    names: list[tuple[Quantity, When]] = [
        ("carry", "same visit"), ("side", "same visit"), ("carry", "later visit"),
    ]  # fmt: skip
    for quantity, when in names:
        here = [(g, values) for g, values in groups.items() if (g.quantity, g.when) == (quantity, when)]
        kinds = sorted({group.kind for group, _ in here if group.kind})
        for kind in ("all", *kinds):
            mine = [(g, values) for g, values in here if kind in ("all", g.kind)]
            found += [_line(mine, quantity, when, kind, level) for level in LEVELS if mine]
    return tuple(found)


def _line(
    groups: list[tuple[_Group, list[float]]], quantity: Quantity, when: When, kind: str, level: float
) -> RecordLine:
    balls = inside = 0
    variance = 0.0
    for group, values in groups:
        low, high = group.interval.at(level)
        n = len(values)
        balls += n
        inside += sum(low <= value <= high for value in values)
        variance += n * (1.0 + (n - 1) * go_together(group.interval.shared, level))
    worth = balls * balls / variance
    share = share_range(worth * inside / balls, worth)
    return RecordLine(quantity, when, kind, level, balls, inside, worth, share, _word(share, worth, level))


def _word(share: Estimate, worth: float, level: float) -> Word:
    if worth < LEAST_BALLS:
        return "too few balls to tell"
    if share.high < level:
        return "too narrow"
    return "too wide" if share.low > level else "as promised"
