"""What stands beside a picked bag: holes, swaps for single rounds, the cheapest way."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING

from bagwright.report.pick.carries import Carries
from bagwright.report.pick.shown import HoleChange, PickShown, hole_changes

if TYPE_CHECKING:
    from bagwright.pick.evaluate import Evaluator
    from bagwright.pick.how_sure import Drawn
    from bagwright.pick.problem import Problem
    from bagwright.pick.proof import Proof
    from bagwright.pick.result import Pick
    from bagwright.pick.route import Route
    from bagwright.pick.swaps import Swap
    from bagwright.pick.wish import Wish


@dataclass(frozen=True, slots=True)
class Beside:
    """A problem that was searched, with everything that says what stands beside its best bag.

    `lead_days` are days until a club is there. What is not worked out when `stop()` says so is left out.
    """

    problem: Problem
    works: Evaluator
    wish: Wish
    proof: Proof
    drawn: Drawn
    lead_days: Mapping[str, float]
    stop: Callable[[], bool] = lambda: False

    def shown(
        self, pick: Pick, putters: tuple[str, ...], carries: Carries, currency: str, said: tuple[str, ...]
    ) -> PickShown:
        """The pick with swaps and the cheapest way where it is proven, and the holes against today's bag."""
        wish, problem = self.wish, self.problem
        comparable = bool(wish.today) and set(wish.today) <= set(problem.clubs)
        holes: tuple[HoleChange, ...] = ()
        if comparable:
            holes = hole_changes(problem, self.works, problem.bag(wish.today), self.proof.best)
        return PickShown(
            pick, wish.slots + len(putters), wish.within, putters, problem.clubs, wish.today,
            tuple((one.name, one.weight) for one in problem.rounds), holes,
            self._swaps() if pick.optimal else (), self._route() if pick.optimal and comparable else None,
            carries, currency, said,
        )  # fmt: skip

    def _swaps(self) -> tuple[Swap, ...]:
        from bagwright.pick.swaps import swaps_of
        from bagwright.pick.wish import limits_of

        limits = limits_of(self.wish, self.problem.clubs)
        return swaps_of(self.problem, self.works, limits, self.proof.best, self.stop)

    def _route(self) -> Route | None:
        from bagwright.pick.how_sure import nothing_as_good
        from bagwright.pick.route import cheapest_route

        strokes, days = self.proof.strokes, dict(self.lead_days)
        found = cheapest_route(self.problem, self.works, self.wish, strokes, days, stop=self.stop)
        if found is None:
            return None
        return nothing_as_good(found, self.problem, self.proof.best, self.drawn)
