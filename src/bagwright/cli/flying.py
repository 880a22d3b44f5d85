"""The commands about flight: fly, infer, restate."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import Any

import click

from bagwright import tasks
from bagwright.cli import show, show_flight, show_restate
from bagwright.cli.ask import asker
from bagwright.cli.options import as_system, give, make_source, output_options, quantity, reading_options
from bagwright.cli.setting import (
    air_options,
    in_typed_words,
    make_air,
    make_turf,
    make_wind,
    make_words,
    turf_options,
)
from bagwright.errors import InputError
from bagwright.flight.aero import LAWS
from bagwright.flight.prior import KINDS
from bagwright.units import Dimension, System

_FILE = click.Path(path_type=Path)
LAW_NAMES = tuple(name for name in LAWS if name != "constant")
"""The laws that say something of a ball: all but the one for checks."""


def _place(options: dict[str, Any]) -> tasks.Place:
    """Take the words about air, wind and turf out of a command's options and make a place of them."""
    words = {
        name: options.pop(name) for name in ("temperature", "altitude", "pressure", "humidity", "density")
    }
    wind = {name: options.pop(name) for name in ("wind", "wind_profile", "wind_height", "wind_over")}
    turf = {name: options.pop(name) for name in ("turf", "on", "green_speed")}
    return tasks.Place(make_air(**words), make_wind(**wind), make_turf(**turf), options.pop("model"))


@click.command()
@click.option("--ball-speed", metavar="SPEED", help='Speed of the ball, "176 mph".')
@click.option("--launch", metavar="ANGLE", help='Launch angle above level, "10deg".')
@click.option("--spin", metavar="RPM", help='Total spin, "2520rpm".')
@click.option("--direction", metavar="ANGLE", help='Start direction, right positive, "-2deg" (0deg).')
@click.option("--axis", metavar="ANGLE", help='Tilt of the spin axis, curving right positive, "5deg" (0deg).')
@air_options
@turf_options
@click.option("--model", type=click.Choice(LAW_NAMES), default="D1", show_default=True,
              help="Law of drag and lift.")  # fmt: skip
@click.option("--picture", type=_FILE, help="Draw the flight from the side: a name ending in .svg or .png.")
@click.option("--in", "table", type=_FILE, help="Fly every launch of a shot table instead of one.")
@click.option("--out", type=_FILE, help="With --in: write the table with the flights behind it.")
@reading_options
@click.option("--no-ask", is_flag=True, help="Stop at open questions instead of asking them.")
@output_options
def fly(
    as_json: bool, units: str, no_ask: bool, table: Path | None, out: Path | None, **options: Any
) -> None:
    """Fly one launch, or every launch of a table, through stated air, wind and turf.

    \b
    bagwright fly --ball-speed 120mph --launch 17deg --spin 6500rpm --temperature 50F --wind 10mph@head
    bagwright fly --ball-speed 176mph --launch 10deg --spin 2520rpm --turf firm --picture drive.svg
    bagwright fly --in launches.csv --out flights.csv --altitude 5280ft
    """
    place = _place(options)
    launch = {name: options.pop(name) for name in ("ball_speed", "launch", "spin", "direction", "axis")}
    system = as_system(units)
    if table is None:
        if out is not None:
            raise InputError("--out belongs to --in.", "Name the table with --in, or leave --out away.")
        picture = options.pop("picture")
        flown = tasks.fly_one(_launch(**launch), place, path=picture is not None)
        if picture is not None:
            tasks.draw_flown(flown, picture, system)
        give(flown, as_json, lambda: show_flight.flown(flown, system))
        return
    launch["picture"] = options.pop("picture")
    said = [f"--{name.replace('_', '-')}" for name, value in launch.items() if value is not None]
    if said:
        raise InputError(f"{said[0]} is given beside a table.", "Give one launch, or a table with --in.")
    source = replace(make_source((table,), **options), named_only=True)
    with show.Progress(as_json) as progress:
        flown_table = tasks.fly_table(source, place, asker(as_json, no_ask), progress)
        if out is not None:
            tasks.write_flown(flown_table, out, system)
    give(
        tasks.flown_account(flown_table, out),
        as_json,
        lambda: show_flight.flown_table(flown_table, system, out),
    )


def _launch(
    ball_speed: str | None, launch: str | None, spin: str | None, direction: str | None, axis: str | None
) -> Any:
    from bagwright.flight.launch import Launch

    speed = quantity(ball_speed, "speed", "--ball-speed")
    angle = quantity(launch, "angle", "--launch", "deg")
    turns = quantity(spin, "rotation", "--spin", "rpm")
    if speed is None or angle is None or turns is None:
        needed = {"--ball-speed": speed, "--launch": angle, "--spin": turns}
        lacking = ", ".join(name for name, value in needed.items() if value is None)
        raise InputError(
            f"A flight needs {lacking}.",
            "Add it, or name a table with --in. What was not measured can be found with `bagwright infer`.",
        )
    sides = quantity(direction, "angle", "--direction", "deg"), quantity(axis, "angle", "--axis", "deg")
    typed = {"ball_speed_mps": ("--ball-speed", ball_speed), "launch_rad": ("--launch", launch),
             "spin_rpm": ("--spin", spin), "direction_rad": ("--direction", direction),
             "spin_axis_rad": ("--axis", axis)}  # fmt: skip
    return in_typed_words(lambda: Launch(speed, angle, turns, *(side or 0.0 for side in sides)), typed)


_SEEN: tuple[tuple[str, str, Dimension, str | None, str], ...] = (
    ("carry", "carry_m", "length", None, 'Carry, "165 yd".'),
    ("total", "total_m", "length", None, 'Carry and run, "182 yd".'),
    ("apex", "apex_m", "length", None, 'Greatest height, "88 ft".'),
    ("descent", "descent_rad", "angle", "deg", 'Angle of descent, "45deg".'),
    ("time", "time_s", "time", "s", 'Time of flight, "5.8 s".'),
    ("side", "offline_m", "length", None, 'Side at landing, right positive, "-6 yd".'),
    ("curve", "curve_m", "length", None, "How far it lands from its line of start, right positive."),
    ("ball-speed", "ball_speed_mps", "speed", None, 'Speed of the ball, "118 mph".'),
    ("club-speed", "club_speed_mps", "speed", None, 'Speed of the head, "86 mph".'),
    ("launch", "launch_rad", "angle", "deg", 'Launch angle, "17deg".'),
    ("spin", "spin_rpm", "rotation", "rpm", 'Total spin, "6500rpm".'),
    ("direction", "direction_rad", "angle", "deg", 'Start direction, right positive, "2deg".'),
    ("axis", "spin_axis_rad", "angle", "deg", 'Tilt of the spin axis, curving right positive, "5deg".'),
    ("loft", "loft_rad", "angle", "deg", 'Loft of the club, "31deg".'),
)
"""Option, field of `Seen`, dimension, unit taken for a bare number, help."""


def _seen_options(function: Callable[..., Any]) -> Callable[..., Any]:
    function = click.option(
        "--club", type=click.Choice(tuple(KINDS)), help="Kind of club: narrows what is likely."
    )(function)
    for name, _, dimension, _, text in reversed(_SEEN):
        function = click.option(f"--{name}", name.replace("-", "_"), metavar=dimension.upper(), help=text)(
            function
        )
    return function


@click.command()
@_seen_options
@air_options
@turf_options
@click.option("--model", type=click.Choice(LAW_NAMES), default="D1", show_default=True,
              help="Law of drag and lift.")  # fmt: skip
@click.option("--in", "table", type=_FILE, help="Explain every shot of a table instead of one.")
@click.option("--out", type=_FILE, help="With --in: write the table with the launches behind it.")
@reading_options
@click.option("--no-ask", is_flag=True, help="Stop at open questions instead of asking them.")
@output_options
def infer(
    as_json: bool, units: str, no_ask: bool, table: Path | None, out: Path | None, **options: Any
) -> None:
    """Find the launch that explains what was seen of a shot, with ranges; say what the figures leave open.

    \b
    bagwright infer --carry 165yd --apex 88ft --club iron --loft 31
    bagwright infer --carry 92yd --time 4.9s --club wedge
    bagwright infer --in carries.csv --out launches.csv
    """
    from bagwright.flight.seen import Seen

    place, system = _place(options), as_system(units)
    typed = {field: (f"--{name}", options[name.replace("-", "_")]) for name, field, _, _, _ in _SEEN}
    given = {field: _seen(options, name, dimension, unit) for name, field, dimension, unit, _ in _SEEN}
    kind = options.pop("club")
    if table is not None:
        said = [name for name, value in given.items() if value is not None] + (
            [] if kind is None else ["club"]
        )
        if said:
            raise InputError(
                f"A figure ({said[0]}) is given beside a table.", "Give figures, or a table with --in."
            )
        _infer_table(table, out, place, as_json, no_ask, system, options)
        return
    if out is not None:
        raise InputError("--out belongs to --in.", "Name the table with --in, or leave --out away.")
    seen = in_typed_words(lambda: Seen(**given, club_kind=kind), typed)
    struck = tasks.infer_one(seen, place, system)
    give(struck, as_json, lambda: show_flight.struck(struck, system))


def _seen(options: dict[str, Any], name: str, dimension: Dimension, unit: str | None) -> float | None:
    return quantity(options.pop(name.replace("-", "_")), dimension, f"--{name}", unit)


def _infer_table(
    table: Path,
    out: Path | None,
    place: tasks.Place,
    as_json: bool,
    no_ask: bool,
    system: System,
    options: Any,
) -> None:
    source = replace(make_source((table,), **options), named_only=True)
    with show.Progress(as_json) as progress:
        found = tasks.infer_table(source, place, asker(as_json, no_ask), progress)
        if out is not None:
            tasks.write_struck(found, out, system)
    give(tasks.struck_account(found, out), as_json, lambda: show_flight.struck_table(found, system, out))


@click.command()
@click.argument("files", nargs=-1, type=_FILE)
@click.option(
    "--to", "there", metavar="WORD=VALUE,...", help='The other setting, "temperature=50F,altitude=0ft".'
)
@click.option("--from", "here", metavar="WORD=VALUE,...",
              help="Where the shots were hit, where the table does not say it (standard air).")  # fmt: skip
@click.option("--card", is_flag=True, help="Carries by club in cold, at altitude and in wind as well.")
@click.option("--model", type=click.Choice(LAW_NAMES), default="D1", show_default=True,
              help="Law of drag and lift.")  # fmt: skip
@click.option("--out", type=_FILE, help="Write the restated shots as a table under our own headings.")
@reading_options
@click.option("--no-ask", is_flag=True, help="Stop at open questions instead of asking them.")
@output_options
def restate(
    files: tuple[Path, ...], there: str | None, here: str | None, card: bool, model: str, out: Path | None,
    as_json: bool, units: str, no_ask: bool, **options: Any,
) -> None:  # fmt: skip
    """Say what the same strikes would do in other air, wind, with another ball, on other turf.

    \b
    bagwright restate visit.csv --to temperature=50F,altitude=0ft --out winter.csv
    bagwright restate visit.csv --from ball=range --to ball=tour
    bagwright restate --bag bag.toml --card
    """
    if there is None and not card:
        raise InputError(
            "Nothing to restate to.", "Add --to temperature=50F,altitude=0ft, or ask for the --card."
        )
    system = as_system(units)
    source = replace(make_source(files, **options), named_only=bool(files))
    words = make_words(here, "--from"), make_words(there, "--to")
    with show.Progress(as_json) as progress:
        found = tasks.restate_files(source, *words, model, card, asker(as_json, no_ask), progress)
        if out is not None:
            tasks.write_restated(found, out, system)
    give(
        tasks.restated_account(found, out), as_json, lambda: show_restate.restated(found, system, there, out)
    )


FLIGHT_COMMANDS: tuple[click.Command, ...] = (fly, infer, restate)
