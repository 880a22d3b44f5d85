"""The program marks its own homework: what reports said of later shots, and how many fell inside."""

from __future__ import annotations

import datetime
from dataclasses import dataclass

from django.utils.translation import gettext as _

from bagwright.bay.board import state_of
from bagwright.dispersion.predict import predictions
from bagwright.dispersion.record import share_range
from bagwright.estimate import Estimate
from bagwright.store.models import Account, Player, Prediction, ShotRecord, Visit
from bagwright.units import System

LEVEL = 0.9
LEAST_TO_TELL = 30
"""Fewer balls, mostly of one or two visits that share their day, are not called too narrow or too wide (judgement)."""


def store(visit: Visit, system: System) -> int:
    """Store what the visit's fit predicts of later solid balls of every club and swing that was hit."""
    state = state_of(visit, system)
    if state.fits is None:
        return 0
    clubs = {club.name: club for club in visit.player.clubs.filter(removed_at__isnull=True)}
    rows = []
    for said in predictions(state.fits, state.bag):
        if said.club not in clubs:
            continue
        low, high = said.later_carry.ninety_m
        rows.append(
            Prediction(
                visit=visit,
                club=clubs[said.club],
                swing=said.swing,
                quantity="carry_m",
                level=LEVEL,
                low=low,
                high=high,
                n_shots=said.n_shots,
            )
        )
    visit.predictions.all().delete()
    Prediction.objects.bulk_create(rows)
    return len(rows)


@dataclass(frozen=True, slots=True)
class Line:
    """For one kind of club: later solid balls, how many fell inside, and the share that this suggests."""

    kind: str
    balls: int
    inside: int
    share: Estimate
    level: float

    @property
    def word(self) -> str:
        """In words: "as promised", "too narrow" or "too wide", beyond chance only."""
        if self.balls < LEAST_TO_TELL:
            return _("too few balls to tell")
        if self.share.high < self.level:
            return _("too narrow")
        return _("too wide") if self.share.low > self.level else _("as promised")


def record(account: Account) -> tuple[Line, ...]:
    """The record over all players of this account, by kind of club.

    A ball counts once, against the last report before its visit; balls of the report's own visit do not.
    """
    counts: dict[str, list[int]] = {}
    players = Player.objects.seen_by(account)
    stated = Prediction.objects.filter(
        visit__player__in=players, visit__put_aside_at__isnull=True, quantity="carry_m"
    )
    newer: dict[tuple[int, str], datetime.datetime] = {}
    for one in stated.select_related("club", "visit").order_by("-visit__started_at", "-pk"):
        until = newer.get((one.club_id, one.swing))
        newer[one.club_id, one.swing] = one.visit.started_at
        carries = _later(one, until)
        tally = counts.setdefault(one.club.kind, [0, 0])
        tally[0] += len(carries)
        tally[1] += sum(one.low <= carry <= one.high for carry in carries)
    return tuple(
        Line(kind, balls, inside, share_range(inside, balls), LEVEL)
        for kind, (balls, inside) in sorted(counts.items())
        if balls
    )


def _later(one: Prediction, until: datetime.datetime | None) -> list[float]:
    """Solid carries of the same club and swing in visits after the report's, up to the next report's own visit."""
    later = ShotRecord.objects.filter(
        club_id=one.club_id,
        swing=one.swing,
        undone_at__isnull=True,
        mark="",
        carry_m__isnull=False,
        carry_at_least=False,
        visit__started_at__gt=one.visit.started_at,
        visit__put_aside_at__isnull=True,
    )
    if until is not None:
        later = later.filter(visit__started_at__lte=until)
    return [carry for carry in later.values_list("carry_m", flat=True) if carry is not None]
