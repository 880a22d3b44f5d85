"""What stands out between neighbours: overlaps, gaps, a bunched long end, clubs off the loft line."""

from __future__ import annotations

import itertools
from collections.abc import Iterator, Sequence

import numpy as np

from bagwright.bag.club import Player
from bagwright.bag.finding import Distance, Finding, Phrase, Sentence, make_finding, phrase
from bagwright.distances.newclub import COMMON_M_PER_DEG, new_club
from bagwright.distances.rows import Row, estimate
from bagwright.distances.table import LoftLine, Step, StepRules
from bagwright.estimate import Estimate, percent
from bagwright.units import M_PER_YD, MPS_PER_MPH
from bagwright.words import first_upper, join, tell, term

YD_PER_MPH = 2.3
"""Driver carry for each mph of head speed, the same as in the prior of the player's length."""
_LOFT_APART_DEG = 2.0
_COMMON = (Distance(COMMON_M_PER_DEG[0], 1), Distance(COMMON_M_PER_DEG[1], 1))


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
    full: Sentence = ()
    if _full_wedges(pair):
        full = (
            tell(
                " Full swings only: hit three-quarter and half swings, from turf and sand, before one goes."
            ),
        )
    start = phrase(
        "{longer} and {shorter} are only {step} apart; the player's own spread makes less than {least} one "
        "distance.",
        longer=step.longer,
        shorter=step.shorter,
        step=Distance(step.step_m),
        least=Distance(step.overlap_below_m),
    )
    predicted = _predicted(pair)
    clubs = (step.longer, step.shorter)
    if step.word == "overlap":
        next_step: Sentence = (
            tell("{reason} One of the two can go, or be bent apart.", reason=_sentence(step.same_job_reason)),
            *full,
        )
        return make_finding("overlap", clubs, (start, predicted), next_step, step.p_overlap)
    if step.same_job == "no":
        next_step = (
            tell(
                "Not an overlap: {reason}. Keep both only if that is worth a slot.",
                reason=step.same_job_reason,
            ),
            *full,
        )
    else:
        next_step = (
            tell("Say what each is for (use = [...]), and measure height and descent, to know."),
            *full,
        )
    return make_finding("same carry", clubs, (start, predicted), next_step, step.p_overlap)


def _full_wedges(pair: Sequence[Row]) -> bool:
    """Two wedges of which at least one is known from full swings only."""
    return all(row.kind == "wedge" for row in pair) and not all(row.partial_hit for row in pair)


def _sentence(text: str) -> str:
    return first_upper(text) + "."


def _predicted(pair: Sequence[Row]) -> str:
    names = [row.name for row in pair if row.used == "predicted"]
    if not names:
        return ""
    return tell(" Not hit, predicted from the rest of the bag: {names}.", names=join(", ", names))


def _gap(step: Step, pair: tuple[Row, Row], rows: Sequence[Row]) -> Finding:
    start: Sentence = (
        phrase(
            "Between {longer} and {shorter} lie {step}, more than {most}.",
            longer=step.longer,
            shorter=step.shorter,
            step=Distance(step.step_m),
            most=Distance(step.gap_above_m),
        ),
        _predicted(pair),
    )
    clubs = (step.longer, step.shorter)
    if step.filled_by is not None:
        club, swing, chance, used = step.filled_by
        told = {"swing": term(swing), "club": club, "chance": percent(chance)}
        if used == "measured":
            fills = tell(" A {swing} {club} was hit and fills it (chance {chance}).", **told)
            check = tell("No club is needed for it.")
        else:
            fills = tell(" A {swing} {club} is expected to fill it (chance {chance}).", **told)
            check = tell("Hit five {swing} balls with it to be sure.", swing=term(swing))
        return make_finding("filled gap", clubs, (*start, fills), (check,), step.p_gap)
    return make_finding("gap", clubs, start, _what_would_fill(pair, rows), step.p_gap)


def _what_would_fill(pair: tuple[Row, Row], rows: Sequence[Row]) -> Sentence:
    wanted = new_club(*pair, rows)
    text: list[str | Distance | Phrase] = [
        phrase("A club that carries {carry} would even the bag.", carry=Distance(wanted.carry_m))
    ]
    low, high = _COMMON
    common = _degrees(wanted.common_deg)
    if wanted.own_deg is not None:
        text.append(
            phrase(
                " By the player's own loft line that takes {own} of loft; by {low} to {high} a degree "
                "{common} (common practice, no source).",
                own=_degrees(wanted.own_deg),
                low=low,
                high=high,
                common=common,
            )
        )
    elif wanted.common_deg is not None:
        text.append(
            phrase(
                " At {low} to {high} a degree (common practice, no source) that takes {common}.",
                low=low,
                high=high,
                common=common,
            )
        )
    if _full_wedges(pair):
        text.append(
            tell(
                " Full swings only: try three-quarter swings first, and choose bounce and sole for the turf."
            )
        )
    return tuple(text)


def _degrees(loft: Estimate | None) -> str:
    if loft is None:
        return tell("a loft nobody can tell")
    return tell(
        "{loft:.1f}° (90 % range {low:.0f} to {high:.0f})", loft=loft.value, low=loft.low, high=loft.high
    )


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
    span = estimate(run[0].carry - run[-1].carry)
    words: Sentence = (
        phrase(
            "The long end bunches: {lofts:.0f}° of loft part {names}, but only {span} of carry.",
            lofts=_loft_span(run),
            names=join(", ", [row.name for row in run]),
            span=Distance(span),
        ),
    )
    why = tell("At this speed less loft brings no more carry (common practice, no source). ") if slow else ""
    step = why + tell(
        "One of them, with more loft or a longer shaft and a wider sole, may do the work of all; "
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
        told = {"name": name, "far": Distance(far)}
        words: Sentence = (
            phrase("{name} carries {far} more than its loft suggests by the player's other clubs.", **told)
            if off.value > 0
            else phrase(
                "{name} carries {far} less than its loft suggests by the player's other clubs.", **told
            ),
        )
        step = tell("Measure its loft and length; then look at strike, shaft and ball position with it.")
        yield make_finding("off the loft line", (name,), words, (step,), probability)
