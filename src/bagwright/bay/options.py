"""The ways a visit's question can end, side by side: what each gains, and what it does to the distances."""

from __future__ import annotations

from collections.abc import Hashable
from dataclasses import dataclass, replace
from functools import lru_cache
from typing import TYPE_CHECKING

from bagwright.bag.finding import Finding
from bagwright.bay import shopping
from bagwright.bay.board import BoardState
from bagwright.bay.trying import DrawnOnce
from bagwright.estimate import Estimate
from bagwright.store.models import Visit

if TYPE_CHECKING:
    from bagwright.distances.table import ClubDistance, DistanceTable, Step
    from bagwright.trial.result import Verdict

ABOUT_STEPS = ("gap", "filled gap", "overlap", "same carry", "long end")
"""Findings that a club in the slot can bring about or end; what they say of soles or grooves is no matter."""


@dataclass(frozen=True, slots=True)
class Gain:
    """Metres a shot that a candidate is better than the present club by, and the chance that it is at all."""

    gain_m: Estimate
    probability: float

    @property
    def none(self) -> float:
        """The chance that it is no gain."""
        return 1.0 - self.probability


@dataclass(frozen=True, slots=True)
class Option:
    """One club in the slot, the present one out: the bag's steps and what stands out of them.

    `to_longer` and `to_shorter` are the steps to both neighbours. `ends`, `brings` and `leaves` compare gaps
    and overlaps with those of the bag as it is now.
    """

    name: str
    present: bool
    to_longer: Step | None
    to_shorter: Step | None
    ends: tuple[str, ...]
    brings: tuple[str, ...]
    leaves: tuple[str, ...]
    clubs: tuple[ClubDistance, ...]


class _Kept:
    """A state with the slot as a key of a memory: by what it was computed from, not by its arrays."""

    def __init__(self, state: BoardState, slot: str | None) -> None:
        self.state, self.slot = state, slot
        self.key: Hashable = (state.visit_id, state.mark, state.system, slot, shopping.steps())

    def __hash__(self) -> int:
        return hash(self.key)

    def __eq__(self, other: object) -> bool:
        return isinstance(other, _Kept) and self.key == other.key


def gains_of(state: BoardState) -> dict[str, Gain]:
    """What each candidate gains over the present club on the visit's measure; empty where that is unknown."""
    return _gains(_Kept(state, None))


def options_of(visit: Visit, state: BoardState) -> tuple[Option, ...]:
    """Every candidate in the slot in turn, in the order of the board; empty without a ball."""
    slot = visit.slot.name if visit.slot is not None else None
    return _options(_Kept(state, slot))


@lru_cache(maxsize=16)
def _gains(kept: _Kept) -> dict[str, Gain]:
    state, verdict = kept.state, kept.state.verdict
    if verdict is None or state.fits is None:
        return {}
    present = next((i for i, one in enumerate(verdict.candidates) if one.present), None)
    return {} if present is None else _against(state, verdict, present)


def _against(state: BoardState, verdict: Verdict, present: int) -> dict[str, Gain]:
    """The verdict's own way to its gain, for every candidate: one set of joint draws."""
    import numpy as np

    from bagwright.trial.compare import chance_less, range_of
    from bagwright.trial.miss import Pattern, expected_miss
    from bagwright.trial.prepare import blocked_visit, prepare
    from bagwright.trial.verdict import DRAWS

    prepared = prepare(state.table, [c.name for c in verdict.candidates], state.bag, state.fits, False)
    blocked = blocked_visit(prepared)
    keys = [entry.key for entry in prepared.slot.entries]
    found = {}
    miss = expected_miss(Pattern.of(prepared.fits.candidates(keys, blocked, DRAWS)), verdict.spot_m)
    for i, candidate in enumerate(verdict.candidates):
        if i == present:
            continue
        if verdict.measure == "carry":
            exact = prepared.fits.contrast(keys[i], keys[present], blocked)
            found[candidate.name] = Gain(Estimate(exact.mean_m, exact.low_m, exact.high_m), exact.probability)
        else:
            draws = miss[:, present] - miss[:, i]
            found[candidate.name] = Gain(range_of(draws), chance_less(-draws, np.zeros(len(draws))))
    return found


@lru_cache(maxsize=16)
def _options(kept: _Kept) -> tuple[Option, ...]:
    state, slot = kept.state, kept.slot
    if state.fits is None:
        return ()
    fits = DrawnOnce(state.fits)
    now = _with(fits, state, slot, slot)
    before = {_key(f, slot): f for f in now.findings if f.kind in ABOUT_STEPS}
    found = []
    for one in state.standings:
        table = now if one.name == slot else _with(fits, state, one.name, slot)
        after = {_key(f, one.name): f for f in table.findings if f.kind in ABOUT_STEPS}
        found.append(
            Option(
                name=one.name,
                present=one.present,
                to_longer=next((s for s in table.steps if s.shorter == one.name), None),
                to_shorter=next((s for s in table.steps if s.longer == one.name), None),
                ends=tuple(_said(f, state) for key, f in before.items() if key not in after),
                brings=tuple(_said(f, state) for key, f in after.items() if key not in before),
                leaves=tuple(_said(f, state) for key, f in after.items() if key in before),
                clubs=tuple(c for c in table.clubs if c.status == "carried"),
            )
        )
    return tuple(found)


def _with(fits: DrawnOnce, state: BoardState, name: str | None, slot: str | None) -> DistanceTable:
    """The distances of the bag with one club in the slot and the present one out."""
    from bagwright.distances import distances

    clubs = [
        replace(club, status="carried")
        if club.name == name
        else replace(club, status="spare")
        if club.name == slot
        else club
        for club in state.bag.clubs
    ]
    return distances(fits, replace(state.bag, clubs=tuple(clubs)), shopping.steps())


def _key(finding: Finding, in_slot: str | None) -> tuple[str, tuple[str, ...]]:
    """A finding told apart by kind and clubs, whichever club it is that fills the slot."""
    return finding.kind, tuple("" if club == in_slot else club for club in finding.clubs)


def _said(finding: Finding, state: BoardState) -> str:
    return finding.in_system(state.system).words
