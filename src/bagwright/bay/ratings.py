"""The player's own word on each candidate, before the numbers if wanted; every step can go back."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from django.db import transaction
from django.utils import timezone
from django.utils.translation import gettext as _

from bagwright.bay.live import changed
from bagwright.bay.notes import note_of
from bagwright.bay.planning import taking_part
from bagwright.errors import InputError
from bagwright.report.theme import Sign, sign
from bagwright.store.models import Account, Change, Club, ClubMeasurement, Rating, Visit
from bagwright.trial.ratings import ASPECTS

STEEPEST_DEG = 30.0
"""Most degrees of dynamic lie angle that a sole can meet the turf at: beyond it, somebody mistyped."""
_STEP = "rating"
_KEPT = (*ASPECTS, "words", "before_numbers")
_LIE = "dynamic_lie"


def aspects() -> list[tuple[str, str]]:
    """What a player rates, with the words for it."""
    words = (_("Look at address"), _("Feel"), _("Sound"), _("Through the turf"), _("Confidence"))
    return list(zip(ASPECTS, words, strict=True))


@dataclass(frozen=True, slots=True)
class Rated:
    """One candidate with what was said of it so far: (aspect, its words, 1 to 5 or None)."""

    club: Club
    sign: Sign
    number: int
    present: bool
    given: tuple[tuple[str, str, int | None], ...]
    words: str
    before_numbers: bool
    dynamic_lie_deg: float | None

    @property
    def told(self) -> list[tuple[str, int]]:
        """What was rated, in words, with its mark."""
        return [(words, value) for _aspect, words, value in self.given if value]

    @property
    def given_any(self) -> bool:
        """True when something was rated or said."""
        return bool(self.words) or bool(self.told)


def rows_of(visit: Visit) -> list[Rated]:
    """Every candidate with its ratings."""
    said = {rating.club_id: rating for rating in visit.ratings.all()}
    measured = visit.measurements.filter(dynamic_lie_deg__isnull=False).order_by("pk")
    lies = {m.club_id: m.dynamic_lie_deg for m in measured}
    found = []
    for i, candidate in enumerate(taking_part(visit)):
        rating = said.get(candidate.club_id)
        found.append(
            Rated(
                club=candidate.club,
                sign=sign(i),
                number=i % 6 + 1,
                present=candidate.present,
                given=tuple((name, words, getattr(rating, name, None)) for name, words in aspects()),
                words=rating.words if rating else "",
                before_numbers=rating.before_numbers if rating else False,
                dynamic_lie_deg=lies.get(candidate.club_id),
            )
        )
    return found


@transaction.atomic
def rate(account: Account | None, visit: Visit, club_id: str, said: Mapping[str, Any]) -> None:
    """Store what was said of one candidate; only what `said` holds changes, an empty value takes it back.

    So two people who rate the same candidate do not undo each other. Raises InputError for a club that takes
    no part, a rating beyond 1 to 5, or an angle that cannot be.
    """
    visit = Visit.objects.select_for_update(of=("self",)).get(pk=visit.pk)
    club = next((c.club for c in taking_part(visit) if str(c.club_id) == club_id), None)
    if club is None:
        raise InputError(_("This club takes no part in the trial."), _("Rate one of the candidates."))
    values = _values(said)
    lie = _angle(str(said[_LIE])) if _LIE in said else None
    before = _state(visit, club)
    if values:
        values["before_numbers"] = visit.hide_numbers
        Rating.objects.update_or_create(visit=visit, club=club, defaults=values)
    if _LIE in said:
        _put_lie(visit, club, lie)
    after = _state(visit, club)
    if _without_stamp(before) == _without_stamp(after):
        return
    Change.objects.create(
        visit=visit,
        made_by=account,
        what=_STEP,
        before={"club": club.pk, **before},
        after={"club": club.pk, **after},
    )
    changed(visit)


def _without_stamp(state: Mapping[str, Any]) -> dict[str, Any]:
    return {name: value for name, value in state.items() if name != "before_numbers"}


def _values(said: Mapping[str, Any]) -> dict[str, Any]:
    values: dict[str, Any] = {}
    for name in ASPECTS:
        if name not in said:
            continue
        text = str(said[name])
        if text not in ("", "1", "2", "3", "4", "5"):
            raise InputError(
                _('"%(value)s" is no rating.') % {"value": text[:20]},
                _("Ratings go from 1 (poor) to 5 (very good)."),
            )
        values[name] = int(text) if text else None
    if "words" in said:
        values["words"] = note_of(str(said["words"]))
    return values


def _angle(text: str) -> float | None:
    """Degrees, toe down positive; None where nothing was written."""
    text = text.strip().rstrip("°").strip()
    if not text:
        return None
    try:
        degrees = float(text.replace(",", ".").replace("−", "-"))
    except ValueError as error:
        raise InputError(
            _('"%(value)s" is no angle.') % {"value": text[:20]},
            _("Write degrees; toe down is positive, such as 1.5, heel down negative."),
        ) from error
    if not math.isfinite(degrees) or abs(degrees) > STEEPEST_DEG:
        raise InputError(
            _("A dynamic lie angle of %(value)s degrees cannot be.") % {"value": text[:20]},
            _("It lies between -30 and 30 degrees."),
        )
    return degrees


def _lie_row(visit: Visit, club: Club) -> ClubMeasurement | None:
    """The visit's measurement of this club that holds nothing but how its sole met the turf."""
    return (
        visit.measurements.filter(
            club=club, loft_deg__isnull=True, lie_angle_deg__isnull=True, length_m__isnull=True
        )
        .order_by("-pk")
        .first()
    )


def _put_lie(visit: Visit, club: Club, degrees: float | None) -> None:
    row = _lie_row(visit, club)
    if row is not None:
        ClubMeasurement.objects.filter(pk=row.pk).update(dynamic_lie_deg=degrees)
    elif degrees is not None:
        ClubMeasurement.objects.create(
            visit=visit, club=club, measured_on=timezone.localdate(), dynamic_lie_deg=degrees
        )


def _state(visit: Visit, club: Club) -> dict[str, Any]:
    rating = visit.ratings.filter(club=club).first()
    state: dict[str, Any] = {name: getattr(rating, name, None) for name in ASPECTS}
    state["words"] = rating.words if rating else ""
    state["before_numbers"] = rating.before_numbers if rating else False
    row = _lie_row(visit, club)
    state[_LIE] = row.dynamic_lie_deg if row else None
    return state


def can_undo(visit: Visit) -> bool:
    """True where a rating can be taken back."""
    return visit.changes.filter(what=_STEP, undone_at__isnull=True).exists()


@transaction.atomic
def undo(visit: Visit) -> Club | None:
    """Take the last rating back, as it was before; the club it was of, None where there is none."""
    visit = Visit.objects.select_for_update(of=("self",)).get(pk=visit.pk)
    step = visit.changes.filter(what=_STEP, undone_at__isnull=True).first()
    club = Club.objects.filter(pk=step.before["club"]).first() if step is not None else None
    if step is None or club is None:
        return None
    kept = {name: step.before[name] for name in _KEPT}
    Rating.objects.update_or_create(visit=visit, club=club, defaults=kept)
    _put_lie(visit, club, step.before[_LIE])
    Change.objects.filter(pk=step.pk).update(undone_at=timezone.now())
    changed(visit)
    return club


@transaction.atomic
def hide_numbers(visit: Visit, *, hide: bool) -> None:
    """Keep numbers off the player's screen until the player has given their own word."""
    Visit.objects.filter(pk=visit.pk).update(hide_numbers=hide)
    changed(visit)
