"""The command that chooses the best bag, and checks the proof of one."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import click

from bagwright import tasks
from bagwright.cli import show, show_pick
from bagwright.cli.ask import asker
from bagwright.cli.options import as_system, give, make_source, output_options
from bagwright.words import LANGUAGES

_FILE = click.Path(path_type=Path)


@click.command()
@click.option(
    "--course", "courses", multiple=True, type=_FILE, help="Map or card of a course; may be repeated."
)
@click.option("--share", "shares", multiple=True, type=click.FloatRange(0, 1e6, min_open=True),
              help="Share of the rounds played there, one for each --course in their order.")  # fmt: skip
@click.option(
    "--tees", multiple=True, metavar="NAME[*SHARE]", help="Tee (default: the longest); may be repeated."
)
@click.option("--wind", "winds", multiple=True, metavar="SPEED@FROM[*SHARE]",
              help='A steady wind, or "calm": "calm*2", "10mph@sw"; may be repeated.')  # fmt: skip
@click.option("--player", type=_FILE, help="The player's bag.toml, with its shot tables.")
@click.option("--bag", type=_FILE, help="Another bag.toml whose clubs are chosen from instead.")
@click.option("--shots", "files", multiple=True, type=_FILE, help="Further shot tables.")
@click.option(
    "--slots",
    type=click.IntRange(1, 14),
    help="Clubs at most, putter included (default: the player's limit, 14).",
)
@click.option(
    "--pin", "pins", multiple=True, metavar="CLUB=REASON", help="A club that is carried in any case, and why."
)
@click.option(
    "--not-both", "not_both", multiple=True, metavar="A,B", help="Two clubs of which at most one is carried."
)
@click.option("--budget", type=click.FloatRange(0, 1e9), help="Most that new clubs may cost together.")
@click.option(
    "--changes", type=click.IntRange(0, 14), help="Most clubs that come in which are not carried today."
)
@click.option("--within", type=click.FloatRange(0, 1), default=0.02, show_default=True,
              help="List every bag within so many strokes of the best one.")  # fmt: skip
@click.option(
    "--speed", metavar="+SPEED", help='What if the swing were faster or slower: "+5mph" of driver head speed.'
)
@click.option(
    "--loft",
    "lofts",
    multiple=True,
    metavar="CLUB+ANGLE",
    help='What if a club had more or less loft: "Gap wedge+1deg".',
)
@click.option("--alter", "alters", multiple=True, metavar="CLUB+CHANGE=PRICE[/DAYS]",
              help='A changed build to choose from: "Gap wedge+2.5deg=15/2", "Driver-1in=20".')  # fmt: skip
@click.option("--every", is_flag=True, help="Work every bag out, however many there are.")
@click.option(
    "--confirm",
    type=click.IntRange(0, 50),
    default=0,
    help="Solve the first so many bags anew on every yard of the holes.",
)
@click.option("--seconds", type=click.FloatRange(0.1, 1e6), help="Stop the search then, with what is found.")
@click.option(
    "--out", type=_FILE, help="Folder for the pictures: worth, bags, carries before and after (SVG)."
)
@click.option(
    "--language", type=click.Choice(LANGUAGES), default="en", show_default=True, help="Of the pictures."
)
@click.option("--proof", type=_FILE, help="Write the proof there (JSON), and the problem beside it (.npz).")
@click.option("--resume", type=_FILE, help="Take up the search that --proof kept when it was stopped.")
@click.option("--verify", type=_FILE, help="Check such a proof instead; exits with 1 where it does not hold.")
@click.option("--map", "map_file", type=_FILE, help="File that keeps your answers about tables.")
@click.option("--answer", "answers", multiple=True, metavar="KEY=OPTION", help="Answer one question.")
@click.option("--no-ask", is_flag=True, help="Stop at open questions instead of asking them.")
@output_options
def pick(
    courses: tuple[Path, ...], shares: tuple[float, ...], verify: Path | None, proof: Path | None,
    as_json: bool, units: str, no_ask: bool, **options: Any,
) -> int:  # fmt: skip
    """Choose the best bag for the courses that are played: which clubs, what each is worth, which others do as well.

    The clubs are those carried and the candidates of the bag file; the putter always is carried.

    \b
    bagwright pick --course links.geojson --player bag.toml
    bagwright pick --course links.geojson --course park.geojson --player bag.toml --wind calm --wind 15mph@w
    bagwright pick --course links.geojson --player bag.toml --slots 10 --out pictures --proof pick.json
    bagwright pick --course links.geojson --player bag.toml --speed +5mph
    bagwright pick --verify pick.json
    """
    if verify is not None:
        return _verify(verify, as_json)
    source = make_source(
        options.pop("files"), options["bag"] or options["player"], options.pop("map_file"),
        options.pop("answers"),
    )  # fmt: skip
    del options["bag"], options["player"]
    every, out, language = (options.pop(name) for name in ("every", "out", "language"))
    places = tuple(tasks.CourseSource(one, None, None, None, {}) for one in courses)
    wish = tasks.PickWish(places, shares, how="every" if every else "auto", **options)
    with show_pick.Watch(as_json) as watch:
        answer = tasks.pick(source, wish, asker(as_json, no_ask), watch.holes, watch.search, watch.stopped)
    if out is not None:
        answer = tasks.draw_pick(answer, out, as_system(units), language)
    if proof is not None:
        answer = tasks.keep_proof(answer, proof)
    give(answer, as_json, lambda: show_pick.pick(answer, as_system(units)))
    return 0


def _verify(place: Path, as_json: bool) -> int:
    with show.Progress(as_json) as progress:
        checked = tasks.check_proof(place, progress)
    give(checked, as_json, lambda: show_pick.checked(checked, place))
    return 0 if checked.holds else 1


PICK_COMMANDS: tuple[click.Command, ...] = (pick,)
