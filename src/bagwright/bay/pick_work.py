"""One pick worked out from its inputs: the problem, the search, and what stands beside the bag."""

from __future__ import annotations

import json
import tempfile
import zlib
from collections.abc import Callable
from dataclasses import dataclass, replace
from pathlib import Path
from time import monotonic
from typing import TYPE_CHECKING, Any

from bagwright.bay import shopping
from bagwright.bay.pick_inputs import PickInputs
from bagwright.errors import InputError
from bagwright.plain import plain
from bagwright.report.pick.carries import Carries, carries_of
from bagwright.report.pick.shown import VERSION, HoleChange, PickShown, hole_changes
from bagwright.words import tell

if TYPE_CHECKING:
    from bagwright.pick.best import Done
    from bagwright.pick.evaluate import Evaluator
    from bagwright.pick.problem import Problem
    from bagwright.pick.proof import Proof
    from bagwright.pick.result import Pick
    from bagwright.pick.route import Route
    from bagwright.pick.swaps import Swap
    from bagwright.pick.wish import Wish

Heard = Callable[[float, dict[str, Any] | None], None]
"""Hears the share of holes that are done (0..1), and how far the search is."""
EVERY_S = 0.5
"""How far it is, is written down this often."""
MOST_PROOF = 200_000_000
"""Bytes of a proof, unpacked."""


@dataclass(frozen=True, slots=True)
class PickFound:
    """What is kept of a pick."""

    result: dict[str, Any]
    problem: bytes
    proof: bytes


@dataclass(frozen=True, slots=True)
class Left:
    """A search that was left and goes on: its problem and proof, and what was assumed."""

    problem: bytes
    proof: bytes
    said: tuple[str, ...]


def found_of(inputs: PickInputs, left: Left | None, hear: Heard, stop: Callable[[], bool]) -> PickFound:
    """Search the best bag, from the start or from where it was `left`.

    Raises StoppedError where `stop` says so before there is a bag, InputError for a wish that no bag meets.
    """
    if left is not None:
        problem = problem_of(left.problem)
        found = found_on(inputs, problem, left.said, hear, stop, proof_of(left.proof))
        return replace(found, problem=left.problem)
    problem, said = inputs.problem(inputs.fits(), _holes(hear), stop)
    return found_on(inputs, problem, said, hear, stop)


def found_on(
    inputs: PickInputs,
    problem: Problem,
    said: tuple[str, ...],
    hear: Heard = lambda share, standing: None,
    stop: Callable[[], bool] = lambda: False,
    resume: Proof | None = None,
) -> PickFound:
    """Search the best bag of a problem that is worked out, and what stands beside it."""
    from bagwright.pick.best import pick_bag
    from bagwright.pick.evaluate import Evaluator

    works = Evaluator(problem)
    progress = _search(hear)
    pick, proof = pick_bag(problem, inputs.wish(), works=works, stop=stop, progress=progress, resume=resume)
    beside = _Beside(inputs, problem, works, proof, stop)
    shown = beside.shown(pick, carries_of(inputs.bag, inputs.fits(), shopping.steps()), said)
    return PickFound({"version": VERSION, "shown": plain(shown)}, packed(problem), proof_packed(proof))


@dataclass(frozen=True, slots=True)
class _Beside:
    """What stands beside a bag: swaps, the cheapest way, the holes."""

    inputs: PickInputs
    problem: Problem
    works: Evaluator
    proof: Proof
    stop: Callable[[], bool]

    def shown(self, pick: Pick, carries: Carries, said: tuple[str, ...]) -> PickShown:
        wish, problem = self.inputs.wish(), self.problem
        comparable = bool(wish.today) and set(wish.today) <= set(problem.clubs)
        holes: tuple[HoleChange, ...] = ()
        if comparable:
            holes = hole_changes(problem, self.works, problem.bag(wish.today), self.proof.best)
        return PickShown(
            pick, self.inputs.asked.slots, wish.within, self.inputs.putters, problem.clubs, wish.today,
            tuple((one.name, one.weight) for one in problem.rounds), holes,
            self._swaps(wish) if pick.optimal else (),
            self._route(wish) if pick.optimal and comparable else None,
            carries, self.inputs.bag.player.currency, said,
        )  # fmt: skip

    def _swaps(self, wish: Wish) -> tuple[Swap, ...]:
        from bagwright.pick.swaps import swaps_of
        from bagwright.pick.wish import limits_of

        limits = limits_of(wish, self.problem.clubs)
        return swaps_of(self.problem, self.works, limits, self.proof.best, self.stop)

    def _route(self, wish: Wish) -> Route | None:
        from bagwright.pick.route import cheapest_route

        days = self.inputs.lead_days()
        return cheapest_route(self.problem, self.works, wish, self.proof.strokes, days, stop=self.stop)


def _holes(hear: Heard) -> Callable[[int, int], None]:
    return lambda done, of: hear(done / of, {"holes": done, "of": of})


def _search(hear: Heard) -> Callable[[Done], None]:
    last = [0.0]

    def report(done: Done) -> None:
        if monotonic() - last[0] > EVERY_S:
            last[0] = monotonic()
            hear(1.0, {"bags": done.bags, "strokes": done.strokes, "bound": done.bound, "open": done.open})

    return report


def packed(problem: Problem) -> bytes:
    """A problem as bytes."""
    with tempfile.TemporaryDirectory() as folder:
        place = Path(folder) / "problem.npz"
        problem.save(place)
        return place.read_bytes()


def problem_of(content: bytes) -> Problem:
    """A problem from its bytes. Raises InputError for others."""
    from bagwright.pick.problem import Problem

    with tempfile.TemporaryDirectory() as folder:
        place = Path(folder) / "problem.npz"
        place.write_bytes(content)
        return Problem.load(place)


def proof_packed(proof: Proof) -> bytes:
    """A proof as bytes: its JSON, compressed."""
    return zlib.compress(json.dumps(proof.plain(), ensure_ascii=False).encode(), 6)


def proof_of(content: bytes) -> Proof:
    """A proof from its bytes. Raises InputError for others."""
    from bagwright.pick.proof import Proof

    try:
        unpacked = zlib.decompressobj().decompress(content, MOST_PROOF)
        return Proof.of(json.loads(unpacked))
    except (ValueError, KeyError, TypeError, RecursionError, zlib.error) as error:
        raise InputError(
            tell("The proof that was kept cannot be read: {error}.", error=str(error)[:100]),
            tell("Work it out again."),
        ) from error
