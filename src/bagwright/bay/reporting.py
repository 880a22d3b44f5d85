"""What the papers and pictures of a visit show, gathered from the board's state."""

from __future__ import annotations

from dataclasses import replace
from functools import lru_cache
from typing import TYPE_CHECKING

from bagwright.bay import shopping
from bagwright.bay.board import BoardState, state_of
from bagwright.errors import InputError
from bagwright.report.model import ReportInput
from bagwright.store.models import Visit
from bagwright.units import System
from bagwright.words import tell

if TYPE_CHECKING:
    from bagwright.distances.table import DistanceTable


def gathered(visit: Visit, system: System, build: str | None = None) -> ReportInput:
    """Everything the papers show. Raises InputError while the visit has no ball."""
    return _remembered(_Kept(state_of(visit, system), decided_words(visit)), build)


def decided_words(visit: Visit) -> tuple[str, ...]:
    """The decision that stands, its reason and the player's own word, for the report; () without one."""
    found = visit.decisions.filter(withdrawn_at__isnull=True).select_related("choice").first()
    if found is None:
        return ()
    name = found.choice.name if found.choice is not None else ""
    said = {
        "accept": tell("{name} was chosen.", name=name),
        "keep": tell("{name} is kept.", name=name),
        "open": tell("The choice was left open."),
    }[found.outcome]
    reason = tell("Why: {reason}", reason=found.reason) if found.reason else ""
    word = tell("The player: {word}", word=found.player_word) if found.player_word else ""
    return tuple(text for text in (said, reason, word) if text)


class _Kept:
    """A state as a key of a memory: by visit, mark, units and the shop's even step, not by its arrays."""

    def __init__(self, state: BoardState, decided: tuple[str, ...]) -> None:
        self.state = state
        self.decided = decided
        self.key = (state.visit_id, state.mark, state.system, shopping.steps(), decided)

    def __hash__(self) -> int:
        return hash(self.key)

    def __eq__(self, other: object) -> bool:
        return isinstance(other, _Kept) and self.key == other.key


@lru_cache(maxsize=16)
def _remembered(kept: _Kept, build: str | None) -> ReportInput:
    from bagwright.bag.rules import check
    from bagwright.report.gather import gather

    state = kept.state
    if state.fits is None:
        raise InputError(tell("There is no ball yet, so there is nothing to show."), tell("Hit some first."))
    bag = state.bag if state.bag.clubs else None
    shown = gather(
        state.table,
        state.fits,
        bag=state.tested,
        verdict=state.verdict,
        distances=distances_of(state),
        check=check(bag) if bag is not None else None,
        conditions=state.conditions,
        system=state.system,
        build=build,
    )
    return replace(shown, decided=kept.decided)


def distances_of(state: BoardState) -> DistanceTable:
    """The bag's distances as known now. Raises InputError while there is no ball."""
    from bagwright.distances import distances

    if state.fits is None:
        raise InputError(tell("There is no ball yet, so no distance is known."), tell("Hit some first."))
    return distances(state.fits, state.bag, shopping.steps())
