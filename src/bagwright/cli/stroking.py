"""The command that works out what a course costs a player in strokes."""

from __future__ import annotations

import datetime
from pathlib import Path
from typing import Any

import click

from bagwright import tasks
from bagwright.cli import show_strokes
from bagwright.cli.ask import asker
from bagwright.cli.options import (
    as_system,
    date_option,
    give,
    make_source,
    output_options,
    reading_options,
)
from bagwright.cli.progress import Parts
from bagwright.words import LANGUAGES

_FILE = click.Path(path_type=Path)


@click.command()
@click.argument("course", type=_FILE)
@click.argument("files", nargs=-1, type=_FILE)
@click.option("--tees", metavar="NAME", help="Which tee is played (default: the longest).")
@click.option(
    "--wind", metavar="SPEED@FROM", help='A steady wind: "10mph@sw", "4m/s@240"; on a card "10mph@head".'
)
@click.option(
    "--overlay",
    type=_FILE,
    help="File of corrections (default: COURSE.overlay.toml beside it, if there is one).",
)
@click.option(
    "--heights", type=_FILE, help="Grid of heights: ESRI ASCII (.asc), CSV of points, SRTM tile (.hgt)."
)
@click.option(
    "--sheet", type=_FILE, help="Write the hole sheet (PDF): tee club and aim, calm and in the wind."
)
@click.option(
    "--pictures", type=_FILE, help="Draw the holes with contours of strokes: a page ending in .html."
)
@click.option(
    "--language", type=click.Choice(LANGUAGES), default="en", show_default=True, help="Of the sheet."
)
@click.option("--no-ask", is_flag=True, help="Stop at open questions instead of asking them.")
@reading_options
@date_option
@output_options
def strokes(
    course: Path, files: tuple[Path, ...], tees: str | None, wind: str | None, overlay: Path | None,
    heights: Path | None, sheet: Path | None, pictures: Path | None, language: str, no_ask: bool,
    date: datetime.date, as_json: bool, units: str, **options: Any,
) -> None:  # fmt: skip
    """Work out a round on a course: strokes of every hole, the club and aim from the tee, where clubs are used.

    The shots are those named, and those that the bag file lists. For planning before a round only (Rule 4.3a).

    \b
    bagwright strokes links.geojson --bag bag.toml --tees yellow --wind 10mph@sw --sheet holes.pdf
    bagwright strokes card.csv whole-bag.csv --bag bag.toml --pictures holes.html
    """
    system = as_system(units)
    wish = tasks.RoundWish(tasks.CourseSource(course, None, overlay, heights, {}), tees, wind)
    with Parts(as_json, "holes") as progress:
        answer = tasks.work_out(make_source(files, **options), wish, asker(as_json, no_ask), progress)
    if pictures is not None:
        answer = tasks.draw_strokes(answer, pictures, system)
    if sheet is not None:
        answer = tasks.print_sheet(answer, sheet, date, system, language)
    give(answer, as_json, lambda: show_strokes.strokes(answer, system))


STROKES_COMMANDS: tuple[click.Command, ...] = (strokes,)
