"""From a verdict, dispersions, distances and a bag to what the papers show."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Mapping
from typing import TYPE_CHECKING

from bagwright.bag.club import Bag, Player
from bagwright.estimate import Estimate, percent
from bagwright.report.gather_air import air_card
from bagwright.report.gather_bag import (
    bag_rows,
    build_clubs,
    build_text,
    carry_rows,
    clubs_named,
    limit_lines,
    player_line,
    step_lines,
)
from bagwright.report.gather_build import with_worth
from bagwright.report.gather_flight import gather_flights
from bagwright.report.model import (
    Answer,
    Ball,
    CandidateRow,
    Counts,
    DriftLine,
    Landing,
    NextTest,
    Region,
    ReportInput,
    SideLine,
    VisitLine,
)
from bagwright.report.words import number
from bagwright.trial.said import said_of
from bagwright.units import System, distance_unit
from bagwright.words import join, tell, term

if TYPE_CHECKING:
    from bagwright.bag.rules import Check
    from bagwright.dispersion.fit import Dispersions
    from bagwright.distances.table import DistanceTable
    from bagwright.shots.record import Conditions, ShotTable
    from bagwright.trial.result import Candidate, Rating, Verdict

LEVELS = (0.5, 0.9)
TOLD = 0.60
"""From this chance on somebody is called ahead (the lowest band with a word of its own)."""


def gather(
    table: ShotTable,
    fits: Dispersions,
    *,
    bag: Bag | None = None,
    verdict: Verdict | None = None,
    distances: DistanceTable | None = None,
    check: Check | None = None,
    conditions: Mapping[str, Conditions] | None = None,
    system: System = "yards",
    build: str | None = None,
) -> ReportInput:
    """Everything that the papers need, from the shots and what was made of them.

    `system` is the one that the sentences of findings are written in; the numbers stay in metres. `build`
    names a club that a build sheet is wanted for, in place of the verdict's choice.
    """
    player = bag.player if bag is not None else Player()
    flights = gather_flights(table, fits, bag, verdict, said_of(conditions or {}))
    keys = [(line.club, line.swing) for line in verdict.candidates] if verdict is not None else []
    chosen = verdict.choice if verdict is not None and verdict.answer in ("choice", "keep") else None
    clubs = carry_rows(distances) if distances is not None else ()
    sheet = build if build is not None else _club_of(verdict, chosen)
    sides = _sides(verdict) if verdict is not None else ()
    return ReportInput(
        player=player_line(player),
        visits=_visits(table, conditions or {}),
        answer=_answer(verdict) if verdict is not None else None,
        sides=sides,
        candidates=_candidates(verdict, bag) if verdict is not None else (),
        clubs=clubs,
        steps=step_lines(distances) if distances is not None else (),
        findings=_findings(distances, system),
        limits=limit_lines(check, system) if check is not None else (),
        landings=tuple(_landing(fits, key) for key in keys if key in fits and fits[key].measured),
        balls=_balls(table, fits),
        drift=_drift(table, fits),
        flights=flights.rows,
        flight_notes=flights.notes,
        air_card=air_card(flights.flown, clubs),
        bag=bag_rows(bag) if bag is not None else (),
        build=with_worth(build_clubs(bag, sheet), flights.flown, bag) if bag is not None else (),
        counts=_counts(table, fits, verdict),
        cautions=verdict.cautions if verdict is not None else (),
        notes=_notes(fits, verdict, system),
        converged=all(fits[key].converged for key in keys if key in fits) if keys else fits.converged,
    )


def _club_of(verdict: Verdict | None, chosen: str | None) -> str | None:
    if verdict is None or chosen is None:
        return None
    return next((line.club for line in verdict.candidates if line.name == chosen), chosen)


def _findings(distances: DistanceTable | None, system: System) -> tuple[str, ...]:
    if distances is None:
        return ()
    shown = (found.in_system(system) for found in distances.findings)
    return tuple(join(" ", [text for text in (found.words, found.next_step) if text]) for found in shown)


def _visits(table: ShotTable, conditions: Mapping[str, Conditions]) -> tuple[VisitLine, ...]:
    balls = Counter(table.text("visit"))
    names = list(dict.fromkeys((*balls, *conditions)))
    found = []
    for name in names:
        said = conditions.get(name)
        if said is None and not balls.get(name):
            continue
        found.append(
            VisitLine(visit=name, date=name, balls=balls.get(name, 0))
            if said is None
            else VisitLine(
                visit=name,
                date=said.date or name,
                place=said.place,
                surface=said.surface,
                ball=said.ball,
                air=said.air,
                adjusted=said.adjusted,
                spin=said.spin,
                aligned=said.aligned,
                balls=balls.get(name, 0),
            )
        )
    return tuple(found)


def _answer(verdict: Verdict) -> Answer:
    return Answer(
        slot=verdict.present or verdict.choice,
        kind=verdict.answer,
        choice=verdict.choice,
        present=verdict.present,
        runner_up=verdict.runner_up,
        probability=verdict.probability,
        gain_m=verdict.gain_over_present,
        gain_probability=verdict.gain_probability,
        measure=verdict.measure,
        spot_m=verdict.spot_m,
        within_m=verdict.within_m if verdict.close_call else None,
        within_probability=verdict.within_probability if verdict.close_call else None,
        blocked=verdict.blocked,
        next_tests=(NextTest(verdict.next_sentence),) if verdict.next_sentence else (),
    )


def _sides(verdict: Verdict) -> tuple[SideLine, ...]:
    return (
        _side("strike", verdict.strike.leader, verdict.strike.probability, verdict.strike.sentence),
        _side("flight", verdict.flight.leader, verdict.flight.probability, verdict.flight.sentence),
        _side(
            "dispersion",
            verdict.dispersion.leader,
            verdict.dispersion.probability,
            verdict.dispersion.sentence,
        ),
        _side("place in the bag", verdict.place.leader, verdict.place.probability, verdict.place.sentence),
    )


def _side(side: str, leader: str, probability: float, sentence: str) -> SideLine:
    told = probability >= TOLD
    asks = {
        "strike": tell("who has fewer mishits"),
        "flight": tell("who carries farther"),
        "dispersion": tell("who lands in a smaller space"),
        "place in the bag": tell("who lands nearer to where the slot needs it"),
    }[side]
    still_open = (
        ""
        if told
        else tell("{asks} cannot be told yet ({percent}).", asks=asks, percent=percent(probability))
    )
    return SideLine(side, leader if told else None, probability, sentence, still_open)  # type: ignore[arg-type]


def _candidates(verdict: Verdict, bag: Bag | None) -> tuple[CandidateRow, ...]:
    clubs = clubs_named(bag, [line.club for line in verdict.candidates])
    found = []
    for line in verdict.candidates:
        club = clubs.get(line.club)
        found.append(_candidate(verdict, line, build_text(club) if club is not None else ""))
    return tuple(found)


def _candidate(verdict: Verdict, line: Candidate, build: str) -> CandidateRow:
    strike = next((one for one in verdict.strike.lines if one.name == line.name), None)
    spread = next((one for one in verdict.dispersion.lines if one.name == line.name), None)
    place = next((one for one in verdict.place.lines if one.name == line.name), None)
    flown = next((one for one in verdict.flight.lines if one.name == line.name), None)
    swings = {swing.swing: swing for swing in flown.swings} if flown is not None else {}
    own = swings.get(line.swing)
    width = verdict.dispersion.width_m
    return CandidateRow(
        name=line.name,
        build=build,
        present=line.present,
        n_shots=line.n_shots,
        mishit_share=strike.mishit_share if strike is not None else None,
        speed_ratio=strike.speed_ratio if strike is not None else None,
        ratings=_rating(strike.rating) if strike is not None and strike.rating is not None else "",
        carry_m=line.carry_m,
        gripped_down_m=swings["gripped-down"].carry_m if "gripped-down" in swings else None,
        flat_out_m=swings["flat-out"].carry_m if "flat-out" in swings else None,
        total_m=own.total_m if own is not None else None,
        apex_m=own.apex_m if own is not None else None,
        descent_rad=own.descent_rad if own is not None else None,
        offline_m=spread.offline_m if spread is not None else None,
        right_probability=spread.right_probability if spread is not None else None,
        carry_sd_m=spread.carry_sd_m if spread is not None else None,
        offline_sd_m=spread.offline_sd_m if spread is not None else None,
        beyond_share=spread.beyond_share if spread is not None else None,
        beyond_m=width / 2 if width is not None else None,
        miss_m=line.miss_m if verdict.measure == "miss" else None,
        price=place.price if place is not None else None,
        lead_time_days=place.lead_time_days if place is not None else None,
    )


def _rating(rating: Rating) -> str:
    parts = [
        tell(
            "{aspect} {number}", aspect=term(aspect), number=number(value, 0 if value == round(value) else 1)
        )
        for aspect in ("look", "feel", "sound", "turf", "confidence")
        if (value := getattr(rating, aspect)) is not None
    ]
    return tell("the player's word, of 5: {parts}", parts=join(", ", parts)) if parts else ""


def _landing(fits: Dispersions, key: tuple[str, str]) -> Landing:
    regions = []
    for level in LEVELS:
        found = fits[key].region(level)
        regions.append(Region(level, found.carry_m, found.offline_m, found.half_axes_m, found.angle_rad))
    return Landing(key[0], key[1], tuple(regions))


def _known(value: float) -> float | None:
    return None if math.isnan(value) else float(value)


def _balls(table: ShotTable, fits: Dispersions) -> tuple[Ball, ...]:
    """Every ball of the table; a strike that the model holds for a mishit is drawn as one."""
    carry, side = table.measure("carry_m"), table.measure("offline_m")
    clubs, swings, visits = table.text("club"), table.text("swing"), table.text("visit")
    solid, bad = fits.solid_probability, fits.bad_read_probability
    found = []
    for i in range(table.n):
        key = (clubs[i], swings[i] or "stock")
        mark = table.marks[i].kind if i in table.marks else _model_mark(float(solid[i]), float(bad[i]))
        far = _known(carry[i])
        centre = fits[key].carry_m.value if key in fits and fits[key].measured else None
        found.append(
            Ball(
                order=int(table.order[i]),
                club=key[0],
                swing=key[1],
                visit=visits[i],
                carry_m=far,
                side_m=_known(side[i]),
                off_centre_m=far - centre if far is not None and centre is not None else None,
                mark=mark,
            )
        )
    return tuple(sorted(found, key=lambda ball: (ball.visit, ball.order)))


def _model_mark(solid: float, bad: float) -> str:
    if math.isnan(solid) or solid >= 0.5:
        return ""
    return "bad-read" if bad > 0.5 * (1.0 - solid) else "mishit"


def _drift(table: ShotTable, fits: Dispersions) -> tuple[DriftLine, ...]:
    """Give the fitted drift of each visit in metres, for the mean carry of its balls.

    The ranges of warming up and tiring are joined as if they were independent.
    """
    from bagwright.dispersion.drift import TIRING_BALLS, WARM_UP_BALLS

    found = []
    for visit, drift in fits.drift.items():
        here = [i for i, name in enumerate(table.text("visit")) if name == visit]
        known = [float(c) for c in table.measure("carry_m")[here] if not math.isnan(c)]
        if not known:
            continue
        mean = sum(known) / len(known)
        balls = tuple(range(1, max(int(table.order[i]) for i in here) + 1))
        lines = []
        for ball in balls:
            cold, tired = math.exp(-(ball - 1) / WARM_UP_BALLS), (ball - 1) / TIRING_BALLS
            middle = -mean * (cold * drift.warm_up.value + tired * drift.tiring.value)
            half = mean * math.hypot(cold * _half(drift.warm_up), tired * _half(drift.tiring))
            lines.append(Estimate(middle, middle - half, middle + half))
        found.append(DriftLine(visit, balls, tuple(lines)))
    return tuple(found)


def _half(estimate: Estimate) -> float:
    return (estimate.high - estimate.low) / 2


def _counts(table: ShotTable, fits: Dispersions, verdict: Verdict | None) -> Counts:
    used = verdict.shots_used if verdict is not None else fits.shots_used
    left_out = verdict.shots_left_out if verdict is not None else fits.shots_left_out
    reasons = Counter(shot.reason for shot in left_out)
    gone = {shot.index for shot in left_out}
    mishits = sum(
        1
        for i in range(table.n)
        if i not in gone and (table.marks[i].kind == "mishit" if i in table.marks else False)
    )
    return Counts(used, tuple(sorted(reasons.items())), mishits)


def _notes(fits: Dispersions, verdict: Verdict | None, system: System) -> tuple[str, ...]:
    said = (
        [tell("Shared between clubs or assumed: {pooled}.", pooled=join("; ", fits.pooled))]
        if fits.pooled
        else []
    )
    said.append(
        tell(
            "How well the shots fix the numbers, at the weakest club: {quality}.", quality=term(fits.quality)
        )
    )
    for weight in verdict.weights if verdict is not None else ():
        per_unit = weight.m_per_unit / distance_unit(system).factor
        unit = tell("yards") if system == "yards" else tell("metres")
        said.append(
            tell(
                "The player's own weight on {weight}: {number} {unit} for each {unit_2}.",
                weight=term(weight.name),
                number=number(per_unit, 2),
                unit=unit,
                unit_2=weight.unit,
            )
        )
    if not fits.converged:
        said.append(tell("The calculation did not settle for every club; those clubs are not ranked."))
    return tuple(said)
