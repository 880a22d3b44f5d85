"""Changes of a course as a page makes them, put into the overlay that stands."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass

from django.utils.translation import gettext as _

from bagwright.bay import courses
from bagwright.course import edit
from bagwright.course.hole import Course, Point
from bagwright.course.lies import Lie
from bagwright.course.overlay import Overlay
from bagwright.course.overlay_text import overlay_text
from bagwright.errors import InputError
from bagwright.store.models import Account, CourseFile, CourseOverlay

Change = Callable[[Overlay, Course], Overlay]


@dataclass(frozen=True, slots=True)
class Correcting:
    """One person's change of a course: who, of what, and the overlay that was looked at."""

    account: Account | None
    kept: CourseFile
    seen: int | None

    def save(self, change: Change, said: str) -> CourseOverlay:
        """Keep a change. Raises InputError where it does not fit, ChangedMeanwhileError where one came between."""
        now = courses.understood(self.kept)
        overlay = change(edit.overlay_of(now.course, now.overlay), now.course)
        return courses.correct(self.account, self.kept, overlay_text(overlay), said, self.seen)


@dataclass(frozen=True, slots=True)
class Seen:
    """The picture that a place was pointed at on: the hole and its tee. Points are metres in that frame."""

    number: int
    tee: str

    def points(self, course: Course, points: Sequence[Point]) -> list[Point]:
        """The same points in the course's frame."""
        return edit.from_picture(course, self.number, self.tee, points)


def answer(doing: Correcting, answers: Mapping[str, str]) -> CourseOverlay:
    """Answer questions by their names, such as "7 par"."""
    given = {name: text for name, text in answers.items() if text.strip()}
    if not given:
        raise InputError(_("No question was answered."), _("Write an answer beside one, then save."))

    def change(overlay: Overlay, course: Course) -> Overlay:
        for name, text in given.items():
            overlay = edit.answer(overlay, name, text)
        return overlay

    return doing.save(change, _("answered: %(names)s") % {"names": ", ".join(given)})


def move_tee(doing: Correcting, at: Seen, point: Point) -> CourseOverlay:
    """Move the tee that the picture is drawn from."""
    said = _("hole %(n)s: tee %(tee)s moved") % {"n": at.number, "tee": at.tee[:40]}
    return doing.save(
        lambda overlay, course: edit.move_tee(
            overlay, course, at.number, at.tee, at.points(course, [point])[0]
        ),
        said,
    )


def add_tee(doing: Correcting, at: Seen, name: str, point: Point) -> CourseOverlay:
    """Add a tee."""
    said = _("hole %(n)s: tee %(tee)s added") % {"n": at.number, "tee": name[:40]}
    return doing.save(
        lambda overlay, course: edit.add_tee(overlay, course, at.number, name, at.points(course, [point])[0]),
        said,
    )


def move_pin(doing: Correcting, at: Seen, point: Point) -> CourseOverlay:
    """Move the pin."""
    return doing.save(
        lambda overlay, course: edit.move_pin(overlay, course, at.number, at.points(course, [point])[0]),
        _("hole %(n)s: pin moved") % {"n": at.number},
    )


def set_area(
    doing: Correcting, at: Seen, lie: Lie, shape: Sequence[Point], source: str | None = None
) -> CourseOverlay:
    """Mark a new area of a lie, or give one that is there a new edge."""
    what = source or lie.name.lower().replace("_", " ")
    said = _("hole %(n)s: %(area)s redrawn") if source else _("hole %(n)s: %(area)s marked")
    return doing.save(
        lambda overlay, course: edit.set_area(
            overlay, course, at.number, lie, at.points(course, shape), source
        ),
        said % {"n": at.number, "area": what},
    )


def remove_area(doing: Correcting, at: Seen, source: str) -> CourseOverlay:
    """Take an area away; one that was only drawn here is forgotten."""
    return doing.save(
        lambda overlay, course: edit.remove_area(overlay, course, at.number, source),
        _("hole %(n)s: %(area)s removed") % {"n": at.number, "area": source[:60]},
    )


@dataclass(frozen=True, slots=True)
class Facts:
    """What a card says of a hole; None leaves it to the map or card. `words` only of a scorecard's hole."""

    par: int | None
    stroke_index: int | None
    words: str | None = None


def set_facts(doing: Correcting, number: int, facts: Facts) -> CourseOverlay:
    """Set par and stroke index and, of a scorecard's hole, its words."""

    def change(overlay: Overlay, course: Course) -> Overlay:
        overlay = edit.set_par(overlay, course, number, facts.par)
        overlay = edit.set_stroke_index(overlay, course, number, facts.stroke_index)
        if facts.words is not None:
            overlay = edit.set_model(overlay, course, number, "words", facts.words)
        return overlay

    return doing.save(change, _("hole %(n)s: par, index or words") % {"n": number})
