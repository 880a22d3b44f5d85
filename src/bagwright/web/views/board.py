"""The decision board: the candidates from four sides, what is open, what to hit next; and its pictures."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils.translation import gettext as _
from django.utils.translation import ngettext
from django.views.decorators.http import require_safe

from bagwright.bay import briefing
from bagwright.bay.board import LEAST_BALLS, BoardState, Standing, short, state_of
from bagwright.estimate import Estimate
from bagwright.report.theme import Sign, sign
from bagwright.report.words import Show, chance, share
from bagwright.store.models import Visit
from bagwright.trial.result import (
    Candidate,
    DispersionLine,
    DispersionSide,
    FlightLine,
    FlightSide,
    PlaceLine,
    PlaceSide,
    StrikeLine,
    StrikeSide,
    Verdict,
)
from bagwright.units import System
from bagwright.web.context import steps_of
from bagwright.web.views.board_pictures import told_picture
from bagwright.web.views.common import is_part, visit_for

Side = StrikeSide | FlightSide | DispersionSide | PlaceSide
TOLD_FROM = 0.75
"""From this chance on a side is told ("likely"); below it, it is still open."""
NO_LEAD = 0.55
"""Below this chance nobody is said to be ahead (judgement)."""


@dataclass(frozen=True, slots=True)
class Bar:
    """A range drawn on the column's common scale, in per cent of its width; and its words.

    `line` is where the slot's spot lies on that scale, None where the column has none.
    """

    left: float
    width: float
    at: float
    words: str
    line: float | None = None


@dataclass(frozen=True, slots=True)
class Row:
    """One candidate on the board: its sign, its four sides, and a bar for each."""

    sign: Sign
    number: int
    candidate: Candidate
    strike: StrikeLine
    flight: FlightLine
    dispersion: DispersionLine
    place: PlaceLine
    mishits: Bar
    carry: Bar
    spread: Bar
    miss: Bar


@dataclass(frozen=True, slots=True)
class Waiting:
    """One candidate before it is judged."""

    sign: Sign
    number: int
    standing: Standing


def number_of(i: int) -> int:
    """The number of a candidate's colour in the style sheet: 1 to 6, then again."""
    return i % 6 + 1


def places_of(state: BoardState) -> dict[str, int]:
    """The place of every candidate, which gives its sign: it keeps it whoever else is judged."""
    names = [one.name for one in state.standings]
    judged = [one.name for one in state.verdict.candidates] if state.verdict is not None else []
    return {name: i for i, name in enumerate(dict.fromkeys([*names, *judged]))}


def rows_of(verdict: Verdict, places: dict[str, int], show: Show) -> list[Row]:
    """The board's rows, in the order of the candidates."""
    strike = {line.name: line for line in verdict.strike.lines}
    flight = {line.name: line for line in verdict.flight.lines}
    wide = {line.name: line for line in verdict.dispersion.lines}
    place = {line.name: line for line in verdict.place.lines}
    ordered = sorted(verdict.candidates, key=lambda one: places[one.name])
    names = [one.name for one in ordered]
    mishits = _scale([strike[name].mishit_share for name in names], zero=True)
    carry = _scale([one.carry_m for one in ordered], also=verdict.spot_m)
    spread = _scale([wide[name].offline_sd_m for name in names], zero=True)
    miss = _scale([one.miss_m for one in ordered], zero=True)
    return [
        Row(
            sign=sign(places[one.name]),
            number=number_of(places[one.name]),
            candidate=one,
            strike=strike[one.name],
            flight=flight[one.name],
            dispersion=wide[one.name],
            place=place[one.name],
            mishits=_bar(strike[one.name].mishit_share, mishits, share(strike[one.name].mishit_share)),
            carry=_bar(one.carry_m, carry, show.distance_ranged(one.carry_m), verdict.spot_m),
            spread=_bar(
                wide[one.name].offline_sd_m, spread, show.distance_ranged(wide[one.name].offline_sd_m)
            ),
            miss=_bar(one.miss_m, miss, show.distance_ranged(one.miss_m, 1)),
        )
        for one in ordered
    ]


def _scale(ranges: list[Estimate], *, zero: bool = False, also: float | None = None) -> tuple[float, float]:
    """The ends of a column's scale; with a little room, and never of no width."""
    ends = [end for one in ranges for end in (one.low, one.high)] + ([also] if also is not None else [])
    low, high = (0.0 if zero else min(ends)), max(ends)
    spare = 0.04 * (high - low) or 1.0
    return (low if zero else low - spare), high + spare


def _bar(estimate: Estimate, scale: tuple[float, float], words: str, line: float | None = None) -> Bar:
    low, high = scale
    part = 100.0 / (high - low)
    return Bar(
        left=max(0.0, (estimate.low - low) * part),
        width=max(1.0, (estimate.high - max(low, estimate.low)) * part),
        at=(estimate.value - low) * part,
        words=words,
        line=None if line is None else (line - low) * part,
    )


@dataclass(frozen=True, slots=True)
class Open:
    """What the balls so far do not tell, and which further balls would tell most, in words.

    `points` are questions with who is ahead and how sure that is; `late` says who has too few balls.
    """

    points: tuple[tuple[str, str], ...]
    late: tuple[str, ...]
    most: str


def open_of(verdict: Verdict, late: tuple[Standing, ...]) -> Open:
    """What is still open between the candidates, for somebody who has never seen the board."""
    asked: list[tuple[str, Side]] = [
        (_("Who has fewer mishits?"), verdict.strike),
        (_("Who carries farther?"), verdict.flight),
        (_("Who lands in a smaller space?"), verdict.dispersion),
        (_("Who lands nearest to what the slot needs?"), verdict.place),
    ]
    points = [(words, _ahead(side.leader, side.probability)) for words, side in asked
              if side.probability < TOLD_FROM]  # fmt: skip
    return Open(tuple(points), tuple(_too_few(one) for one in late), _tells_most(verdict))


def _ahead(name: str, probability: float) -> str:
    if probability < NO_LEAD:
        return _("nobody is ahead")
    return _("%(name)s is ahead, chance %(chance)s") % {"name": short(name), "chance": chance(probability)}


def _too_few(one: Standing) -> str:
    words = ngettext(
        "%(name)s has %(n)s stock ball of the %(least)s that a judgement needs.",
        "%(name)s has %(n)s stock balls of the %(least)s that a judgement needs.",
        one.balls,
    )
    return words % {"name": short(one.name), "n": one.balls, "least": LEAST_BALLS}


def _tells_most(verdict: Verdict) -> str:
    """Which further balls would tell most, and what they may do to the choice."""
    if not verdict.next_balls:
        if verdict.answer in ("close", "open"):
            return _(
                "No further ball is worth hitting for the choice: it might still turn, but only between builds"
                " that do the job about equally well."
            )
        return _("No further ball is worth hitting for the choice: it would hardly turn.")
    hit = [
        ngettext("%(n)s ball with %(name)s", "%(n)s balls with %(name)s", line.balls)
        % {"n": line.balls, "name": short(line.club)}
        for line in verdict.next_balls
    ]
    told = {"balls": ", ".join(hit), "chance": chance(verdict.next_balls[0].chance_to_change)}
    if len(hit) == 1:
        return _("%(balls)s. Chance that they change the choice: %(chance)s.") % told
    return _("%(balls)s, in turns. Chance that they change the choice: %(chance)s.") % told


def board_context(visit: Visit, state: BoardState) -> dict[str, Any]:
    """What the board shows."""
    places = places_of(state)
    verdict = state.verdict
    told: dict[str, Any] = {
        "visit": visit,
        "state": state,
        "verdict": verdict,
        "waiting": [Waiting(sign(i), number_of(i), one) for i, one in enumerate(state.standings)],
        "least": LEAST_BALLS,
        "aligned": visit.aligned == "checked",
    }
    if verdict is not None:
        told["rows"] = rows_of(verdict, places, Show(state.system))
        told["open"] = open_of(verdict, state.late)
        told["brief_spot_m"] = briefing.spot_moved(visit, verdict.spot_m)
    return told


def system_of(request: HttpRequest) -> System:
    """The reader's units."""
    found: System = getattr(request, "system", "yards")
    return found


@require_safe
def board(request: HttpRequest, visit_id: int) -> HttpResponse:
    """The board as a part of the bay's page, or alone."""
    visit = visit_for(request, visit_id)
    told = board_context(visit, state_of(visit, system_of(request)))
    if is_part(request):
        return render(request, "web/board/_board.html", {**told, "inside": True})
    return render(request, "web/board/board.html", {**told, "steps": steps_of(visit, "bay")})


@require_safe
def pictures(request: HttpRequest, visit_id: int) -> HttpResponse:
    """Where balls finished, the flights from the side, order and drift: one at a time, with its table."""
    visit = visit_for(request, visit_id)
    told = told_picture(visit, request.GET.get("picture", ""), system_of(request))
    page = "web/board/_pictures.html" if is_part(request) else "web/board/pictures.html"
    return render(request, page, {**told, "steps": steps_of(visit, "bay")})
