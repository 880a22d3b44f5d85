"""Where a player plays, from which tee, and how much of all rounds."""

from __future__ import annotations

import math
from dataclasses import dataclass

from django.db import transaction
from django.utils.translation import gettext as _

from bagwright.bay import audit, courses
from bagwright.errors import InputError
from bagwright.store.models import Account, CourseFile, PlayedCourse, Player

LEAST, MOST = 0.001, 1000.0
"""A weight against the other courses."""


@dataclass(frozen=True, slots=True)
class Play:
    """Where a player plays, and what share of the rounds."""

    played: PlayedCourse
    share: float


def played_by(player: Player) -> list[Play]:
    """The player's courses with their shares of all rounds."""
    rows = list(
        PlayedCourse.objects.filter(player=player, course__archived_at__isnull=True)
        .select_related("course")
        .defer("course__source", "course__heights")
    )
    total = sum(row.weight for row in rows)
    return [Play(row, row.weight / total) for row in rows]


@transaction.atomic
def play(account: Account | None, player: Player, kept: CourseFile, tee: str, weight: float) -> PlayedCourse:
    """Say that the player plays here from this tee, `weight` against the others."""
    names = courses.understood(kept).course.tee_names
    if tee not in names:
        raise InputError(
            _('%(course)s has no tee "%(tee)s".') % {"course": kept.name[:80], "tee": tee[:40]},
            _("There are %(tees)s.") % {"tees": ", ".join(name[:40] for name in names)},
        )
    if not (math.isfinite(weight) and LEAST <= weight <= MOST):
        raise InputError(_("That is no share of rounds."), _("Give a number above 0, such as 1."))
    row, _made = PlayedCourse.objects.update_or_create(
        player=player, course=kept, tee=tee, defaults={"weight": weight}
    )
    audit.note(account, player, "course played", str(kept.pk))
    return row


@transaction.atomic
def no_more(account: Account | None, player: Player, played_id: int) -> None:
    """Take a course off the player's list. What was worked out on it stays."""
    gone, _rows = PlayedCourse.objects.filter(player=player, pk=played_id).delete()
    if gone:
        audit.note(account, player, "course no more played", str(played_id))
