"""The way through a visit: one list of its pages, for the line of steps on top and for the help."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from django.utils.translation import gettext_lazy as _

from bagwright.store.models import Visit


@dataclass(frozen=True, slots=True)
class Stage:
    """One page of a visit: its route, its name, what is done there, and whether it was done."""

    route: str
    label: Any
    told: Any
    done: Callable[[Visit], bool]


def _never(_visit: Visit) -> bool:
    """A page to look at: there is nothing on it to be done with."""
    return False


INTAKE = Stage(
    "intake",
    _("Intake"),
    _("Place, air, surface, ball, how the unit's figures came about; alignment; then the safety page."),
    lambda visit: visit.safety_at is not None,
)
HANDOVER = Stage(
    "handover",
    _("Hand over"),
    _("Report, yardage card, build sheet, and a date to check again."),
    lambda visit: visit.papers.exists(),
)


def _bay(told: Any) -> Stage:
    return Stage("bay", _("Bay"), told, lambda visit: visit.shot_count > 0)


STAGES: dict[str, tuple[Stage, ...]] = {
    "fitting": (
        INTAKE,
        Stage(
            "brief",
            _("Brief"),
            _("What the slot must do, which builds may do it, and who takes part."),
            lambda visit: visit.brief is not None or visit.candidates.exists(),
        ),
        Stage(
            "plan",
            _("Plan"),
            _("Minutes and balls make a fair order, warm-up counted."),
            lambda visit: visit.queue.exists(),
        ),
        _bay(
            _(
                "Type each ball, or let a shot table flow in. The board says what is known and which ball"
                " would tell most."
            )
        ),
        Stage(
            "ratings",
            _("Ratings"),
            _("The player's own word, before the numbers if you like."),
            lambda visit: visit.ratings.exists(),
        ),
        Stage(
            "decide",
            _("Decide"),
            _("Accept, keep, or leave open; note why."),
            lambda visit: visit.decisions.filter(withdrawn_at__isnull=True).exists(),
        ),
        Stage(
            "visit-bag",
            _("Bag"),
            _("Distances, gaps and overlaps; try a change, then agree on a bag."),
            lambda visit: visit.agreed_bags.exists(),
        ),
        HANDOVER,
    ),
    "delivery": (
        INTAKE,
        Stage(
            "delivery",
            _("As built"),
            _("The built club, field by field, against the sheet; accepted or sent back."),
            lambda visit: visit.deliveries.exists(),
        ),
        _bay(_("The built club and the tested one, in turns.")),
        Stage("delivery-compare", _("Against the tested one"), _("Do both carry the same?"), _never),
        HANDOVER,
    ),
    "check": (
        INTAKE,
        Stage(
            "check-measure",
            _("Measure"),
            _("Loft, lie angle, grip and grooves of every carried club."),
            lambda visit: visit.measurements.exists(),
        ),
        _bay(_("A few balls with each club that may have changed.")),
        Stage(
            "check-compare", _("Then and now"), _("What changed beyond chance since the last visit."), _never
        ),
        Stage(
            "check-outcome",
            _("Per club"),
            _("Keep, bend back, regrip or retest: suggested, you decide."),
            lambda visit: visit.club_outcomes.exists(),
        ),
        HANDOVER,
    ),
}
"""The pages of each kind of visit, in their order."""

BEFORE: tuple[tuple[Any, Any], ...] = (
    (_("Player"), _("Find the player or add one. Hand and consent first; the rest can wait.")),
    (
        _("Bag"),
        _(
            "Every club the player carries, with measured loft where you have a gauge. Candidates are builds"
            " on the rack."
        ),
    ),
)
"""What comes before any visit."""
