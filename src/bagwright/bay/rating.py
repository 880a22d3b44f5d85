"""The player's own word on each candidate, before the numbers where that is wanted."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from django.db import transaction
from django.utils import timezone
from django.utils.translation import gettext as _

from bagwright.bay.live import changed
from bagwright.bay.planning import taking_part
from bagwright.errors import InputError
from bagwright.report.theme import Sign, sign
from bagwright.store.models import Club, ClubMeasurement, Rating, Visit
from bagwright.trial.ratings import ASPECTS


def aspects() -> list[tuple[str, str]]:
    """What a player rates, with the words for it."""
    words = (_("Look at address"), _("Feel"), _("Sound"), _("Through the turf"), _("Confidence"))
    return list(zip(ASPECTS, words, strict=True))


@dataclass(frozen=True, slots=True)
class Rated:
    """One candidate with what was said of it so far."""

    club: Club
    sign: Sign
    given: tuple[tuple[str, str, int | None], ...]
    words: str
    before_numbers: bool
    dynamic_lie_deg: float | None


def rows_of(visit: Visit) -> list[Rated]:
    """Every candidate with its ratings."""
    said = {rating.club_id: rating for rating in visit.ratings.all()}
    lies = {
        m.club_id: m.dynamic_lie_deg
        for m in visit.measurements.filter(dynamic_lie_deg__isnull=False).order_by("pk")
    }
    found = []
    for i, candidate in enumerate(taking_part(visit)):
        rating = said.get(candidate.club_id)
        given = tuple((name, words, getattr(rating, name, None)) for name, words in aspects())
        found.append(
            Rated(
                candidate.club,
                sign(i),
                given,
                rating.words if rating else "",
                rating.before_numbers if rating else False,
                lies.get(candidate.club_id),
            )
        )
    return found


@transaction.atomic
def rate(visit: Visit, club_id: str, said: Mapping[str, Any]) -> Rating:
    """Store what was said of one candidate; an empty rating takes it back.

    Raises InputError for a club that takes no part, or a rating beyond 1 to 5.
    """
    if not club_id.isdecimal() or not visit.candidates.filter(club_id=int(club_id)).exists():
        raise InputError(_("This club takes no part in the trial."), _("Rate one of the candidates."))
    values: dict[str, Any] = {}
    for name in ASPECTS:
        text = str(said.get(name, ""))
        if text not in ("", "1", "2", "3", "4", "5"):
            raise InputError(
                _('"%(value)s" is no rating.') % {"value": text[:20]},
                _("Ratings go from 1 (poor) to 5 (very good)."),
            )
        values[name] = int(text) if text else None
    values["words"] = str(said.get("words", ""))[:2000]
    values["before_numbers"] = visit.hide_numbers
    rating, _made = Rating.objects.update_or_create(visit=visit, club_id=int(club_id), defaults=values)
    _note_lie(visit, int(club_id), str(said.get("dynamic_lie", "")).strip())
    changed(visit)
    return rating


def _note_lie(visit: Visit, club_id: int, text: str) -> None:
    """Store how the sole met the turf: degrees, toe down positive."""
    if not text:
        return
    try:
        degrees = float(text.replace(",", ".").replace("−", "-"))
    except ValueError as error:
        raise InputError(
            _('"%(value)s" is no angle.') % {"value": text[:20]},
            _("Degrees; toe down is positive, such as 1.5."),
        ) from error
    if not -30.0 <= degrees <= 30.0:
        raise InputError(
            _("A dynamic lie angle of %(value)s degrees cannot be.") % {"value": text[:20]},
            _("Between -30 and 30 degrees."),
        )
    last = visit.measurements.filter(club_id=club_id, dynamic_lie_deg__isnull=False).order_by("-pk").first()
    if last is None or last.dynamic_lie_deg != degrees:
        ClubMeasurement.objects.create(
            visit=visit, club_id=club_id, measured_on=timezone.localdate(), dynamic_lie_deg=degrees
        )


@transaction.atomic
def hide_numbers(visit: Visit, *, hide: bool) -> None:
    """Keep numbers off the player's screen until the player has given their own word."""
    Visit.objects.filter(pk=visit.pk).update(hide_numbers=hide)
    changed(visit)
