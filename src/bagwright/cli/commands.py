"""The commands: each reads its options, calls one task and shows what came back."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import Any

import click

from bagwright import tasks
from bagwright.cli import show, show_pick, show_strokes
from bagwright.cli.ask import asker
from bagwright.cli.coursing import COURSE_COMMANDS
from bagwright.cli.flying import FLIGHT_COMMANDS
from bagwright.cli.options import (
    as_system,
    course_options,
    date_option,
    give,
    length,
    make_source,
    output_options,
    player_options,
    reading_options,
    round_wish,
)
from bagwright.cli.picking import PICK_COMMANDS
from bagwright.cli.progress import Parts
from bagwright.cli.serving import demo, serve
from bagwright.cli.stroking import STROKES_COMMANDS
from bagwright.cli.studying import STUDY_COMMANDS
from bagwright.plain import plain
from bagwright.words import LANGUAGES

_FILE = click.Path(path_type=Path)
_PLAYER_WORDS = ("hand", "handicap", "driver_speed", "sex", "age")


def _player_words(options: dict[str, Any]) -> dict[str, Any]:
    return {name: options.pop(name) for name in _PLAYER_WORDS}


@click.command()
@click.argument("files", nargs=-1, required=True, type=_FILE)
@reading_options
@click.option("--out", type=_FILE, help="Write the accepted shots as a clean table under our own headings.")
@click.option("--no-ask", is_flag=True, help="List questions instead of asking them.")
@output_options
def read(
    files: tuple[Path, ...], out: Path | None, no_ask: bool, as_json: bool, units: str, **options: Any
) -> None:
    """Show what was understood of shot tables: every row accounted for, every column named.

    \b
    bagwright read visit.xlsx
    bagwright read monday.csv tuesday.csv --bag bag.toml --map answers.toml
    """
    source = replace(make_source(files, **options), named_only=True)
    with show.Progress(as_json) as progress:
        loaded = tasks.with_suggestions(tasks.load(source, asker(as_json, no_ask), progress))
    if out is not None:
        tasks.write_clean(loaded, out, as_system(units))
    give(tasks.account(loaded), as_json, lambda: show.account(loaded.result, as_system(units), out))


@click.command()
@click.argument("files", nargs=-1, type=_FILE)
@click.option(
    "--slot", required=True, metavar="A,B[,C]", help="The builds that compete, by name, with commas."
)
@reading_options
@player_options
@click.option("--by", type=click.Choice(["miss", "carry"]), default="miss", show_default=True,
              help="Decide by the expected miss from the slot's spot, or by which carries farther.")  # fmt: skip
@click.option("--spot", metavar="CARRY", help='The carry that the slot is for, such as "95 yd".')
@click.option("--width", metavar="WIDTH", help='Count balls outside this width, such as "30 yd".')
@click.option(
    "--ratings", type=_FILE, help="TOML file of the player's ratings, 1 to 5 (see docs/commands.md)."
)
@click.option("--weight", "weights", multiple=True, metavar="WHAT=YARDS",
              help="Yards that one unit of strike, flight, rating or price is worth to you (default 0).")  # fmt: skip
@click.option("--care", type=click.Choice(["quick", "normal", "careful"]), default="normal", show_default=True,
              help="How much a ball is worth when asking whether to hit more.")  # fmt: skip
@click.option(
    "--compare",
    type=click.Choice(["build", "ball"]),
    default="build",
    show_default=True,
    help="What competes: builds, or the balls hit with the one club that --slot names.",
)
@click.option("--aligned", is_flag=True, help="The alignment of unit and player was checked.")
@course_options
@click.option("--no-ask", is_flag=True, help="Stop at open questions instead of asking them.")
@output_options
def trial(
    files: tuple[Path, ...], slot: str, as_json: bool, units: str, no_ask: bool, **options: Any
) -> None:
    """Say which of several builds earns the slot, how sure that is, and what more balls would change.

    The club now in the slot takes part even if you do not name it. Shots of the bag file count as well.

    \b
    bagwright trial wedges.csv --slot "Gap wedge,50 cavity,51 blade" --bag bag.toml
    bagwright trial drivers.xlsx --slot "driver A,driver B" --by carry --handicap 12 --driver-speed "95 mph"
    bagwright trial --slot "Gap wedge,50 cavity" --bag bag.toml --course links.geojson --wind 10mph@sw
    """
    said = _player_words(options)
    where = round_wish(options.pop("course"), options.pop("tees"), options.pop("wind"))
    wish = tasks.Wish(
        by=options.pop("by"),
        spot_m=length(options.pop("spot"), "--spot"),
        width_m=length(options.pop("width"), "--width"),
        ratings_file=options.pop("ratings"),
        weights=tasks.parse_weights(options.pop("weights")),
        care=options.pop("care"),
        aligned=options.pop("aligned"),
        compare=options.pop("compare"),
        system=as_system(units),
    )
    source = make_source(files, said=said, **options)
    judged = tasks.judge_slot(source, slot, wish, asker(as_json, no_ask))
    if where is None:
        give(judged.verdict, as_json, lambda: show.verdict(judged.verdict, as_system(units)))
        return
    with Parts(as_json, "holes") as progress:
        names = [one.name for one in judged.verdict.candidates]
        found = tasks.candidates_on(judged.loaded.bag, judged.fits, names, where, as_system(units), progress)
        verdict, played = tasks.valued_on_course(judged, where, progress)

    def both() -> None:
        show.verdict(verdict, as_system(units))
        show_strokes.on_course(found, as_system(units))

    give(
        {**plain(verdict), "on_course": plain(found), "next_balls_on_course": plain(played.further)}, as_json,
        both,
    )  # fmt: skip


@click.command()
@click.argument("files", nargs=-1, type=_FILE)
@reading_options
@player_options
@click.option("--step", "step", metavar="LOW-HIGH", help='An even step in percent of carry, such as "7-10".')
@click.option("--no-ask", is_flag=True, help="Stop at open questions instead of asking them.")
@output_options
def distances(
    files: tuple[Path, ...], step: str | None, as_json: bool, units: str, no_ask: bool, **options: Any
) -> None:
    """List the bag's carries with their ranges, the steps between them, overlaps and gaps.

    \b
    bagwright distances whole-bag.csv --bag bag.toml
    """
    said = _player_words(options)
    source = make_source(files, said=said, **options)
    result = tasks.measure_bag(source, step, asker(as_json, no_ask))
    give(result, as_json, lambda: show.distances(result, as_system(units)))


@click.command()
@click.argument("bag", type=_FILE)
@output_options
def check(bag: Path, as_json: bool, units: str) -> int:
    """Check a bag against the club limit and the equipment limits that can be known from the file.

    Exits with 1 when a limit is broken. What is legal is decided by the governing bodies' lists.

    \b
    bagwright check bag.toml
    """
    result = tasks.check_bag(bag)
    give(result, as_json, lambda: show.check(result, as_system(units)))
    return 0 if result.within_limits else 1


@click.command()
@click.option(
    "--slot", required=True, metavar="SLOT", help="The slot: the name of a club in the bag, or a loft."
)
@click.option("--shots", "files", multiple=True, type=_FILE, help="Further shot tables.")
@click.option("--spot", metavar="CARRY", help='The carry that the slot is for, such as "95 yd".')
@reading_options
@player_options
@course_options
@click.option("--no-ask", is_flag=True, help="Stop at open questions instead of asking them.")
@output_options
def brief(slot: str, spot: str | None, as_json: bool, units: str, no_ask: bool, **options: Any) -> None:
    """Write down what a slot must do, and rank the rack's builds by the chance of doing it.

    \b
    bagwright brief --bag bag.toml --slot "Gap wedge"
    bagwright brief --bag bag.toml --slot "Gap wedge,50 cavity" --course links.geojson
    """
    said = _player_words(options)
    where = round_wish(options.pop("course"), options.pop("tees"), options.pop("wind"))
    source = make_source(options.pop("files"), said=said, **options)
    asked = (length(spot, "--spot"), asker(as_json, no_ask), as_system(units))
    if where is None:
        result = tasks.brief_slot(source, slot, *asked)
        give(result, as_json, lambda: show.brief(result, as_system(units)))
        return
    with Parts(as_json, "holes") as progress:
        on_it, played = tasks.brief_on_course(source, slot, where, *asked, progress)

    def both() -> None:
        show.brief(on_it, as_system(units))
        show_pick.slot(played)

    give({**plain(on_it), "on_course": plain(played)}, as_json, both)


@click.command()
@click.option("--slot", metavar="A,B[,C]", default="", help="The builds that compete, by name, with commas.")
@click.option("--whole-bag", is_flag=True, help="Plan mirrored passes through the whole bag instead.")
@click.option("--balls", type=click.IntRange(1, 500), help="Test balls of all candidates together.")
@click.option("--minutes", type=click.FloatRange(1, 600), help="The whole time, handing over included.")
@click.option(
    "--block", type=click.IntRange(1, 5), default=3, show_default=True, help="Balls before changing."
)
@click.option("--swings", metavar="SWING,...", help='Swings, such as "stock,gripped-down,flat-out".')
@click.option("--rule", "rules", multiple=True, metavar="RULE", help='"A last", "A first" or "A before B".')
@click.option(
    "--warm-up", type=click.IntRange(10, 15), default=12, show_default=True, help="Balls to warm up."
)
@click.option(
    "--already-hit", type=click.IntRange(0, 500), default=0, help="Balls hit today before this plan."
)
@click.option("--bag", type=_FILE, help="The player's bag.toml.")
@click.option("--age", type=click.FloatRange(4, 110), help="Age in years (ball limits).")
@click.option("--pain", is_flag=True, help="The player reports pain: ball limits are halved.")
@output_options
def plan(as_json: bool, units: str, **options: Any) -> None:
    """Plan a fair order of balls: warm-up, mirrored blocks, swings mixed in, within time and ball limits.

    \b
    bagwright plan --slot "50 wedge,52 wedge" --balls 24 --minutes 40
    bagwright plan --whole-bag --bag bag.toml --minutes 75
    """
    result = tasks.plan_order(**options)
    give(result, as_json, lambda: show.plan(result))


def _paper_options(function: Callable[..., Any]) -> Callable[..., Any]:
    for decorate in (
        click.option("--out", type=_FILE, default=Path(), help="Folder for the files (default: here)."),
        click.option(
            "--paper",
            type=click.Choice(["a4", "letter"]),
            default="a4",
            show_default=True,
            help="Paper size.",
        ),  # fmt: skip
        click.option(
            "--language",
            type=click.Choice(LANGUAGES),
            default="en",
            show_default=True,
            help="Language of the paper; what people typed stays.",
        ),
        date_option,
        click.option("--slot", metavar="A,B[,C]", help="The builds that compete for a slot."),
        click.option("--shots", "files", multiple=True, type=_FILE, help="Further shot tables."),
        click.option("--answer", "answers", multiple=True, metavar="KEY=OPTION", help="Answer one question."),
        click.option("--map", "map_file", type=_FILE, help="File that keeps your answers about tables."),
        click.option("--player", "bag", type=_FILE, required=True, help="The player's bag.toml."),
        click.option("--no-ask", is_flag=True, help="Stop at open questions instead of asking them."),
    ):
        function = decorate(function)
    return output_options(function)


def _paper(kind: tasks.PaperKind, as_json: bool, units: str, no_ask: bool, **options: Any) -> None:
    source = make_source(options["files"], options["bag"], options["map_file"], options["answers"])
    where = round_wish(options.get("course"), options.get("tees"), options.get("wind"))
    order = tasks.PaperOrder(
        kinds=(kind,),
        out=options["out"],
        slot=options["slot"],
        paper=options["paper"],
        date=options["date"],
        system=as_system(units),
        language=options["language"],
        on=where,
    )
    with Parts(as_json or where is None, "holes") as progress:
        result = tasks.write_papers(source, order, asker(as_json, no_ask), progress)
    give(result, as_json, lambda: show.files(result.files))


@click.command()
@_paper_options
@course_options
def report(**options: Any) -> None:
    """Write the report (PDF): the answer on page one, the evidence with pictures behind it.

    \b
    bagwright report --player bag.toml --shots wedges.csv --slot "Gap wedge,50 cavity" --out papers
    bagwright report --player bag.toml --slot "Gap wedge,50 cavity" --course links.geojson --wind 10mph@sw
    """
    _paper("report", **options)


@click.command()
@_paper_options
def yardages(**options: Any) -> None:
    """Write the yardage card (PDF), to be cut and folded to the size of a bank card.

    \b
    bagwright yardages --player bag.toml --out papers
    """
    _paper("yardages", **options)


@click.command()
@_paper_options
def build(**options: Any) -> None:
    """Write the build sheet (PDF) for the workshop: present, proposed, tolerance, reason, as built.

    \b
    bagwright build --player bag.toml --slot "50 cavity" --out papers
    """
    _paper("build", **options)


@click.command()
@click.argument("folder", type=_FILE)
@output_options
def new(folder: Path, as_json: bool, units: str) -> None:
    """Make a folder with a bag file and a shot table to fill in, for a player of your own.

    \b
    bagwright new "players/anna"
    """
    result = tasks.start_folder(folder, as_system(units))
    give(result, as_json, lambda: show.files(result.files))


COMMANDS: tuple[click.Command, ...] = (
    demo, serve, new, read, brief, plan, trial, distances, check, report, yardages, build, *FLIGHT_COMMANDS,
    *COURSE_COMMANDS,
    *STROKES_COMMANDS,
    *PICK_COMMANDS,
    *STUDY_COMMANDS,
)  # fmt: skip
