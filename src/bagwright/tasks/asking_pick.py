"""The question of a study that chooses bags: the best one of all rounds together, and what its clubs are worth."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING, Any

from bagwright.tasks.asking import BETWEEN, Golfer, Rounds, figures_of, golfer_of, like_of, type_of

if TYPE_CHECKING:
    from numpy.random import SeedSequence

    from bagwright.bag.club import Bag
    from bagwright.pick.problem import Problem
    from bagwright.pick.wish import Wish
    from bagwright.study import Answer, Cell

PICK_COLUMNS = (
    "slots", "offered", "clubs", "strokes", "bound", "optimal", "near", "strokes_today", "worth", "assumed",
)  # fmt: skip


def pick(common: Mapping[str, Any]) -> Answer:
    """Which of the carried clubs and candidates make the best bag over all rounds, by their weights."""
    rounds, like = Rounds(common), like_of(common)

    def answer(given: Mapping[str, Any], seed: SeedSequence) -> Mapping[str, Cell]:
        from bagwright.pick.best import pick_bag
        from bagwright.pick.evaluate import Evaluator

        golfer = golfer_of(given["player"], like)
        problem, said = _problem(golfer, rounds)
        wish = _wish(golfer)
        found, _ = pick_bag(problem, wish, works=Evaluator(problem, rounds.threads))
        return {
            **golfer.row(),
            "slots": wish.slots,
            "offered": types_of(golfer.bag, problem.clubs),
            "clubs": types_of(golfer.bag, found.clubs),
            "strokes": found.round,
            "bound": found.bound,
            "optimal": found.optimal,
            "near": found.near,
            "strokes_today": found.today,
            "worth": _worth(golfer.bag, [(one.club, one.strokes) for one in found.worth]),
            "assumed": BETWEEN.join(said),
        }

    return answer


def _problem(golfer: Golfer, rounds: Rounds) -> tuple[Problem, Sequence[str]]:
    """The problem of all rounds, with all that the player carries and could carry; and what was assumed."""
    from bagwright.pick.build import Played, build_problem

    by_wind = {
        wind: golfer.patterns(wind, every=True)
        for wind in dict.fromkeys(map(rounds.wind, range(len(rounds))))
    }
    played = [
        Played(str(i), rounds.weight(i), rounds.rasters(i), by_wind[rounds.wind(i)])
        for i in range(len(rounds))
    ]
    return build_problem(played, threads=rounds.threads), played[0].table.said


def _wish(golfer: Golfer) -> Wish:
    """As many clubs as the player's limit leaves beside the putters; one putter for players of figures."""
    from bagwright.pick.wish import Wish

    carried = golfer.bag.with_status("carried")
    putters = sum(club.kind == "putter" for club in carried)
    slots = golfer.bag.player.club_limit - (max(putters, 1) if golfer.figures else putters)
    return Wish(slots, today=tuple(club.name for club in carried if club.kind != "putter"))


def types_of(bag: Bag, names: Sequence[str]) -> str:
    """The types of some clubs, in the bag's order."""
    return BETWEEN.join(type_of(club) for club in bag.clubs if club.name in names)


def _worth(bag: Bag, worth: Sequence[tuple[str, float]]) -> str:
    """What each type of club in the bag is worth; of two of one type the one that is worth more."""
    found: dict[str, float] = {}
    for name, strokes in worth:
        club = bag.find(name)
        if club is not None:
            found[type_of(club)] = max(strokes, found.get(type_of(club), 0.0))
    return figures_of(found)
