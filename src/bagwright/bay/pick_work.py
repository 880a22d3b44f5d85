"""One pick worked out from its inputs: the problem, the search, and what stands beside the bag."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from time import monotonic
from typing import TYPE_CHECKING, Any

from bagwright.bay import shopping
from bagwright.bay.pick_inputs import PickInputs
from bagwright.bay.pick_kept import Stated, draws_packed, problem_packed, proof_packed
from bagwright.plain import plain
from bagwright.report.pick.beside import Beside
from bagwright.report.pick.carries import carries_of
from bagwright.report.pick.shown import VERSION

if TYPE_CHECKING:
    from bagwright.pick.best import Done
    from bagwright.pick.proof import Proof

Heard = Callable[[float, dict[str, Any] | None], None]
"""Hears the share of holes that are done (0..1), and how far the search is."""
EVERY_S = 0.5
"""How far it is, is written down this often."""


@dataclass(frozen=True, slots=True)
class PickFound:
    """What is kept of a pick."""

    result: dict[str, Any]
    problem: bytes
    draws: bytes
    proof: bytes


def found_of(
    inputs: PickInputs, left: tuple[Stated, Proof] | None, hear: Heard, stop: Callable[[], bool]
) -> PickFound:
    """Search the best bag, from the start or from where it was `left`.

    Raises StoppedError where `stop` says so before there is a bag, InputError for a wish that no bag meets.
    """
    if left is not None:
        return found_on(inputs, left[0], hear, stop, left[1])
    return found_on(inputs, inputs.stated(_holes(hear), stop), hear, stop)


def found_on(
    inputs: PickInputs,
    stated: Stated,
    hear: Heard = lambda share, standing: None,
    stop: Callable[[], bool] = lambda: False,
    resume: Proof | None = None,
) -> PickFound:
    """Search the best bag of a problem that is worked out, and what stands beside it."""
    from bagwright.pick.best import pick_bag
    from bagwright.pick.evaluate import Evaluator
    from bagwright.pick.how_sure import with_draws
    from bagwright.pick.sure import Sure

    problem, wish = stated.problem, inputs.wish()
    works = Evaluator(problem)
    pick, proof = pick_bag(problem, wish, works=works, stop=stop, progress=_search(hear), resume=resume)
    drawn = Sure(works, stated.response, stated.doubt)
    carries = carries_of(inputs.bag, inputs.fits(), shopping.steps())
    beside = Beside(problem, works, wish, proof, drawn, inputs.lead_days(), stop)
    shown = beside.shown(
        with_draws(pick, problem, drawn, stated.doubt), inputs.putters, carries, inputs.bag.player.currency,
        stated.said,
    )  # fmt: skip
    return PickFound(
        {"version": VERSION, "shown": plain(shown)}, problem_packed(problem), draws_packed(stated),
        proof_packed(proof),
    )  # fmt: skip


def _holes(hear: Heard) -> Callable[[int, int], None]:
    return lambda done, of: hear(done / of, {"holes": done, "of": of})


def _search(hear: Heard) -> Callable[[Done], None]:
    last = [0.0]

    def report(done: Done) -> None:
        if monotonic() - last[0] > EVERY_S:
            last[0] = monotonic()
            hear(1.0, {"bags": done.bags, "strokes": done.strokes, "bound": done.bound, "open": done.open})

    return report
