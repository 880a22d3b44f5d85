"""How many clubs: slots free, and a smaller set for a slow swing or a beginner."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import numpy as np

from bagwright.bag.club import Bag, Player
from bagwright.bag.finding import Distance, Finding, Sentence, make_finding, phrase
from bagwright.distances.findings import is_slow
from bagwright.distances.rows import Row
from bagwright.distances.table import Step, StepRules
from bagwright.units import M_PER_YD
from bagwright.words import figure, join, tell, tell_n

SMALLEST_STEP_M = (8.0 * M_PER_YD, 12.0 * M_PER_YD)
"""Irons stand 8 to 15 yd apart: less is hardly worth a slot (common practice, no source)."""
FEWEST, MOST = 7, 14


def slots_free(bag: Bag) -> int:
    """Slots left under the Rules' 14 and the player's own limit; below 0 when too many are carried."""
    return min(MOST, bag.player.club_limit) - len(bag.with_status("carried"))


def slot_findings(bag: Bag, steps: Sequence[Step]) -> Iterator[Finding]:
    """Say how many slots are free and what for: the widest gap that no swing fills, or nothing."""
    free = slots_free(bag)
    if free <= 0:
        return
    open_gaps = [step for step in steps if step.word == "gap" and step.filled_by is None]
    text = tell_n(
        "{n} slot free of {most}.", "{n} slots free of {most}.", free, most=min(MOST, bag.player.club_limit)
    )
    if open_gaps:
        widest = max(open_gaps, key=lambda step: step.step_m.value / step.gap_above_m)
        step_text = tell(
            "The widest gap no swing fills is between {longer} and {shorter}.",
            longer=widest.longer,
            shorter=widest.shorter,
        )
    else:
        step_text = tell("No gap asks for a club; a free slot is no fault.")
    yield make_finding("slots to spare", (), (text,), (step_text,))


def set_size(rows: Sequence[Row], rules: StepRules) -> tuple[int, int] | None:
    """Fewest and most clubs, putter included, that cover the player's carries in steps worth having; 7 to 14.

    From the longest carry down, each step is at least the band's share of carry, one depth spread, and 8 or
    12 yd.
    None with fewer than three clubs hit.
    """
    hit = [row for row in rows if row.used == "measured" and row.in_steps]
    if len(hit) < 3:
        return None
    carry = np.array([float(np.median(row.carry)) for row in hit])
    spread = np.array([float(np.median(row.spread)) for row in hit])
    order = np.argsort(carry)
    carry, spread = carry[order], spread[order]
    counts = [
        1 + _clubs_between(carry, spread, share, step)
        for share, step in zip((rules.even_high, rules.even_low), reversed(SMALLEST_STEP_M), strict=True)
    ]
    few, many = (min(max(count, FEWEST), MOST) for count in counts)
    return few, many


def _clubs_between(carry: np.ndarray, spread: np.ndarray, share: float, smallest: float) -> int:
    """Clubs from the longest carry to the shortest when every step is as wide as it must be to count."""
    at, n = float(carry[-1]), 1
    while at > carry[0]:
        step = max(share * at, smallest, float(np.interp(at, carry, spread)))
        if at - step < carry[0] - 0.5 * step:
            break
        at, n = at - step, n + 1
    return n


def set_size_findings(
    rows: Sequence[Row], steps: Sequence[Step], player: Player | None, n_carried: int | None, rules: StepRules
) -> Iterator[Finding]:
    """Advise a smaller set where swing speed, handicap or age says that it may help; else say nothing."""
    reason = _why_fewer(rows, player, rules)
    size = set_size(rows, rules)
    carried = len(rows) + 1 if n_carried is None else n_carried
    if not reason or size is None or 2 * carried <= sum(size):
        return
    few, many = size
    how_many = figure(str(few)) if few == many else tell("{few} to {many}", few=few, many=many)
    words: Sentence = (
        phrase(
            "{reason}: {how_many} clubs, the putter among them, cover these carries in steps of at least "
            "{low} to {high} and of one depth spread (common practice, no source, for the steps; any number "
            "up to 14 is legal).",
            reason=reason,
            how_many=how_many,
            low=Distance(SMALLEST_STEP_M[0]),
            high=Distance(SMALLEST_STEP_M[1]),
        ),
    )
    spare = _leave_out(rows, carried - (few + many + 1) // 2, rules)
    step = (
        tell("These change the steps least when left at home: {spare}.", spare=join(", ", spare))
        if spare
        else ""
    )
    fewer = tell(" Fewer clubs are also lighter to carry and easier to learn.")
    yield make_finding("set size", tuple(spare), words, (step + fewer,))


def _why_fewer(rows: Sequence[Row], player: Player | None, rules: StepRules) -> str:
    if player is not None and player.age is not None and player.age < 18:
        return tell("For a junior")
    if is_slow(rows, player, rules):
        return tell("At this swing speed")
    if player is not None and player.handicap is not None and player.handicap >= rules.beginner_handicap:
        return tell("At this handicap")
    return ""


def _leave_out(rows: Sequence[Row], n: int, rules: StepRules) -> list[str]:
    """Names of up to n clubs, one by one the one whose going leaves the narrowest step; none makes a gap.

    The longest and the shortest club stay, and so does every club with a use of its own.
    """
    kept = [row for row in rows if row.in_steps]
    out: list[str] = []
    while len(out) < n and len(kept) > 2:
        options = [
            (_relative_step(kept[i - 1], kept[i + 1], rules), i)
            for i in range(1, len(kept) - 1)
            if not (kept[i].club and kept[i].club.use)  # type: ignore[union-attr]
        ]
        if not options or min(options)[0] > 1.0:
            break
        out.append(kept.pop(min(options)[1]).name)
    return out


def _relative_step(longer: Row, shorter: Row, rules: StepRules) -> float:
    """Divide the step two clubs would leave between them by the widest that is no gap."""
    middle, spread = 0.5 * (longer.carry + shorter.carry), 0.5 * (longer.spread + shorter.spread)
    return float(
        np.median((longer.carry - shorter.carry) / rules.gap_above(np.maximum(middle, 1e-6), spread))
    )
