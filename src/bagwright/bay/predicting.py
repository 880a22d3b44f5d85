"""The program marks its own homework: what reports said of later shots, and how many fell inside."""

from __future__ import annotations

import math
from dataclasses import dataclass

from scipy.special import betaincinv

from bagwright.bay.board import state_of
from bagwright.dispersion.results import Dispersion
from bagwright.estimate import Estimate
from bagwright.store.models import Account, Player, Prediction, ShotRecord, Visit
from bagwright.units import System

LEVEL = 0.9
LEAST_TO_TELL = 30
"""Fewer balls, mostly of one or two visits that share their day, are not called too narrow or too wide (judgement)."""
_Z = 1.6448536269514722


def interval_m(fit: Dispersion) -> tuple[float, float]:
    """Where the next solid ball's carry falls nine times in ten: the spread and the doubt of the centre.

    A normal distribution with the posterior mean and the two variances added; the spread's own posterior
    median stands for it.
    """
    sd = math.hypot(fit.carry_sd_m.value, fit.carry_spread)
    return fit.carry_m.value - _Z * sd, fit.carry_m.value + _Z * sd


def store(visit: Visit, system: System) -> int:
    """Store what the visit's fit predicts of later solid balls of every club and swing that was hit."""
    state = state_of(visit, system)
    if state.fits is None:
        return 0
    clubs = {club.name: club for club in visit.player.clubs.filter(removed_at__isnull=True)}
    rows = []
    for name, swing in state.fits:
        fit = state.fits[name, swing]
        if name not in clubs or not fit.measured or fit.n_solid < 1:
            continue
        low, high = interval_m(fit)
        rows.append(
            Prediction(
                visit=visit,
                club=clubs[name],
                swing=swing,
                quantity="carry_m",
                level=LEVEL,
                low=low,
                high=high,
                n_shots=fit.n_shots,
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
            return "too few balls to tell"
        if self.share.high < self.level:
            return "too narrow"
        return "too wide" if self.share.low > self.level else "as promised"


def share_of(inside: int, balls: int) -> Estimate:
    """A share from counts with its 90 % range: Jeffreys interval (Brown, Cai and DasGupta 2001, section 3.1).

    Quantiles of Beta(x + 1/2, n - x + 1/2), with the ends 0 and 1 where x is 0 or n.
    """
    a, b = inside + 0.5, balls - inside + 0.5
    low = 0.0 if inside == 0 else float(betaincinv(a, b, 0.05))
    high = 1.0 if inside == balls else float(betaincinv(a, b, 0.95))
    return Estimate(float(betaincinv(a, b, 0.5)), low, high)


def record(account: Account) -> tuple[Line, ...]:
    """The record over all players of this account, by kind of club; only balls of later visits count."""
    counts: dict[str, list[int]] = {}
    players = Player.objects.seen_by(account)
    predictions = Prediction.objects.filter(visit__player__in=players, quantity="carry_m")
    for one in predictions.select_related("club", "visit"):
        later = ShotRecord.objects.filter(
            club=one.club,
            swing=one.swing,
            undone_at__isnull=True,
            mark="",
            carry_m__isnull=False,
            carry_at_least=False,
            visit__started_at__gt=one.visit.started_at,
        )
        carries = [c for c in later.values_list("carry_m", flat=True) if c is not None]
        tally = counts.setdefault(one.club.kind, [0, 0])
        tally[0] += len(carries)
        tally[1] += sum(one.low <= carry <= one.high for carry in carries)
    return tuple(
        Line(kind, balls, inside, share_of(inside, balls), LEVEL)
        for kind, (balls, inside) in sorted(counts.items())
        if balls
    )
