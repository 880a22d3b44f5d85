"""The command that shows a map or a scorecard as the program sees it."""

from __future__ import annotations

from pathlib import Path

import click

from bagwright import tasks
from bagwright.cli import show, show_course
from bagwright.cli.options import as_system, give, output_options
from bagwright.errors import InputError

_FILE = click.Path(path_type=Path)


@click.command()
@click.argument("file", type=_FILE)
@click.option("--tees", metavar="NAME", help="Draw and list the holes from this tee only.")
@click.option("--course", metavar="NAME", help="Which course, where a map holds several.")
@click.option(
    "--overlay",
    type=_FILE,
    help="File of corrections (default: FILE.overlay.toml beside it, if there is one).",
)
@click.option(
    "--answer",
    "answers",
    multiple=True,
    metavar="KEY=ANSWER",
    help="Answer a question; kept in the file of corrections.",
)
@click.option(
    "--heights", type=_FILE, help="Grid of heights: ESRI ASCII (.asc), CSV of points, SRTM tile (.hgt)."
)
@click.option("--pictures", type=_FILE, help="Draw the holes: a page ending in .html, or a folder.")
@output_options
def course(
    file: Path, tees: str | None, course: str | None, overlay: Path | None, answers: tuple[str, ...],
    heights: Path | None, pictures: Path | None, as_json: bool, units: str,
) -> None:  # fmt: skip
    """Show a map or a scorecard as the program sees it: holes, lengths, ground, what is open; draw it.

    \b
    bagwright course links.geojson --pictures links.html
    bagwright course card.csv --tees yellow
    bagwright course links.osm --answer "7 par=4" --heights ground.asc
    """
    system = as_system(units)
    read = tasks.read_course(tasks.CourseSource(file, course, overlay, heights, _answers(answers)))
    tasks.check_tee(read, tees)
    if pictures is not None:
        with show.Progress(as_json) as progress:
            read = tasks.draw_course(read, pictures, tees, system, progress)
    give(read, as_json, lambda: show_course.course(read, tees, system))


def _answers(texts: tuple[str, ...]) -> dict[str, str]:
    pairs = {}
    for text in texts:
        key, sign, answer = text.partition("=")
        if not sign:
            raise InputError(f'--answer "{text[:60]}" has no "=".', 'Write --answer "7 par=4".')
        pairs[key.strip()] = answer.strip()
    return pairs


COURSE_COMMANDS: tuple[click.Command, ...] = (course,)
