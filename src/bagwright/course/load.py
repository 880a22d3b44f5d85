"""Any file to a course: a map in GeoJSON, OpenStreetMap XML or Overpass JSON, or a scorecard."""

from __future__ import annotations

from dataclasses import replace

from bagwright.course.amend import apply_overlay
from bagwright.course.answering import check_answers
from bagwright.course.asking import Asked
from bagwright.course.elements import MapFile
from bagwright.course.hole import Course
from bagwright.course.opened import Given, opened
from bagwright.course.overlay import parse_overlay
from bagwright.course.overlay_record import Overlay
from bagwright.errors import InputError
from bagwright.words import tell


def load_course(
    source: Given,
    *,
    name: str = "",
    course: str | None = None,
    overlay: Overlay | str | None = None,
    heights: Given | None = None,
    heights_name: str = "",
) -> Course:
    """Read a course from a path, or from a file's bytes with its `name`, and put its corrections on it.

    `course` names the one that is meant where a map holds several. `overlay` is an overlay or the text of its
    file; its answers and its model holes' numbers act while the file is read, everything else on what was
    read. `heights` is a grid of heights (`heightfile.py`), a path or bytes with their `heights_name`. Raises
    InputError for anything that cannot be used, naming the place, the value and the next step.
    """
    raw, file = opened(source, name)
    corrections = parse_overlay(overlay) if isinstance(overlay, str) else overlay or Overlay()
    check_answers(corrections.answers)
    asked = Asked(corrections.answers)
    if is_map(raw):
        found = _map(raw, file, asked, course or corrections.course, corrections)
    else:
        found = _card(raw, file, asked, corrections)
    found = apply_overlay(found, corrections)
    if heights is not None:
        from bagwright.course.heightfile import lifted, read_heights

        grid = read_heights(*opened(heights, heights_name), found)
        found = replace(found, heights=grid, holes=tuple(lifted(hole, grid) for hole in found.holes))
    return replace(found, notes={**found.notes, "heights": told_heights(found)})


def told_heights(course: Course) -> str:
    """Say what is known of the heights of a course's ground."""
    known = [
        str(hole.number)
        for hole in course.holes
        if hole.pin_height_m is not None and any(tee.height_m is not None for tee in hole.tees)
    ]
    if course.heights is not None:
        without = [str(hole.number) for hole in course.holes if str(hole.number) not in known]
        if without:
            return tell(
                "from a file with a height every {step:.0f} m, which does not reach holes {holes}",
                step=course.heights.step_m, holes=", ".join(without),
            )  # fmt: skip
        return tell("from a file with a height every {step:.0f} m", step=course.heights.step_m)
    if not known:
        return tell("nothing is known of heights; every hole is played as level")
    if len(known) == len(course.holes):
        return tell("of tees and pins only; an even slope between them")
    return tell("of tees and pins of holes {holes} only; the others are level", holes=", ".join(known))


def _map(raw: bytes, file: str, asked: Asked, wanted: str | None, overlay: Overlay) -> Course:
    from bagwright.course.mapping import course_of_map

    for number, change in overlay.holes.items():
        if change.model:
            raise InputError(
                tell("The overlay has [hole.{number}.model], but {file} is a map.", number=number, file=file),
                tell("Model holes belong to scorecards; draw areas instead."),
            )
    return course_of_map(read_map(raw, file), asked, wanted)


def _card(raw: bytes, file: str, asked: Asked, overlay: Overlay) -> Course:
    from bagwright.course.cardfile import read_card
    from bagwright.course.modelling import course_of_card

    if overlay.bounds or overlay.no_bounds:
        raise InputError(
            tell(
                "The overlay has [bounds], but {file} is a scorecard, whose holes lie each by itself.",
                file=file,
            ),
            tell(
                'Write "out of bounds left" among a hole\'s words, or add an area of lie "out" to the hole.'
            ),
        )
    numbers = {number: change.model for number, change in overlay.holes.items()}
    return course_of_card(read_card(raw, file, asked), asked, numbers)


def is_map(raw: bytes) -> bool:
    """Whether a file begins like a map (XML or a JSON object); everything else is read as a scorecard."""
    return raw.lstrip(b"\xef\xbb\xbf \t\r\n")[:1] in (b"<", b"{")


def read_map(raw: bytes, file: str) -> MapFile:
    """Read a map's elements; the kind is known by the content, never by the name."""
    from bagwright.course.geojson import read_geojson
    from bagwright.course.jsonfile import parse_json
    from bagwright.course.osm_json import read_overpass
    from bagwright.course.osm_xml import read_osm_xml

    if raw.lstrip(b"\xef\xbb\xbf \t\r\n").startswith(b"<"):
        return read_osm_xml(raw, file)
    document = parse_json(raw, file)
    if "elements" in document:
        return read_overpass(document, file)
    return read_geojson(document, file)
