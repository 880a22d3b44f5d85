"""A visit's slot on the player's courses: its builds on the problem of the newest pick, before the first ball."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from bagwright.bay import picks
from bagwright.bay.pick_inputs import asked_of, inputs_of
from bagwright.bay.pick_try import tries_of
from bagwright.errors import BagwrightError
from bagwright.pick.slot import SlotOn
from bagwright.report.pick.slot_words import job_words, leaders_words
from bagwright.store.models import PickProblem, PickRun, Player
from bagwright.units import System


@dataclass(frozen=True, slots=True)
class SlotTold:
    """A slot on the courses of a pick, in words. `left_out` are builds that the pick did not know."""

    run: PickRun
    slot: SlotOn
    job: str
    leaders: str
    left_out: tuple[str, ...]


def told_of(player: Player, builds: Sequence[str], system: System) -> SlotTold | None:
    """The slot's builds beside the carried clubs; None without a pick of now that knows two of them."""
    run = next((one for one in picks.of_player(player) if picks.state_of(one) == "done"), None)
    if run is None or not PickProblem.objects.filter(run=run).exists() or picks.is_stale(run):
        return None
    shown = picks.shown_of(run)
    known = [name for name in builds if name in shown.clubs]
    if len(known) < 2:
        return None
    try:
        found = tries_of(run).slot([name for name in shown.today if name not in known], known)
        labels = inputs_of(asked_of(run)).labels(system)
    except BagwrightError:
        return None
    where = "; ".join(labels.get(name, name) for name, _share in shown.rounds)
    left_out = tuple(name for name in builds if name not in known)
    return SlotTold(run, found, job_words(found, where), leaders_words(found), left_out)
