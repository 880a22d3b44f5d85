"""A map or a scorecard as the program sees it: its holes in figures, what is open, and pictures."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import TYPE_CHECKING

from bagwright.errors import InputError
from bagwright.words import tell

if TYPE_CHECKING:
    from bagwright.course.hole import Course, Hole, Question
    from bagwright.course.overlay import Overlay
    from bagwright.tasks.source import Progress
    from bagwright.units import System


@dataclass(frozen=True, slots=True)
class CourseSource:
    """A course as the user named it."""

    file: Path
    course: str | None = None
    """Which one, where the map holds several."""
    overlay: Path | None = None
    """The file of corrections; None takes the one that lies beside the map or card, if there is one."""
    heights: Path | None = None
    answers: Mapping[str, str] = field(default_factory=dict)
    """Answers given on the command line; they are kept in the file of corrections."""


@dataclass(frozen=True, slots=True)
class TeeRow:
    """A tee of a hole; lengths along the way from it, metres."""

    name: str
    length_m: float
    card_length_m: float | None
    par: int | None
    stroke_index: int | None
    rise_m: float | None
    """The pin over the tee."""


@dataclass(frozen=True, slots=True)
class LieRow:
    """The ground of one lie on a hole."""

    areas: int
    area_m2: float


@dataclass(frozen=True, slots=True)
class HoleRow:
    """A hole in figures."""

    number: int
    name: str
    par: int | None
    stroke_index: int | None
    tees: tuple[TeeRow, ...]
    dogleg_deg: tuple[float, ...]
    """Turns of the way from the back tee, positive to the right."""
    lies: Mapping[str, LieRow]
    """Drawn ground by lie."""
    assumed: tuple[str, ...]
    """Lies that nobody drew and that are there as stated in the questions."""


@dataclass(frozen=True, slots=True)
class CourseRead:
    """A course as the program sees it."""

    name: str
    source: str
    """`map` or `card`."""
    tees: tuple[str, ...]
    holes: tuple[HoleRow, ...]
    questions: tuple[Question, ...]
    credit: str
    notes: Mapping[str, str]
    overlay: Path | None
    """The file of corrections that is on it."""
    files: tuple[Path, ...] = ()
    """Pictures that were written."""
    _course: Course | None = None


def read_course(source: CourseSource) -> CourseRead:
    """Read a course with its corrections; answers are put into the file of corrections first.

    Raises InputError for anything that cannot be used.
    """
    from bagwright.course.load import load_course

    overlay, path = _corrections(source)
    course = load_course(source.file, course=source.course, overlay=overlay, heights=source.heights)
    if source.answers:
        from bagwright.course.overlay_text import save_overlay

        save_overlay(path, overlay)
    kept = path if source.answers or path.exists() else None
    return CourseRead(
        course.name, course.source, course.tee_names, tuple(_row(hole, course) for hole in course.holes),
        course.questions, course.credit, course.notes, kept, (), course,
    )  # fmt: skip


def _corrections(source: CourseSource) -> tuple[Overlay, Path]:
    """Give the corrections with the answers in them, and the file where they are kept."""
    from bagwright.course.edit import answer
    from bagwright.course.overlay import Overlay, load_overlay, overlay_path

    path = source.overlay or overlay_path(source.file)
    overlay = load_overlay(path) if source.overlay is not None or path.exists() else Overlay()
    for name, text in source.answers.items():
        overlay = answer(overlay, name, text)
    return overlay, path


def _row(hole: Hole, course: Course) -> HoleRow:
    from bagwright.course.ground import ground_of
    from bagwright.course.reach import facts_of
    from bagwright.units import RAD_PER_DEG

    facts = [facts_of(ground_of(course, hole.number, tee.name)) for tee in hole.tees]
    tees = tuple(
        TeeRow(tee.name, f.length_m, tee.card_length_m, tee.par, tee.stroke_index, f.rise_m)
        for tee, f in zip(hole.tees, facts, strict=True)
    )
    lies: dict[str, LieRow] = {}
    for feature in hole.features:
        before = lies.get(feature.lie.name.lower(), LieRow(0, 0.0))
        lies[feature.lie.name.lower()] = LieRow(before.areas + 1, before.area_m2 + float(feature.shape.area))
    made = ("assumed",) if course.source == "map" else ()
    assumed = dict.fromkeys(f.lie.name.lower() for f in hole.features if f.source in made)
    return HoleRow(
        hole.number, hole.name, hole.par, hole.stroke_index, tees,
        tuple(bend.turn_rad / RAD_PER_DEG for bend in facts[0].bends), lies, tuple(assumed),
    )  # fmt: skip


def ground_of(read: CourseRead) -> Course:
    """The course itself behind what was read of it. Raises InputError where that was left away."""
    if read._course is None:
        raise InputError(tell("This course was made without its ground."), tell("Read it with read_course."))
    return read._course


def draw_course(
    read: CourseRead, place: Path, tee: str | None, system: System, progress: Progress | None = None
) -> CourseRead:
    """Draw every hole: one page where the place ends in .html, else a folder with an SVG a hole and a page.

    A hole without the tee is drawn from its first one. Raises InputError for a tee that no hole has, for
    another ending, and MachineError.
    """
    from bagwright.files import write_whole
    from bagwright.report.holes.page import holes_page
    from bagwright.report.holes.picture import hole_picture

    course = ground_of(read)
    check_tee(read, tee)
    if place.suffix and place.suffix.lower() != ".html":
        raise InputError(
            tell('"{name}" is no page and no folder.', name=place.name[:60]),
            tell("Let its name end in .html, or name a folder."),
        )
    page, alone = [], []
    for done, hole in enumerate(course.holes, start=1):
        name = tee if any(t.name == tee for t in hole.tees) else None
        page.append(hole_picture(course, hole.number, name, system, standalone=False))
        if not place.suffix:
            alone.append(hole_picture(course, hole.number, name, system))
        if progress is not None:
            progress(done, len(course.holes))
    text = holes_page(course, page).encode()
    if place.suffix:
        return replace(read, files=(write_whole(place, text),))
    written = [write_whole(place / f"hole-{p.number:02d}.svg", p.svg.encode()) for p in alone]
    return replace(read, files=(write_whole(place / "holes.html", text), *written))


def check_tee(read: CourseRead, tee: str | None) -> None:
    """Raise InputError for a tee that no hole of the course has."""
    if tee is not None and tee not in read.tees:
        raise InputError(
            tell('No hole has a tee "{tee}".', tee=tee[:40]),
            tell("Tees: {tees}.", tees=", ".join(read.tees[:20])),
        )


def totals(read: CourseRead, tees: Sequence[str]) -> dict[str, tuple[float, int]]:
    """Give the length (metres) of all holes from each tee, and how many holes have it."""
    found = {}
    for name in tees:
        lengths = [tee.length_m for hole in read.holes for tee in hole.tees if tee.name == name]
        found[name] = (sum(lengths), len(lengths))
    return found
