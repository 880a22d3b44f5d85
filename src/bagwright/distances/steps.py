"""The steps between neighbours: how wide, whether too wide or too narrow, and which swing fills a gap."""

from __future__ import annotations

import itertools
from collections.abc import Sequence
from typing import TYPE_CHECKING

import numpy as np

from bagwright.bag.names import split_club_name
from bagwright.distances.rows import Row, estimate, swing_carry
from bagwright.distances.table import Fits, SameJob, Step, StepRules, Used
from bagwright.estimate import Estimate
from bagwright.units import RAD_PER_DEG
from bagwright.words import join, tell, term_of

if TYPE_CHECKING:
    from bagwright.distances.table import Floats

_BOUNCE_APART_DEG = 3.0
"""Wedges this far apart in bounce suit different turf (common practice, no source for the figure)."""


def bag_steps(rows: Sequence[Row], fits: Fits, rules: StepRules) -> tuple[Step, ...]:
    """Make the steps between the carried clubs; candidates and spares take no part."""
    carried = [row for row in rows if row.in_steps]
    pairs = itertools.pairwise(carried)
    return tuple(_step(longer, shorter, fits, rules, i) for i, (longer, shorter) in enumerate(pairs))


def _step(longer: Row, shorter: Row, fits: Fits, rules: StepRules, i: int) -> Step:
    width = longer.carry - shorter.carry
    middle = np.maximum(0.5 * (longer.carry + shorter.carry), 1e-6)
    spread = 0.5 * (longer.spread + shorter.spread)
    overlap, gap = rules.overlap_below(middle, spread), rules.gap_above(middle, spread)
    p_overlap, p_gap = float(np.mean(width < overlap)), float(np.mean(width > gap))
    job, reason = same_job(longer, shorter, rules)
    low, high = rules.band(middle)
    even_low, even_high, middle_m = (float(np.median(x)) for x in (low, high, middle))
    wide = max(even_high, rules.wide_spreads * float(np.median(spread)))
    step = estimate(width)
    return Step(
        longer.name, shorter.name, step, step.value / middle_m, even_low, even_high,
        float(np.median(overlap)), float(np.median(gap)), p_overlap, p_gap,
        _word(step.value, even_low, wide, p_overlap, p_gap, job, rules.report_from), job, reason,
        _filler(longer, shorter, gap, fits, rules, i) if p_gap >= rules.report_from else None,
    )  # fmt: skip


def _word(
    step: float, low: float, wide: float, p_overlap: float, p_gap: float, job: SameJob, told_from: float
) -> str:
    if p_gap >= told_from:
        return tell("gap")
    if p_overlap >= told_from:
        return tell("overlap") if job == "yes" else tell("same carry")
    return tell("narrow") if step < low else tell("wide") if step > wide else tell("even")


def _filler(
    longer: Row, shorter: Row, gap: Floats, fits: Fits, rules: StepRules, i: int
) -> tuple[str, str, float, Used] | None:
    """Find the longer club's swing most likely to leave no gap on either side; None if none is likely."""
    swings = ["gripped-down"] + (["three-quarter"] if longer.kind == "wedge" else [])
    options: list[tuple[str, str, float, Used]] = []
    for j, swing in enumerate(swings):
        carry, used = swing_carry(longer, swing, fits, 10 * i + j)
        wider = np.maximum(longer.carry - carry, carry - shorter.carry)
        options.append((longer.name, swing, float(np.mean(wider <= gap)), used))
    found = max(options, key=lambda option: option[2])
    return found if found[2] >= rules.filled_from else None


def same_job(a: Row, b: Row, rules: StepRules) -> tuple[SameJob, str]:
    """Tell whether two clubs do the same job apart from their carry: flight, lies and use; and why.

    Anything known to differ makes it "no". Two of one kind with nothing said are taken as the same ("yes");
    two of different kinds are "not known" until their flight was measured and their use said.
    """
    if a.status == b.status == "by name" and _same_name(a, b):
        return "no", tell("two builds of one club, of which one is carried")
    for differs in (_flight_differs(a, b, rules), _use_differs(a, b), _turf_differs(a, b)):
        if differs:
            return "no", differs
    if a.kind and a.kind == b.kind:
        return "yes", _flight_said(a, b)
    if a.club and b.club and a.club.use and b.club.use and _flight_measured(a, b):
        return "yes", tell("same flight and same use")
    return "not known", tell("different kinds of club; flight, lies or use not told")


def _same_name(a: Row, b: Row) -> bool:
    """Without a bag, two names that begin with one and the same club are builds of it."""
    said = split_club_name(a.name)[0]
    return said is not None and said == split_club_name(b.name)[0]


def _flight_measured(a: Row, b: Row) -> bool:
    pairs = ((a.fit.descent_rad, b.fit.descent_rad), (a.fit.apex_m, b.fit.apex_m))
    return any(x is not None and y is not None for x, y in pairs)


def _flight_said(a: Row, b: Row) -> str:
    if _flight_measured(a, b):
        return tell("same kind of club and same flight")
    return tell("same kind of club; flight not measured, so compare height and descent before one goes")


def _flight_differs(a: Row, b: Row, rules: StepRules) -> str:
    """Words where descent or height differ by more than the rules allow and their ranges do not meet."""
    x, y = a.fit.descent_rad, b.fit.descent_rad
    if x and y and _apart(x, y) and abs(x.value - y.value) > rules.descent_apart_deg * RAD_PER_DEG:
        flatter, steeper = sorted((x.value / RAD_PER_DEG, y.value / RAD_PER_DEG))
        return tell(
            "they land at different angles ({flatter:.0f}° and {steeper:.0f}°)",
            flatter=flatter,
            steeper=steeper,
        )
    x, y = a.fit.apex_m, b.fit.apex_m
    if x and y and _apart(x, y) and abs(x.value - y.value) > rules.apex_apart_share * max(x.value, y.value):
        return tell("they fly at different heights")
    return ""


def _apart(x: Estimate, y: Estimate) -> bool:
    return x.low > y.high or y.low > x.high


def _use_differs(a: Row, b: Row) -> str:
    use_a, use_b = (tuple(sorted(row.club.use)) if row.club else () for row in (a, b))
    if use_a != use_b:
        uses = [
            tell("{row}: {use}", row=row.name, use=join(", ", use))
            for row, use in ((a, use_a), (b, use_b))
            if use
        ]
        return tell("they are kept for different uses ({uses})", uses=join("; ", uses))
    if (a.kind == "driver") != (b.kind == "driver"):
        return tell("the driver is for the tee")
    return ""


def _turf_differs(a: Row, b: Row) -> str:
    """Words where two wedges are made for different turf: bounce or sole."""
    if a.kind != "wedge" or b.kind != "wedge" or not a.club or not b.club:
        return ""
    bounces = (a.club.bounce_deg, b.club.bounce_deg)
    if (
        bounces[0] is not None
        and bounces[1] is not None
        and abs(bounces[0] - bounces[1]) >= _BOUNCE_APART_DEG
    ):
        return tell(
            "their bounce is {bounces:g}° and {bounces_2:g}°, for different turf",
            bounces=bounces[0],
            bounces_2=bounces[1],
        )
    if a.club.sole and b.club.sole and a.club.sole != b.club.sole:
        return tell(
            "their soles differ ({sole} and {sole_2})",
            sole=term_of(a.club.sole, "sole"),
            sole_2=term_of(b.club.sole, "sole"),
        )
    return ""
