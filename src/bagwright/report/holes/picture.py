"""One hole as one picture."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from importlib.resources import files

from bagwright.course.ground import Ground, ground_of
from bagwright.course.hole import Course
from bagwright.course.reach import Facts, facts_of
from bagwright.report.holes.ground import ground_layer, letters, lies_shown, patterns
from bagwright.report.holes.labels import placed
from bagwright.report.holes.layers import Layer
from bagwright.report.holes.legend import ROW_PX, legend, legend_rows
from bagwright.report.holes.marks import arcs_of, marks_taken, north_arrow, scale_bar, way_layer
from bagwright.report.holes.view import View, fitted
from bagwright.report.holes.words import HoleWords, card_words, hole_words, rise_words
from bagwright.report.holes.xml import el, said, text
from bagwright.units import System, distance_unit
from bagwright.words import join, tell

WIDTH_PX = 520.0
_SIDE_PX = 16.0
_HEAD_PX = 92.0
_TALLEST_PX = 760.0
LINES = (
    ("hp-way", tell("the hole's way, from the tee that is played (+) to the flag")),
    ("hp-arc", tell("distance from the tee, figures at the left")),
    ("hp-arc-back", tell("distance to the pin, figures at the right")),
)


@dataclass(frozen=True, slots=True)
class Picture:
    """A hole's picture as SVG, and the same in words."""

    number: int
    svg: str
    words: HoleWords
    width_px: float
    height_px: float
    view: View
    """Which pixel shows which metre."""


def hole_picture(
    course: Course,
    number: int,
    tee: str | None = None,
    system: System = "yards",
    layers: Sequence[Layer] = (),
    *,
    standalone: bool = True,
) -> Picture:
    """Draw a hole from one of its tees, with further layers over it.

    A standalone picture carries its styles; on a page they come from `hole_styles()`, once, in a file of
    styles, because the page's policy forbids styles within it.
    """
    ground = ground_of(course, number, tee)
    facts = facts_of(ground)
    words = hole_words(course, ground, system, facts)
    words = replace(words, sentences=(*words.sentences, *(layer.words for layer in layers if layer.words)))
    view = fitted(
        ground.extent, (WIDTH_PX - 2 * _SIDE_PX, _TALLEST_PX), (_SIDE_PX, _HEAD_PX), system, f"hole{number}-"
    )
    lies = lies_shown(ground, view)
    lines = [*LINES, *(line for layer in layers for line in layer.legend)]
    foot = _HEAD_PX + view.height
    height = foot + 44 + ROW_PX * legend_rows(lies, lines) + 26
    drawn = [
        el(
            "title",
            said(join(": ", (words.title, card_words(ground, facts, system)))),
            id=f"{view.prefix}title",
        ),
        el("desc", said(words.text), id=f"{view.prefix}desc"),
        el("style", hole_styles()) if standalone else "",
        el("defs", patterns(view.prefix), _clip(view)),
        el("rect", cls="hp-sheet", width=WIDTH_PX, height=height),
        _head(course, ground, facts, words, system),
        el("g", _map(ground, view, layers), clip_path=f"url(#{view.prefix}clip)"),
        el("rect", cls="hp-frame", x=view.left, y=view.top, width=view.width, height=view.height),
        scale_bar(view, _SIDE_PX, foot + 22),
        _north(ground, course, foot + 21),
        legend(lies, lines, view.prefix, _SIDE_PX, foot + 40, WIDTH_PX - 2 * _SIDE_PX),
        text(_credit(course), _SIDE_PX, height - 9, "hp-small hp-quiet", 110),
    ]
    svg = el(
        "svg", *drawn, xmlns="http://www.w3.org/2000/svg", viewbox=f"0 0 {WIDTH_PX:.0f} {height:.0f}",
        width=WIDTH_PX, height=height, cls="hp", role="img",
        aria_labelledby=f"{view.prefix}title {view.prefix}desc",
    )  # fmt: skip
    return Picture(number, svg, words, WIDTH_PX, height, view)


def hole_styles() -> str:
    """Give the styles of all pictures of holes."""
    return files("bagwright.report.holes").joinpath("holes.css").read_text(encoding="utf-8")


def _map(ground: Ground, view: View, layers: Sequence[Layer]) -> str:
    """The ground, arcs, layers and way; then all words, those of what was asked for (the layers) first."""
    arcs, figures = arcs_of(ground, view)
    over = "".join(layer.draw(view) for layer in layers)
    wanted = [one for layer in layers for one in layer.labels(view)]
    needed = [one for one in wanted if one.needed]
    spare = [one for one in wanted if not one.needed]
    words = [*needed, *figures, *letters(ground, view), *spare]
    return (
        ground_layer(ground, view) + arcs + over + way_layer(ground, view)
        + placed(words, marks_taken(ground, view), view)
    )  # fmt: skip


def _clip(view: View) -> str:
    area = el("rect", x=view.left, y=view.top, width=view.width, height=view.height)
    return el("clipPath", area, id=f"{view.prefix}clip")


def _head(course: Course, ground: Ground, facts: Facts, words: HoleWords, system: System) -> str:
    green = ""
    if facts.front_m is not None and facts.back_m is not None:
        factor = distance_unit(system).factor
        front, back = facts.front_m / factor, facts.back_m / factor
        green = tell(
            "Green front {front:.0f}, pin {pin:.0f}, back {back:.0f}.",
            front=front,
            pin=facts.middle_m / factor,
            back=back,
        )
    return (
        text(words.title, _SIDE_PX, 28, "hp-title", 40)
        + text(course.name, WIDTH_PX - _SIDE_PX, 26, "hp-small hp-quiet hp-end", 36)
        + text(card_words(ground, facts, system), _SIDE_PX, 52, None, 70)
        + text(join(" ", (green, rise_words(facts.rise_m, system))).strip(), _SIDE_PX, 74, None, 80)
    )


def _north(ground: Ground, course: Course, y: float) -> str:
    return "" if course.source == "card" else north_arrow(ground.frame.turn_rad, WIDTH_PX - _SIDE_PX - 16, y)


def _credit(course: Course) -> str:
    if course.source == "card":
        return tell("A model from the scorecard, no map.")
    return course.credit
