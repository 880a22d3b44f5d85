"""The questions of a study, as workers ask them: one task's input to one flat row.

Each function here is given what all tasks share and returns the function that answers one task
(`bagwright.study`). A player comes as files or as figures (`study_players`); no name leaves a worker.
"""

from __future__ import annotations

import tempfile
from collections.abc import Mapping
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING, Any

from bagwright.errors import InputError
from bagwright.tasks.study_players import player_of_figures, whole_of_plain
from bagwright.tasks.study_rounds import course_of
from bagwright.words import join, tell

if TYPE_CHECKING:
    from numpy.random import SeedSequence

    from bagwright.air import Wind
    from bagwright.bag.club import Bag, Club
    from bagwright.course.raster import Raster
    from bagwright.shots.record import ShotTable
    from bagwright.strokes.patterns import PatternTable
    from bagwright.strokes.result import Strokes
    from bagwright.study import Answer, Cell

BETWEEN = "; "
"""Between the clubs of a cell: "driver=13.2; 3 wood=1.8"."""
PLAYER_COLUMNS = ("hand", "sex", "handicap", "driver_speed_mps", "shots")
STROKES_COLUMNS = ("par", "strokes", "sd", "error_bound", "converged", "doubt_sd", "uses", "assumed")


@dataclass(frozen=True, slots=True)
class Golfer:
    """A player as a worker knows one: the bag, and the shots where any were hit."""

    bag: Bag
    table: ShotTable | None
    figures: bool

    def patterns(
        self, wind: Wind | None, shots: ShotTable | None = None, *, every: bool = False
    ) -> PatternTable:
        """Where the shots of the carried clubs come down; `shots` in place of the player's own.

        `every` takes candidates too.
        """
        from bagwright.dispersion.fit import fit_dispersion
        from bagwright.report.strokes.round import played_bag
        from bagwright.strokes.figures import table_of_figures
        from bagwright.strokes.table import patterns_of

        played = self.bag if every else played_bag(self.bag)
        if self.figures:
            return table_of_figures(played, wind)
        hit = shots if shots is not None else self.table
        fits = None if hit is None else fit_dispersion(hit, self.bag.player, self.bag)
        return patterns_of(played, None, fits, wind=wind)

    def row(self) -> dict[str, Cell]:
        """What of the player stands in every row; no name."""
        player = self.bag.player
        return {
            "hand": player.hand, "sex": player.sex, "handicap": player.handicap,
            "driver_speed_mps": player.driver_speed_mps, "shots": 0 if self.table is None else self.table.n,
        }  # fmt: skip


def golfer_of(given: Mapping[str, Any], like: Bag | None = None) -> Golfer:
    """The player of a task. One that is made of figures has the clubs and the club limit of `like`.

    Raises ReadError, QuestionError and InputError where the files or figures cannot be used.
    """
    if "figures" in given:
        from bagwright.strokes.figures import bag_of_figures

        player = player_of_figures(given["figures"])
        if like is not None:
            player = replace(player, club_limit=like.player.club_limit)
        return Golfer(bag_of_figures(player, like.clubs if like is not None else ()), None, figures=True)
    if "whole" in given:
        bag, table = whole_of_plain(given["whole"])
        _check_clubs(bag)
        return Golfer(bag, table if table.n else None, figures=False)
    from bagwright.bag.file import parse_bag
    from bagwright.shots.read import read_shots

    bag = parse_bag(given["bag"])
    _check_clubs(bag)
    if not given["shots"]:
        return Golfer(bag, None, figures=False)
    with tempfile.TemporaryDirectory(prefix="bagwright-study-") as folder:
        # Under names of our own: those of the tables may name the player.
        paths = [_written(Path(folder), i, *table) for i, table in enumerate(given["shots"], 1)]
        read = read_shots(*paths, bag=bag)
    read.require_answers()
    if read.table.n == 0:
        raise InputError(
            tell("No shot of the tables was accepted."), tell("See `bagwright read` for the reasons.")
        )
    return Golfer(bag, read.table, figures=False)


def _check_clubs(bag: Bag) -> None:
    if not bag.clubs:
        raise InputError(tell("The bag lists no club."), tell("Add the clubs that are carried."))


def _written(folder: Path, number: int, suffix: str, content: bytes | None) -> Path:
    if content is None:
        raise InputError(
            tell("Shot table {number} of the bag file is not there, or too large.", number=number),
            tell("Check the names after shots = in the bag file."),
        )
    path = folder / f"shots-{number}{suffix if suffix.isascii() and len(suffix) < 6 else ''}"
    path.write_bytes(content)
    return path


class Rounds:
    """The rounds of a study in one worker: holes made ready once, for every player."""

    def __init__(self, common: Mapping[str, Any]) -> None:
        self._common = common
        self._rasters: dict[tuple[str, str, str], list[Raster]] = {}
        self.threads = int(common["threads"])

    def __len__(self) -> int:
        return len(self._common["rounds"])

    def weight(self, number: int) -> float:
        """The weight of a round."""
        return float(self._common["rounds"][number]["weight"])

    def wind(self, number: int) -> Wind | None:
        """The wind of a round; None where it is calm."""
        from bagwright.tasks.stroking import wind_of

        return wind_of(self._common["rounds"][number]["wind"] or None, course_of(self._common, number).source)

    def rasters(self, number: int) -> list[Raster]:
        """The holes of a round."""
        from bagwright.report.strokes.round import rasters_of

        one = self._common["rounds"][number]
        key = (one["file"], one["overlay"], one["tees"])
        if key not in self._rasters:
            self._rasters[key] = rasters_of(course_of(self._common, number), one["tees"])
        return self._rasters[key]

    def strokes(self, number: int, table: PatternTable) -> Strokes:
        """Expected strokes of a round."""
        from bagwright.strokes.solve import expected_strokes

        return expected_strokes(self.rasters(number), table, threads=self.threads)


def like_of(common: Mapping[str, Any]) -> Bag | None:
    """The bag of players that are made of figures; None where none was named. Raises ReadError, InputError."""
    from bagwright.bag.file import parse_bag

    if not common["clubs"]:
        return None
    bag = parse_bag(common["clubs"])
    _check_clubs(bag)
    return bag


def strokes(common: Mapping[str, Any]) -> Answer:
    """What a round costs with the bag of today."""
    rounds, like, draws = Rounds(common), like_of(common), int(common["draws"])

    def answer(given: Mapping[str, Any], seed: SeedSequence) -> Mapping[str, Cell]:
        golfer = golfer_of(given["player"], like)
        number = int(given["round"])
        table = golfer.patterns(rounds.wind(number))
        found = rounds.strokes(number, table)
        return {
            **golfer.row(),
            "par": sum(hole.par for hole in found.holes),
            "strokes": found.strokes,
            "sd": found.sd,
            "error_bound": found.error_bound,
            "converged": found.converged,
            "doubt_sd": _doubt(golfer, rounds, number, seed, draws),
            "uses": uses_of(golfer.bag, found),
            "assumed": join(BETWEEN, found.said),
        }

    return answer


def _doubt(golfer: Golfer, rounds: Rounds, number: int, seed: SeedSequence, draws: int) -> float | None:
    """How well the shots know the strokes: their sd over rounds from shots drawn anew. None without shots."""
    if draws < 2 or golfer.table is None:
        return None
    import numpy as np

    from bagwright.report.strokes.doubt import doubt_of, drawn_anew

    found = []
    for drawn in seed.spawn(draws):
        shots = drawn_anew(golfer.table, np.random.default_rng(drawn))
        result = rounds.strokes(number, golfer.patterns(rounds.wind(number), shots))
        found.append({hole.number: hole.strokes for hole in result.holes})
    return doubt_of(found).strokes


def uses_of(bag: Bag, found: Strokes) -> str:
    """How often each type of carried club is used in a round, the most used first: "driver=13.2; 3 wood=0"."""
    from bagwright.report.strokes.round import used

    carried = [club for club in bag.with_status("carried") if club.kind != "putter"]
    times = dict.fromkeys(map(type_of, carried), 0.0)
    for name, n in used(found, found.demand):
        club = bag.find(name)
        if club is not None:
            times[type_of(club)] = times.get(type_of(club), 0.0) + n
    return figures_of(dict(sorted(times.items(), key=lambda pair: -pair[1])))


def figures_of(values: Mapping[str, float]) -> str:
    """Figures by club in one cell."""
    return BETWEEN.join(f"{name}={value:.4f}" for name, value in values.items())


def figures_in(cell: str) -> dict[str, float]:
    """The figures of such a cell again."""
    pairs = (part.rpartition("=") for part in cell.split(BETWEEN) if part)
    return {name: float(value) for name, _, value in pairs}


def type_of(club: Club) -> str:
    """A club's type, which many players share: "driver", "3 wood", "7 iron", "52° wedge" (even degrees).

    Without a number, and for wedges, the loft says which it is.
    """
    from bagwright.strokes.kernels import loft_of

    if club.kind in ("driver", "putter"):
        return club.kind
    number = (club.number or "").strip()
    if club.kind != "wedge" and number.isdigit():
        return f"{number} {club.kind}"
    return (
        f"{2 * round(loft_of(club) / 2)}° wedge"
        if _is_wedge(club)
        else f"{round(loft_of(club))}° {club.kind}"
    )


def _is_wedge(club: Club) -> bool:
    """A set's pitching wedge may be listed as an iron."""
    return club.kind == "wedge" or (
        club.kind == "iron" and not (club.number or "").strip().isdigit() and bool(club.number)
    )
