"""A visit's candidates on a course: one reckoning each, set side by side when all are done."""

from __future__ import annotations

from dataclasses import dataclass

from django.utils import timezone
from django.utils.translation import gettext as _

from bagwright.air import Wind
from bagwright.bay import courses, strokes
from bagwright.bay.planning import taking_part
from bagwright.bay.round_inputs import Asked
from bagwright.errors import InputError
from bagwright.report.strokes.air import air_words
from bagwright.report.strokes.compare import OnCourse, on_course
from bagwright.store.models import Account, CourseFile, PlayedCourse, StrokesRun, Visit
from bagwright.units import System


@dataclass(frozen=True, slots=True)
class Standing:
    """The latest reckonings of a visit: one a candidate, on the same course, tee and wind."""

    runs: tuple[StrokesRun, ...]
    states: tuple[str, ...]
    candidates: int
    """How many take part now: more than there are runs where one joined since."""

    @property
    def under_way(self) -> bool:
        """True while one waits or is worked out."""
        return any(state in ("waiting", "running") for state in self.states)

    @property
    def done(self) -> bool:
        """True when all candidates have their answer."""
        return len(self.runs) == self.candidates > 0 and all(state == "done" for state in self.states)

    @property
    def share(self) -> float:
        """How much of it is done, 0..1."""
        return sum(run.share for run in self.runs) / len(self.runs) if self.runs else 0.0


def start(
    account: Account | None,
    visit: Visit,
    played: PlayedCourse,
    wind_mps: float = 0.0,
    wind_from_rad: float = 0.0,
) -> list[StrokesRun]:
    """Ask for every candidate's round, in calm air or in one wind (`wind_from_rad` clockwise from north).

    Raises InputError for fewer than two candidates, and for a wind that is none to play in.
    """
    candidates = taking_part(visit)
    if len(candidates) < 2:
        raise InputError(
            _("Two builds at least must take part: choose them on the brief's page."), _("Then come back.")
        )
    kept = CourseFile.objects.get(pk=played.course_id)
    air = (wind_mps, wind_from_rad)
    runs = [
        strokes.start(account, Asked(visit.player, kept, played.tee, *air, visit=visit, candidate=one.club))
        for one in candidates
    ]
    # Answers that are there already were asked for now, too: `standing` shows what was asked for last.
    StrokesRun.objects.filter(pk__in=[run.pk for run in runs]).update(asked_at=timezone.now())
    return runs


def standing(visit: Visit) -> Standing:
    """The runs of the course and the wind that were asked for last, in the candidates' order."""
    runs = StrokesRun.objects.filter(visit=visit).select_related("course", "candidate", "player", "visit")
    rows = list(runs.defer("arrays", "course__source", "course__heights").order_by("-asked_at", "-pk"))
    latest: dict[int | None, StrokesRun] = {}
    for run in rows:
        if _where(run) == _where(rows[0]):
            latest.setdefault(run.candidate_id, run)
    wanted = [one.club_id for one in taking_part(visit)]
    found = tuple(latest[club] for club in wanted if club in latest)
    return Standing(found, tuple(strokes.state_of(run) for run in found), len(wanted))


def _where(run: StrokesRun) -> tuple[int, str, float | None, float | None]:
    return run.course_id, run.tee, run.wind_mps, run.wind_from_rad


def air_of(run: StrokesRun, system: System) -> str:
    """A run's air in words: "calm", "10 mph from the south-west"."""
    if not run.wind_mps:
        return air_words(None, "", system)
    source = courses.understood(run.course).course.source
    return air_words(Wind(run.wind_mps, run.wind_from_rad or 0.0), source, system)


def side_by_side(now: Standing, system: System) -> OnCourse | None:
    """The candidates side by side on the course; None where none was chosen, one has no answer, or one is stale."""
    if not now.done or len(now.runs) < 2 or any(strokes.is_stale(run) for run in now.runs):
        return None
    first = now.runs[0]
    rounds = {run.candidate.name: strokes.answer_of(run) for run in now.runs if run.candidate is not None}
    return on_course(first.course.name, first.tee, air_of(first, system), rounds)
