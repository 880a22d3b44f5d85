"""The command that asks one question of many players."""

from __future__ import annotations

import time
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from bagwright.cli import show_study
from bagwright.cli.options import as_system, give, output_options
from bagwright.cli.progress import Line
from bagwright.errors import InputError

if TYPE_CHECKING:
    from bagwright.study import Counts
    from bagwright.tasks.study_players import Players

_FILE = click.Path(path_type=Path)
QUESTIONS = ("strokes", "pick")


class Watching:
    """A line of progress on standard error: how far it is, how long it will take, who works."""

    def __init__(self) -> None:
        self._line = Line(pause_s=0.5)
        self._began = 0.0

    def reading(self, n: int) -> None:
        """Inputs are read: said every now and then."""
        if n % 1000 == 0:
            self._line.say(f"{n} inputs read")

    def at(self, counts: Counts, words: str) -> None:
        """Tell how far it is."""
        now = time.monotonic()
        if not self._began:
            self._began = now
        self._line.say(show_study.progress(counts, now - self._began, words))

    def close(self) -> None:
        """Leave the line."""
        self._line.clear()


@click.command()
@click.argument("question", type=click.Choice(QUESTIONS))
@click.argument("players", required=False, type=_FILE)
@click.option("--app", is_flag=True, help="The players of the app on this machine, in place of PLAYERS.")
@click.option("--account", metavar="NAME", help="Whose players of the app: all that this account may see.")
@click.option(
    "--course", "courses", multiple=True, type=_FILE, help="A map or scorecard; may be given several times."
)
@click.option(
    "--rounds", "rounds_file", type=_FILE, help="TOML file of rounds: courses with tees, wind and weight."
)
@click.option("--tees", metavar="NAME", help="Which tee is played, where a round has none of its own.")
@click.option(
    "--wind", metavar="SPEED@FROM", help='A steady wind, where a round has none of its own: "10mph@sw".'
)
@click.option("--clubs", type=_FILE, help="A bag.toml: the clubs of every player of a table.")
@click.option("--draws", type=click.IntRange(0, 100), default=0, show_default=True,
              help="Rounds from shots drawn anew, for how well the shots know the strokes.")  # fmt: skip
@click.option("--names", is_flag=True, help="Put names into the answers; else players are numbers.")
@click.option("--out", type=_FILE, required=True, help="Folder for the answers; the same folder goes on.")
@click.option(
    "--processes", type=click.IntRange(1, 1024), help="Workers on this machine (default: one a processor)."
)
@click.option(
    "--threads", type=click.IntRange(1, 256), help="Threads of a worker (default: processors / workers)."
)
@click.option(
    "--scheduler",
    metavar="ADDRESS",
    help='Workers of many machines: "tcp://10.0.0.1:8786" (extra [cluster]).',
)
@click.option("--chunk", type=click.IntRange(1, 100_000), help="Tasks that are kept in one file.")
@click.option(
    "--seed", type=click.IntRange(0, 2**63 - 1), default=0, show_default=True, help="Of all random numbers."
)
@click.option("--again", is_flag=True, help="Take up once more what failed.")
@output_options
def study(
    question: str, players: Path | None, app: bool, account: str | None, courses: tuple[Path, ...],
    rounds_file: Path | None, tees: str | None, wind: str | None, as_json: bool, units: str,
    processes: int | None, threads: int | None, scheduler: str | None, **options: Any,
) -> int:  # fmt: skip
    """Ask one question of many players: what a round costs each (strokes), the best bag of each (pick).

    PLAYERS is a folder with a bag.toml for every player, or a table of figures (handicap, driver speed, sex).
    A study that was stopped goes on with the same command. Exits with 1 where some tasks failed.

    \b
    bagwright study strokes players --course links.geojson --tees yellow --out study
    bagwright study strokes figures.csv --rounds rounds.toml --processes 8 --out study
    """
    from bagwright.tasks.study_rounds import RoundSpec, load_rounds, with_common
    from bagwright.tasks.studying import StudyWish, Workers, named_failures, run_study

    if scheduler is not None and processes is not None:
        raise InputError(
            "Workers are here or at a scheduler, not both.",
            "Leave --processes or --scheduler out.",
        )
    rounds = [RoundSpec(course) for course in courses]
    rounds += load_rounds(rounds_file) if rounds_file is not None else ()
    wish = StudyWish(question, _players(players, app, account), with_common(rounds, tees, wind), **options)
    watch = Watching()
    try:
        answer = run_study(wish, Workers(processes, threads, scheduler), watch)
    except KeyboardInterrupt:
        watch.close()
        click.echo(f"Stopped. What is done is kept in {wish.out}; the same command goes on.", err=True)
        return 130
    finally:
        watch.close()
    give(answer, as_json, lambda: show_study.study(answer, as_system(units)))
    if answer.failed:
        show_study.failed(named_failures(wish, answer.failed), answer.tasks)
    return 1 if answer.failed else 0


def _players(place: Path | None, app: bool, account: str | None) -> Players:
    from bagwright.tasks.study_players import players_of

    if (place is None) is not app or (account is not None and not app):
        raise InputError(
            "A study has its players from PLAYERS, or from the app.",
            "Name a folder or a table, or say --app (and --account NAME).",
        )
    if place is not None:
        return players_of(place)
    from bagwright.web.serve import start_django

    start_django()
    from bagwright.bay.studying import players_of_app

    return players_of_app(account)


STUDY_COMMANDS: tuple[click.Command, ...] = (study,)
