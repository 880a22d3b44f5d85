"""What a course costs a player in strokes: worked out, drawn, printed."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING, Any

from bagwright.errors import InputError
from bagwright.tasks.coursing import CourseSource, ground_of, read_course
from bagwright.tasks.source import Ask, Progress, Source, fit, load, load_bag_of, shot_paths
from bagwright.words import tell

if TYPE_CHECKING:
    import datetime

    from bagwright.air import Wind
    from bagwright.bag.club import Bag
    from bagwright.course.hole import Course
    from bagwright.dispersion.fit import Dispersions
    from bagwright.report.strokes.compare import OnCourse
    from bagwright.report.strokes.round import Round
    from bagwright.strokes.patterns import PatternTable
    from bagwright.units import System

COMPASS = ("n", "ne", "e", "se", "s", "sw", "w", "nw")
BY_HOLE = {"head": 0.0, "right": math.pi / 2, "tail": math.pi, "left": 3 * math.pi / 2}


@dataclass(frozen=True, slots=True)
class HoleLine:
    """One hole of the answer.

    `tee_shot` says a partial shot's length in metres. `aim_right_m` is how far right of the hole's way the tee
    shot is aimed, `aim_at_m` how far along it the ball is meant to end.
    """

    number: int
    par: int
    stroke_index: int | None
    length_m: float
    strokes: float
    sd: float
    error_bound: float
    converged: bool
    tee_shot: str
    aim_right_m: float | None
    aim_at_m: float | None


@dataclass(frozen=True, slots=True)
class StrokesAnswer:
    """A round's expected strokes under the model and the inputs, with the holes and the clubs' use."""

    course: str
    tee: str
    wind_mps: float
    wind_from_deg: float | None
    par: int
    strokes: float
    sd: float
    """Standard deviation from one round to the next."""
    error_bound: float
    """Most by which the strokes differ from those of the model worked out exactly."""
    converged: bool
    holes: tuple[HoleLine, ...]
    clubs: Mapping[str, float]
    """Times a round that each club is used."""
    said: tuple[str, ...]
    seconds: float
    files: tuple[Path, ...] = ()
    _made: Made | None = None


@dataclass(frozen=True, slots=True)
class Made:
    """What the answer was made from, for pictures and the sheet."""

    course: Course
    table: PatternTable
    found: Round
    player: str
    calm: Callable[[], Round]
    """The calm round, worked out when it is asked for."""


def wind_from(text: str, source: str) -> float:
    """Where a wind comes from, radians: `sw` or degrees from north on a map, head, tail, left, right on a card.

    Raises InputError for other words.
    """
    word = text.strip().lower()
    if source == "card":
        if word in BY_HOLE:
            return BY_HOLE[word]
        raise InputError(
            tell('A card has no north, so a wind cannot come from "{word}".', word=text[:20]),
            tell("Write head, tail, left or right: it is the same on every hole then."),
        )
    if word in COMPASS:
        return COMPASS.index(word) * math.pi / 4
    try:
        degrees = float(word.removesuffix("deg").removesuffix("°"))
    except ValueError:
        degrees = math.nan
    if not 0.0 <= degrees <= 360.0:
        raise InputError(
            tell('"{word}" is no direction that a wind comes from.', word=text[:20]),
            tell("Write n, ne, e, se, s, sw, w, nw, or degrees from north."),
        )
    return math.radians(degrees)


def wind_of(text: str | None, source: str) -> Wind | None:
    """The stated wind, such as "10 mph@sw"; None where none is stated. Raises InputError."""
    if text is None:
        return None
    from bagwright.air import Wind
    from bagwright.report.strokes.round import MOST_WIND_MPS
    from bagwright.units import parse_quantity

    speed, sign, came = text.partition("@")
    if not sign:
        raise InputError(
            tell('The wind "{text}" does not say where it comes from.', text=text[:30]),
            tell("Write 10mph@sw."),
        )
    mps = parse_quantity(speed, "speed")
    if not 0.0 < mps <= MOST_WIND_MPS:
        raise InputError(
            tell('"{speed}" is no wind to play in.', speed=speed[:20]), tell("Expected up to 55 mph.")
        )
    return Wind(mps, wind_from(came, source))


@dataclass(frozen=True, slots=True)
class RoundWish:
    """Where, from which tee and in which wind the round is played."""

    course: CourseSource
    tee: str | None = None
    wind: str | None = None


def work_out(
    source: Source, wish: RoundWish, ask: Ask | None = None, progress: Progress | None = None
) -> StrokesAnswer:
    """Work out a round's expected strokes. Without shots everything comes from handicap, speed and lofts, and says so.

    Raises InputError for a bag, a course, a tee or a wind that cannot be used.
    """
    from bagwright.report.strokes.round import played_bag, round_of
    from bagwright.strokes.table import patterns_of

    read = read_course(wish.course)
    course = ground_of(read)
    tee = wish.tee if wish.tee is not None else course.tee_names[0]
    wind = wind_of(wish.wind, course.source)
    bag, fits = _shots(source, ask)
    played = played_bag(bag)

    def worked(air: Wind | None) -> tuple[PatternTable, Round]:
        table = patterns_of(played, None, fits, wind=air)
        n = len(course.holes)
        return table, round_of(course, tee, table, _holes_done(progress, 0, n, n))

    table, found = worked(wind)
    made = Made(course, table, found, bag.player.name, lambda: worked(None)[1])
    return _answer(read.name or wish.course.file.stem, tee, wind, made)


def _shots(source: Source, ask: Ask | None) -> tuple[Bag, Any]:
    """The bag and what its shots say; None in the second place without any shot table."""
    bag = load_bag_of(source)
    if bag is None or not bag.clubs:
        raise InputError(tell("Strokes need a bag."), tell("Name the bag file with --bag."))
    if not shot_paths(source, bag):
        return bag, None
    loaded = load(source, ask)
    return (loaded.bag or bag), fit(loaded)


def _answer(name: str, tee: str, wind: Wind | None, made: Made) -> StrokesAnswer:
    result = made.found.result
    lines = []
    for hole in result.holes:
        first = next(iter(made.found.steps.get(hole.number, ())), None)
        lines.append(
            HoleLine(
                hole.number, hole.par, hole.stroke_index, hole.length_m, hole.strokes, hole.sd, hole.error_bound,
                hole.converged, first.words if first else "", first.aim_side_m if first else None,
                first.along_m if first else None,
            )
        )  # fmt: skip
    return StrokesAnswer(
        name, tee, wind.speed_mps if wind else 0.0, math.degrees(wind.from_rad) if wind else None,
        made.found.course_par, result.strokes, result.sd, result.error_bound, made.found.converged, tuple(lines),
        dict(made.found.clubs()), result.said, sum(hole.seconds for hole in result.holes), (), made,
    )  # fmt: skip


def _of(answer: StrokesAnswer) -> Made:
    if answer._made is None:
        raise InputError(tell("This answer was read back, not worked out."), tell("Work it out again."))
    return answer._made


def candidates_on(
    bag: Bag | None,
    fits: Dispersions,
    names: Sequence[str],
    wish: RoundWish,
    system: System,
    progress: Progress | None = None,
) -> OnCourse:
    """Set a slot's candidates side by side on a course, each in the slot in turn, in the stated wind or in calm air.

    Raises InputError for fewer than two candidates, and for a course, a tee or a wind that cannot be used.
    """
    from bagwright.report.strokes.air import air_words
    from bagwright.report.strokes.compare import on_course
    from bagwright.report.strokes.round import played_bag, round_of
    from bagwright.strokes.table import patterns_of

    if bag is None or len(names) < 2:
        raise InputError(
            tell("A course compares the candidates of a slot."),
            tell("Name two or more with --slot, and the bag."),
        )
    if any(bag.find(name) is None for name in names):
        raise InputError(
            tell(
                "A course compares builds of the bag; {names} are not all in it.",
                names=", ".join(names)[:200],
            ),
            tell("Put them into the bag file as candidates, or leave the course away."),
        )
    read = read_course(wish.course)
    course = ground_of(read)
    wind = wind_of(wish.wind, course.source)
    played = wish.tee if wish.tee is not None else course.tee_names[0]
    holes, rounds = len(course.holes), {}
    for k, name in enumerate(names):
        table = patterns_of(played_bag(bag, name, names), None, fits, wind=wind)
        rounds[name] = round_of(
            course, played, table, _holes_done(progress, k * holes, holes, len(names) * holes)
        )
    name = read.name or wish.course.file.stem
    return on_course(name, played, air_words(wind, course.source, system), rounds)


def _holes_done(progress: Progress | None, before: int, holes: int, total: int) -> Callable[[float], None]:
    """Tell the holes that are done of all rounds, from the share of one round that begins after `before` holes."""
    if progress is None:
        return lambda share: None
    return lambda share: progress(before + round(share * holes), total)


def draw_strokes(answer: StrokesAnswer, place: Path, system: System) -> StrokesAnswer:
    """Draw every hole with contours of strokes to hole out and the way that is chosen: one page ending in .html.

    Raises InputError for another ending, MachineError where it cannot be written.
    """
    from bagwright.files import write_whole
    from bagwright.report.holes.page import holes_page
    from bagwright.report.holes.picture import hole_picture
    from bagwright.report.strokes.drawn import contours_of, plan_layer
    from bagwright.report.strokes.round import rasters_of

    if place.suffix.lower() != ".html":
        raise InputError(
            tell('"{name}" does not end in .html.', name=place.name[:60]),
            tell("Name a page, such as holes.html."),
        )
    made = _of(answer)
    pictures = []
    for raster in rasters_of(made.course, answer.tee):
        hole = made.found.result.hole(raster.number)
        steps = made.found.steps.get(raster.number, ())
        layers = [contours_of(hole, raster), plan_layer(steps, made.found.result.shots, system)]
        pictures.append(
            hole_picture(made.course, raster.number, answer.tee, system, layers, standalone=False)
        )
    written = write_whole(place, holes_page(made.course, pictures).encode())
    return replace(answer, files=(*answer.files, written))


def print_sheet(
    answer: StrokesAnswer, place: Path, date: datetime.date, system: System, language: str = "en"
) -> StrokesAnswer:
    """Write the hole sheet: calm and, where one was stated, in the wind. Raises MachineError."""
    from bagwright.files import write_whole
    from bagwright.report.strokes.sheet import Sheet, sheet_pdf

    made = _of(answer)
    rounds = [(tell("calm"), made.calm() if answer.wind_mps else made.found)]
    if answer.wind_mps:
        rounds.append((wind_words(answer, system), made.found))
    sheet = Sheet(made.player, answer.course, answer.tee, tuple(rounds))
    written = write_whole(place, sheet_pdf(sheet, date=date, system=system, language=language))
    return replace(answer, files=(*answer.files, written))


def tee_shot_words(answer: StrokesAnswer, number: int, system: System) -> str:
    """A hole's tee shot in the reader's units, "" where nothing is chosen. Raises InputError for one read back."""
    found = _of(answer).found
    first = next(iter(found.steps.get(number, ())), None)
    return "" if first is None else found.said(first, system)


def wind_words(answer: StrokesAnswer, system: System) -> str:
    """The stated wind in words."""
    from bagwright.air import Wind
    from bagwright.report.strokes.air import air_words

    if not answer.wind_mps or answer.wind_from_deg is None:
        return tell("calm")
    wind = Wind(answer.wind_mps, math.radians(answer.wind_from_deg))
    return air_words(wind, _of(answer).course.source, system)
