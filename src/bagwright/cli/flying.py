"""The commands about flight: fly, infer, restate."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import Any

import click

from bagwright import tasks
from bagwright.cli import show, show_flight
from bagwright.cli.ask import asker
from bagwright.cli.options import as_system, give, make_source, output_options, quantity, reading_options
from bagwright.cli.setting import air_options, make_air, make_turf, make_wind, turf_options
from bagwright.errors import InputError

_FILE = click.Path(path_type=Path)
LAW_NAMES = (
    "D1", "pooled", "smits-smith-1994", "smits-smith-1994-no-re", "bearman-harvey-1976", "indoor-range-2001",
    "lyu-2018", "textbook",
)  # fmt: skip


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
    bagwright fly --in launches.csv --out flights.csv --altitude 5280ft
    """
    place = _place(options)
    launch = {name: options.pop(name) for name in ("ball_speed", "launch", "spin", "direction", "axis")}
    system = as_system(units)
    if table is None:
        if out is not None:
            raise InputError("--out belongs to --in.", "Name the table with --in, or leave --out away.")
        flown = tasks.fly_one(_launch(**launch), place)
        give(flown, as_json, lambda: show_flight.flown(flown, system))
        return
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
    return Launch(speed, angle, turns, *(side or 0.0 for side in sides))


FLIGHT_COMMANDS: tuple[click.Command, ...] = (fly,)
