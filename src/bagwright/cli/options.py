"""Options that several commands share, and the source they describe."""

from __future__ import annotations

import re
from collections.abc import Callable
from datetime import date
from pathlib import Path
from typing import Any, TypeVar, cast

import click

from bagwright.errors import InputError
from bagwright.plain import to_json
from bagwright.tasks import CourseSource, RoundWish, Source
from bagwright.units import Dimension, System, parse_quantity

F = TypeVar("F", bound=Callable[..., Any])
_FILE = click.Path(path_type=Path)


def output_options(function: F) -> F:
    """--json and --units, which every command has."""
    function = click.option(
        "--units", type=click.Choice(["yards", "metres"]), default="yards", show_default=True, envvar="BAGWRIGHT_UNITS",
        help="Distances shown in yards or metres.",
    )(function)  # fmt: skip
    return click.option("--json", "as_json", is_flag=True, help="One JSON document on standard output.")(
        function
    )


def reading_options(function: F) -> F:
    """How to settle what a shot table leaves open."""
    for decorate in (
        click.option("--answer", "answers", multiple=True, metavar="KEY=OPTION", help="Answer one question."),
        click.option("--map", "map_file", type=_FILE, help="File that keeps your answers about tables."),
        click.option("--bag", "bag", type=_FILE, help="The player's bag.toml."),
    ):
        function = decorate(function)
    return function


def player_options(function: F) -> F:
    """What is known of the player where no bag file says it."""
    for decorate in (
        click.option("--age", type=click.FloatRange(4, 110), help="Age in years (ball limits, juniors)."),
        click.option(
            "--sex", type=click.Choice(["female", "male"]), help="Used only where the speed is unknown."
        ),
        click.option("--driver-speed", metavar="SPEED", help='Driver head speed, such as "92 mph".'),
        click.option("--handicap", type=click.FloatRange(-10, 54), help="Handicap index; +2 is -2."),
        click.option("--hand", type=click.Choice(["right", "left"]), help="Which way the player stands."),
    ):
        function = decorate(function)
    return function


def course_options(function: F) -> F:
    """Where a slot's candidates are compared in strokes: --course, --tees, --wind."""
    for decorate in (
        click.option(
            "--wind", metavar="SPEED@FROM", help='A steady wind there: "10mph@sw"; on a card "10mph@head".'
        ),
        click.option("--tees", metavar="NAME", help="The tee that is played there (default: the longest)."),
        click.option(
            "--course", type=_FILE,
            help="A map or scorecard: what the slot's candidates cost on it, hole by hole.",
        ),
    ):  # fmt: skip
        function = decorate(function)
    return function


def round_wish(course: Path | None, tees: str | None, wind: str | None) -> RoundWish | None:
    """What --course, --tees and --wind ask for, None without a course. Raises InputError for a tee or wind alone."""
    if course is not None:
        return RoundWish(CourseSource(course), tees, wind)
    for value, option in ((tees, "--tees"), (wind, "--wind")):
        if value is not None:
            raise InputError(
                f"{option} says how a course is played, and no course is named.", "Add --course."
            )
    return None


def date_option(function: F) -> F:
    """--date: what the papers carry; today unless said, so that a paper can be made again byte for byte."""
    return click.option(
        "--date", metavar="YYYY-MM-DD", callback=_read_date, help="Date on the paper (default: today)."
    )(function)


def _read_date(_context: click.Context, _parameter: click.Parameter, value: str | None) -> date:
    if value is None:
        return date.today()
    try:
        return date.fromisoformat(value)
    except ValueError as error:
        raise click.BadParameter(f'"{value[:30]}" is not a date like 2026-05-09.') from error


def make_source(
    files: tuple[Path, ...],
    bag: Path | None,
    map_file: Path | None,
    answers: tuple[str, ...],
    said: dict[str, Any] | None = None,
) -> Source:
    """The source that the options describe. Raises InputError for an answer without "="."""
    pairs: dict[str, str] = {}
    for text in answers:
        key, sign, option = text.partition("=")
        if not sign:
            raise InputError(f'--answer "{text[:60]}" has no "=".', 'Write --answer "length unit=yd".')
        pairs[key.strip()] = option.strip()
    return Source(files, bag, map_file, pairs, _player_said(**said) if said else {})


def _player_said(
    hand: str | None, handicap: float | None, driver_speed: str | None, sex: str | None, age: float | None
) -> dict[str, object]:
    """Fields of `Player` that the options state, in SI. Raises InputError for an impossible head speed."""
    speed = None if driver_speed is None else parse_quantity(driver_speed, "speed")
    if speed is not None and not 15.0 <= speed <= 70.0:
        raise InputError(
            f'--driver-speed "{driver_speed}" is not a driver head speed.', "Expected 35 to 155 mph."
        )
    given = {"hand": hand, "handicap": handicap, "driver_speed_mps": speed, "sex": sex, "age": age}
    return {name: value for name, value in given.items() if value is not None}


def as_system(units: str) -> System:
    """The word of --units as a unit system."""
    return cast("System", units)


def give(result: object, as_json: bool, shown: Callable[[], None]) -> None:
    """One JSON document on standard output, or what a person reads."""
    if as_json:
        click.echo(to_json(result), nl=False)
    else:
        shown()


def quantity(text: str | None, dimension: Dimension, option: str, unit: str | None = None) -> float | None:
    """An option's quantity in SI units, None when it is not given. Raises InputError that names the option."""
    if text is None:
        return None
    if dimension == "rotation" and re.match(r"\s*\d{1,3}[.,]\d{3}(?!\d)", text):
        raise InputError(
            f'{option} "{text[:30]}" can be read two ways.', "Write it without a mark, like 6500rpm."
        )
    try:
        return parse_quantity(text, dimension, unit)
    except InputError as error:
        raise InputError(f"{option}: {error.message}", error.next_step) from error


def length(text: str | None, option: str) -> float | None:
    """An option's length in metres, None when it is not given."""
    return quantity(text, "length", option)
