"""A trial on a course: hole by hole where each candidate is used, and what it costs in strokes."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from bagwright.report.words import Show, number
from bagwright.words import tell

if TYPE_CHECKING:
    from bagwright.report.strokes.round import Round

ALIKE = 0.05
"""Rounds that differ by less are called alike: no shot table tells them apart (judgement)."""


@dataclass(frozen=True, slots=True)
class CandidateOn:
    """One candidate's round: strokes, and how often the candidate itself is used."""

    name: str
    strokes: float
    sd: float
    bound: float
    used: float
    """Times a round."""
    more: float
    """Strokes a round above the candidate with the fewest."""
    at_rest: bool
    """False where a hole of the round did not come to rest: its figures are not to be used."""


@dataclass(frozen=True, slots=True)
class HoleOn:
    """One hole: for each candidate in turn its strokes, how often it is used there, if it came to rest."""

    number: int
    par: int
    length_m: float
    strokes: tuple[float, ...]
    used: tuple[float, ...]
    at_rest: tuple[bool, ...]


@dataclass(frozen=True, slots=True)
class OnCourse:
    """A trial's candidates on one course, from one tee, in one air; nothing is said of who is better."""

    course: str
    tee: str
    air: str
    candidates: tuple[CandidateOn, ...]
    holes: tuple[HoleOn, ...]

    @property
    def converged(self) -> bool:
        """True where every hole of every candidate came to rest."""
        return all(one.at_rest for one in self.candidates)


def on_course(course: str, tee: str, air: str, rounds: Mapping[str, Round]) -> OnCourse:
    """Set the rounds of the candidates side by side; each round's bag has that candidate in the slot."""
    least = min(one.result.strokes for one in rounds.values())
    candidates = tuple(
        CandidateOn(
            name, one.result.strokes, one.result.sd, one.result.error_bound, dict(one.clubs()).get(name, 0.0),
            one.result.strokes - least, one.converged,
        )
        for name, one in rounds.items()
    )  # fmt: skip
    first = next(iter(rounds.values()))
    holes = tuple(
        HoleOn(
            hole.number,
            hole.par,
            hole.length_m,
            tuple(one.result.hole(hole.number).strokes for one in rounds.values()),
            tuple(
                dict(one.of_hole(one.result.hole(hole.number))).get(name, 0.0) for name, one in rounds.items()
            ),
            tuple(one.result.hole(hole.number).converged for one in rounds.values()),
        )
        for hole in first.result.holes
    )
    return OnCourse(course, tee, air, candidates, holes)


def sentence(found: OnCourse) -> str:
    """What the rounds say together."""
    most = max(one.more for one in found.candidates)
    slack = max(one.bound for one in found.candidates)
    where = tell("On {course} from tee {tee}, {air}:", course=found.course, tee=found.tee, air=found.air)
    if not found.converged:
        told = tell(
            "not every hole came to rest while it was worked out: the figures marked ≈ are not to be used, "
            "and nothing is said of which candidate costs fewer strokes."
        )
    elif most < max(ALIKE, slack):
        told = tell(
            "the candidates cost the same number of strokes a round, as far as this was worked out "
            "(within {slack}).",
            slack=number(max(ALIKE, slack), 2),
        )
    else:
        fewest = min(found.candidates, key=lambda one: one.more)
        told = tell(
            "fewest strokes a round with {name} in the slot; the others cost up to {most} more (worked out "
            "within {slack}).",
            name=fewest.name, most=number(most, 2), slack=number(slack, 2),
        )  # fmt: skip
    return tell("{where} {told}", where=where, told=told)


def doubt() -> str:
    """What the figures leave out."""
    return tell(
        "Under this model and these shots: how sure it is that the candidates differ at all is said beside "
        "the verdict, not here."
    )


def table(found: OnCourse, show: Show) -> tuple[list[str], list[list[str]], list[float]]:
    """Heads, rows and widths: hole, par, length, then strokes and uses of each candidate."""
    heads = [tell("Hole"), tell("Par"), tell("Length")]
    for one in found.candidates:
        heads += [one.name, tell("used")]
    rows = [
        [
            str(hole.number),
            str(hole.par),
            show.distance(hole.length_m),
            *_pairs(hole.strokes, hole.used, hole.at_rest),
        ]
        for hole in found.holes
    ]
    total = _pairs(*zip(*((one.strokes, one.used, one.at_rest) for one in found.candidates), strict=True))
    rows.append([tell("all"), str(sum(hole.par for hole in found.holes)), "", *total])
    widths = [0.6, 0.5, 0.9, *([1.3, 0.7] * len(found.candidates))]
    return heads, rows, widths


def _pairs(strokes: Sequence[float], used: Sequence[float], at_rest: Sequence[bool]) -> list[str]:
    each = zip(strokes, used, at_rest, strict=True)
    return [text for s, u, rest in each for text in (("" if rest else "≈ ") + number(s, 2), number(u, 2))]
