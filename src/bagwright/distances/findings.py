"""What stands out between neighbours: overlaps, gaps, a bunched long end, clubs off the loft line."""

from __future__ import annotations

import itertools
from collections.abc import Iterator, Sequence

import numpy as np

from bagwright.bag.club import Player
from bagwright.bag.finding import Distance, Finding, Sentence, make_finding
from bagwright.distances.newclub import COMMON_M_PER_DEG, new_club
from bagwright.distances.rows import Row, estimate
from bagwright.distances.table import LoftLine, Step, StepRules
from bagwright.estimate import Estimate, percent
from bagwright.units import M_PER_YD, MPS_PER_MPH

YD_PER_MPH = 2.3
"""Driver carry for each mph of head speed, the same as in the prior of the player's length."""
_LOFT_APART_DEG = 2.0
_COMMON = (Distance(COMMON_M_PER_DEG[0], 1), " to ", Distance(COMMON_M_PER_DEG[1], 1))
_FULL_ONLY = " Full swings only: hit three-quarter and half swings, from turf and sand, before one goes."


def is_slow(rows: Sequence[Row], player: Player | None, rules: StepRules) -> bool:
    """Tell whether driver speed, as given or as the longest carry suggests, is under the rules' limit."""
    if player is not None and player.driver_speed_mps is not None:
        return player.driver_speed_mps < rules.slow_below_mps
    longest = max((float(np.median(row.carry)) for row in rows if row.used == "measured"), default=np.inf)
    return longest / M_PER_YD / YD_PER_MPH * MPS_PER_MPH < rules.slow_below_mps


def step_findings(steps: Sequence[Step], rows: Sequence[Row], bunched: frozenset[str]) -> Iterator[Finding]:
    """Gaps, then overlaps. Pairs inside a bunched long end are told there and not again here."""
    by_name = {row.name: row for row in rows}
    for step in steps:
        pair = by_name[step.longer], by_name[step.shorter]
        if step.word == "gap":
            yield _gap(step, pair, rows)
        elif step.word in ("overlap", "same carry") and not bunched.issuperset({step.longer, step.shorter}):
            yield _overlap(step, pair)


def _overlap(step: Step, pair: tuple[Row, Row]) -> Finding:
    full = (_FULL_ONLY,) if _full_wedges(pair) else ()
    start: Sentence = (
        f"{step.longer} and {step.shorter} are only ", Distance(step.step_m),
        " apart; the player's own spread makes less than ", Distance(step.overlap_below_m), " one distance.",
    )  # fmt: skip
    predicted = _predicted(pair)
    clubs = (step.longer, step.shorter)
    if step.word == "overlap":
        next_step: Sentence = (
            f"{_sentence(step.same_job_reason)} One of the two can go, or be bent apart.",
            *full,
        )
        return make_finding("overlap", clubs, (*start, predicted), next_step, step.p_overlap)
    if step.same_job == "no":
        next_step = (
            f"Not an overlap: {step.same_job_reason}. Keep both only if that is worth a slot.",
            *full,
        )
    else:
        next_step = ("Say what each is for (use = [...]), and measure height and descent, to know.", *full)
    return make_finding("same carry", clubs, (*start, predicted), next_step, step.p_overlap)


def _full_wedges(pair: Sequence[Row]) -> bool:
    """Two wedges of which at least one is known from full swings only."""
    return all(row.kind == "wedge" for row in pair) and not all(row.partial_hit for row in pair)


def _sentence(text: str) -> str:
    return text[:1].upper() + text[1:] + "."


def _predicted(pair: Sequence[Row]) -> str:
    names = [row.name for row in pair if row.used == "predicted"]
    return f" Not hit, predicted from the rest of the bag: {', '.join(names)}." if names else ""


def _gap(step: Step, pair: tuple[Row, Row], rows: Sequence[Row]) -> Finding:
    start: Sentence = (
        f"Between {step.longer} and {step.shorter} lie ", Distance(step.step_m), ", more than ",
        Distance(step.gap_above_m), "." + _predicted(pair),
    )  # fmt: skip
    clubs = (step.longer, step.shorter)
    if step.filled_by is not None:
        club, swing, chance, used = step.filled_by
        how = "was hit and fills" if used == "measured" else "is expected to fill"
        words = (*start, f" A {swing} {club} {how} it (chance {percent(chance)}).")
        check = (
            "No club is needed for it."
            if used == "measured"
            else f"Hit five {swing} balls with it to be sure."
        )
        return make_finding("filled gap", clubs, words, (check,), step.p_gap)
    return make_finding("gap", clubs, start, _what_would_fill(pair, rows), step.p_gap)


def _what_would_fill(pair: tuple[Row, Row], rows: Sequence[Row]) -> Sentence:
    wanted = new_club(*pair, rows)
    text: list[str | Distance] = ["A club that carries ", Distance(wanted.carry_m), " would even the bag."]
    if wanted.own_deg is not None:
        text.append(f" By the player's own loft line that takes {_degrees(wanted.own_deg)} of loft;")
        text += [" by ", *_COMMON, f" a degree {_degrees(wanted.common_deg)} (common practice, no source)."]
    elif wanted.common_deg is not None:
        loft = _degrees(wanted.common_deg)
        text += [" At ", *_COMMON, f" a degree (common practice, no source) that takes {loft}."]
    if _full_wedges(pair):
        text.append(
            " Full swings only: try three-quarter swings first, and choose bounce and sole for the turf."
        )
    return tuple(text)


def _degrees(loft: Estimate | None) -> str:
    if loft is None:
        return "a loft nobody can tell"
    return f"{loft.value:.1f}° (90 % range {loft.low:.0f} to {loft.high:.0f})"


def bunched_long_end(rows: Sequence[Row], player: Player | None, rules: StepRules) -> tuple[Finding, ...]:
    """Find runs of long clubs whose lofts differ but whose carries do not.

    Long clubs are hit, carried, not the driver, and under `long_end_loft_deg` of loft. Two neighbours by
    loft belong to a run when the stronger one more likely than not fails to carry past the other by a step
    that counts.
    """
    long = [
        row
        for row in rows
        if row.in_steps and row.used == "measured" and row.kind in ("wood", "hybrid", "iron")
        and row.loft_deg is not None and row.loft_deg <= rules.long_end_loft_deg
    ]  # fmt: skip
    long.sort(key=lambda row: row.loft_deg or 0.0)
    runs: list[list[Row]] = []
    for stronger, weaker in itertools.pairwise(long):
        if _bunched([stronger, weaker], rules) < 0.5 or _loft_span([stronger, weaker]) < _LOFT_APART_DEG:
            continue
        if runs and runs[-1][-1] is stronger:
            runs[-1].append(weaker)
        else:
            runs.append([stronger, weaker])
    told = [(run, _bunched(run, rules)) for run in runs]
    slow = is_slow(rows, player, rules)
    told_from = rules.report_from if slow else max(rules.report_from, rules.bunch_from)
    return tuple(_bunch(run, p, slow) for run, p in told if p >= told_from)


def _loft_span(run: Sequence[Row]) -> float:
    return (run[-1].loft_deg or 0.0) - (run[0].loft_deg or 0.0)


def _bunched(run: Sequence[Row], rules: StepRules) -> float:
    """Probability that a run of clubs spans less carry than steps that only just count would."""
    first, last = run[0], run[-1]
    middle = np.maximum(np.mean([row.carry for row in run], axis=0), 1e-6)
    spread = np.mean([row.spread for row in run], axis=0)
    return float(np.mean(first.carry - last.carry < (len(run) - 1) * rules.overlap_below(middle, spread)))


def _bunch(run: Sequence[Row], probability: float, slow: bool) -> Finding:
    names = ", ".join(row.name for row in run)
    span = estimate(run[0].carry - run[-1].carry)
    words: Sentence = (
        f"The long end bunches: {_loft_span(run):.0f}° of loft part {names}, but only ", Distance(span),
        " of carry.",
    )  # fmt: skip
    why = "At this speed less loft brings no more carry (common practice, no source). " if slow else ""
    step = (
        f"{why}One of them, with more loft or a longer shaft and a wider sole, may do the work of all; "
        "keep the one struck and stopped more surely."
    )
    return make_finding("long end", tuple(row.name for row in run), words, (step,), probability)


def off_line_findings(line: LoftLine | None, bunched: frozenset[str], rules: StepRules) -> Iterator[Finding]:
    """Clubs whose carry does not fit their loft as the player's other clubs do."""
    for name, off, probability in line.off_m if line else ():
        if probability < rules.report_from or name in bunched:
            continue
        far = (
            Estimate(off.value, off.low, off.high)
            if off.value > 0
            else Estimate(-off.value, -off.high, -off.low)
        )
        way = "more" if off.value > 0 else "less"
        words: Sentence = (
            f"{name} carries ", Distance(far), f" {way} than its loft suggests by the player's other clubs.",
        )  # fmt: skip
        step = "Measure its loft and length; then look at strike, shaft and ball position with it."
        yield make_finding("off the loft line", (name,), words, (step,), probability)
