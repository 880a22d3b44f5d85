"""The verdict: which candidate earns the slot, how sure that is, and what more balls would change."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Literal

import numpy as np

from bagwright.bag.club import Bag
from bagwright.errors import InputError
from bagwright.estimate import Estimate, probability_words
from bagwright.shots.record import Conditions, ShotTable
from bagwright.trial import cautions as caution
from bagwright.trial.case import Case
from bagwright.trial.compare import Lead, chance_less, chances_of_least, lead, range_of
from bagwright.trial.flight import flight_side
from bagwright.trial.further import further_balls
from bagwright.trial.miss import Pattern, expected_miss
from bagwright.trial.place import find_spot, middle_loft
from bagwright.trial.prepare import Prepared, blocked_visit, prepare
from bagwright.trial.ratings import Ratings, read_ratings
from bagwright.trial.result import Answer, Candidate, Measure, NextBalls, Verdict, Weighed
from bagwright.trial.said import said_of
from bagwright.trial.sentence import verdict_sentence
from bagwright.trial.spread import dispersion_side
from bagwright.trial.standing import place_side
from bagwright.trial.strike import strike_side
from bagwright.trial.value import price_of
from bagwright.trial.weights import Weights, added
from bagwright.units import M_PER_YD, System
from bagwright.words import tell

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from bagwright.dispersion.fit import Dispersions

    Floats = NDArray[np.float64]

DRAWS = 2048
WITHIN_M = 4.0 * M_PER_YD
"""Two candidates this near each other on the measure are close."""
_CLOSE_FROM = 0.75
_TELL_FROM = 0.60


@dataclass(frozen=True, slots=True)
class _Score:
    """Draws (n, k) of each candidate's `miss`, what weights have `added`, and the `cost` that decides."""

    miss: Floats
    added: Floats
    cost: Floats
    leader: Lead
    weighed: tuple[Weighed, ...]


def judge(
    shots: ShotTable,
    slot: str | Sequence[str],
    bag: Bag | None = None,
    *,
    fits: Dispersions | None = None,
    by: Measure = "miss",
    weights: Weights | None = None,
    ratings: Ratings | None = None,
    width_m: float | None = None,
    spot_m: float | None = None,
    careful: str = "normal",
    aligned: bool = False,
    compare: Literal["build", "ball"] = "build",
    system: System = "yards",
    conditions: Mapping[str, Conditions] | None = None,
) -> Verdict:
    """Judge the candidates for a slot from four sides and choose one.

    By "miss" the choice has the least expected miss from the slot's spot (plus what `weights` add); by
    "carry" the longest solid strikes. `slot` names the candidates, or one slot whose rivals the bag knows;
    the club now in the slot takes part by default. `fits` saves fitting again. `width_m` is a full width
    around the target line, `spot_m` the slot's carry where the brief says one. `compare="ball"` takes the
    balls hit with one club as the candidates. `system` sets the units of the sentences only; all numbers stay
    in metres. `conditions` by visit say the air and how the figures came about, for the flights.

    Raises InputError for unknown names, candidates without shots, or options that cannot be used.
    """
    weights = weights if weights is not None else Weights()
    _check(by, weights, width_m, spot_m)
    price_of(careful)
    prepared = prepare(shots, slot, bag, fits, compare == "ball")
    case = replace(_case(prepared, bag, ratings, width_m, spot_m, system), said=said_of(conditions or {}))
    score = _score(case, by, weights)
    next_balls, next_sentence = further_balls(
        case, by, (score.leader.first, score.leader.second), score.added, careful
    )
    return _verdict(case, prepared, score, by, next_balls, next_sentence, aligned)


def _check(by: str, weights: Weights, width_m: float | None, spot_m: float | None) -> None:
    if by not in ("miss", "carry"):
        raise InputError(
            tell('"{by}" is no measure.', by=str(by)[:20]), tell('Decide by "miss" or by "carry".')
        )
    if by == "carry" and weights != Weights():
        raise InputError(
            tell("Weights count beside the expected miss, not beside carry."), tell('Decide by "miss".')
        )
    for name, value in (("width", width_m), ("spot", spot_m)):
        if value is not None and not (math.isfinite(value) and value > 0.0):
            raise InputError(
                tell("A {name} of {value} m cannot be used.", name=name, value=value),
                tell("Give a positive distance."),
            )


def _case(
    prepared: Prepared,
    bag: Bag | None,
    ratings: Ratings | None,
    width_m: float | None,
    spot_m: float | None,
    system: System,
) -> Case:
    entries, fits = prepared.slot.entries, prepared.fits
    blocked = blocked_visit(prepared)
    pattern = Pattern.of(fits.candidates([entry.key for entry in entries], blocked, DRAWS))
    present = prepared.slot.present
    without = {entry.club for entry in entries if entry.swing.startswith("stock")}
    without |= {present.name} if present is not None else set()
    means = [float(mean) for mean in pattern.carry_m.mean(axis=0)]
    clubs = [bag.find(entry.club) for entry in entries] if bag is not None else []
    spot = find_spot(present, means, bag, fits, without, spot_m, middle_loft(clubs))
    rated = read_ratings(ratings, prepared.slot.names)
    return Case(prepared.table, prepared.slot, bag, fits, pattern, spot, blocked, rated, width_m, system)


def _score(case: Case, by: Measure, weights: Weights) -> _Score:
    miss = expected_miss(case.pattern, case.spot.carry_m)
    plus, weighed = added(case, weights)
    cost = -case.pattern.carry_m if by == "carry" else miss + plus
    found = lead(cost)
    if by == "carry":
        first, second = (case.slot.entries[i].key for i in (found.first, found.second))
        exact = case.fits.contrast(first, second, case.blocked)
        found = Lead(found.first, found.second, exact.probability)
    return _Score(miss, plus, cost, found, weighed)


def _verdict(
    case: Case,
    prepared: Prepared,
    score: _Score,
    by: Measure,
    next_balls: tuple[NextBalls, ...],
    next_sentence: str,
    aligned: bool,
) -> Verdict:
    found = score.leader
    probability = max(found.probability, 0.5)
    gap = score.cost[:, found.second] - score.cost[:, found.first]
    within = float(np.mean(np.abs(gap) <= WITHIN_M))
    close = probability < _CLOSE_FROM and within >= _CLOSE_FROM
    present = next((i for i, entry in enumerate(case.slot.entries) if entry.present), None)
    gain, gain_probability = _gain(case, score, by, present)
    answer: Answer = "keep" if present == found.first else "choice"
    if close:
        answer = "close"
    elif probability < _TELL_FROM:
        answer = "open"
    verdict = Verdict(
        choice=case.names[found.first],
        probability=probability,
        words=probability_words(probability),
        answer=answer,
        sentence="",
        measure=by,
        runner_up=case.names[found.second],
        present=_present_name(case, present),
        gain_over_present=gain,
        gain_probability=gain_probability,
        close_call=close,
        within_m=WITHIN_M,
        within_probability=within,
        spot_m=case.spot.carry_m,
        spot_from=case.spot.source,
        candidates=_candidates(case, score),
        strike=strike_side(case),
        flight=flight_side(case),
        dispersion=dispersion_side(case),
        place=place_side(case),
        weights=score.weighed,
        next_balls=next_balls,
        next_sentence=next_sentence,
        blocked=case.blocked,
        shots_used=prepared.fits.shots_used,
        shots_left_out=prepared.left_out,
        cautions=(),
    )
    sentence = verdict_sentence(verdict, range_of(gap), case)
    return replace(verdict, sentence=sentence, cautions=_cautions(case, prepared, verdict, aligned))


def _present_name(case: Case, present: int | None) -> str | None:
    if present is not None:
        return case.names[present]
    return case.slot.present.name if case.slot.present is not None else None


def _gain(
    case: Case, score: _Score, by: Measure, present: int | None
) -> tuple[Estimate | None, float | None]:
    """Give metres a shot that the choice gains over the present club, without weights; else None."""
    if present is None:
        return None, None
    first = score.leader.first
    if first == present:
        return Estimate(0.0, 0.0, 0.0), 0.5
    if by == "carry":
        keys = [case.slot.entries[i].key for i in (first, present)]
        exact = case.fits.contrast(keys[0], keys[1], case.blocked)
        return Estimate(exact.mean_m, exact.low_m, exact.high_m), exact.probability
    draws = score.miss[:, present] - score.miss[:, first]
    return range_of(draws), chance_less(-draws, np.zeros(len(draws)))


def _candidates(case: Case, score: _Score) -> tuple[Candidate, ...]:
    chances = chances_of_least(score.cost)
    return tuple(
        Candidate(
            name=entry.name,
            club=entry.club,
            swing=entry.swing,
            present=entry.present,
            n_shots=case.fit(i).n_shots,
            carry_m=range_of(case.pattern.carry_m[:, i]),
            miss_m=range_of(score.miss[:, i]),
            added_m=float(score.added[:, i].mean()),
            chance=float(chances[i]),
        )
        for i, entry in enumerate(case.slot.entries)
    )


def _cautions(case: Case, prepared: Prepared, verdict: Verdict, aligned: bool) -> tuple[str, ...]:
    """All cautions that apply, the injury note first."""
    player = case.bag.player if case.bag is not None else None
    found = [*caution.injury(player), *caution.people(player), *prepared.cautions]
    found += caution.of_the_trial(case, verdict.measure, aligned)
    if verdict.answer == "choice" and verdict.choice != verdict.present:
        found += caution.before_buying(player)
    found.append(
        tell("Holds for today, these balls and this surface; distances are estimates with the range shown.")
    )
    return tuple(dict.fromkeys(found))
