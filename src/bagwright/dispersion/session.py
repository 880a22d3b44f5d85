"""A whole fit: cells, drift, the player's length and side, and the evidence that joins them.

Two passes. In the first every cell stands alone with a wide prior (12 % of carry); what it says about the
player's length and today's side is taken out in closed form; in the second every cell has the prior that
the *other* clubs give it (6 % once two of them fix the length). Linked swings follow their stock swing.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, replace

import numpy as np

from bagwright.bag.club import Bag
from bagwright.dispersion import prior as p
from bagwright.dispersion._kernel import Floats, Grid, Plug
from bagwright.dispersion.cells import CellShots, Key, Sorted
from bagwright.dispersion.drift import DriftFit, basis, visit_drift
from bagwright.dispersion.length import Message, Shared, leave_one_out, likelihood_of
from bagwright.dispersion.links import Link, ladder_prior, link_cell, linked_prior
from bagwright.dispersion.model import CellFit, CellPrior, evaluate, first_pass
from bagwright.dispersion.prior import PlayerPrior


@dataclass(frozen=True, slots=True)
class Session:
    """Everything a fit knows; immutable, so that a later shot gives a new one beside it."""

    sorted: Sorted
    player: PlayerPrior
    grid: Grid
    links: dict[Key, Link]
    drift: dict[str, DriftFit]
    length: Shared
    length_others: dict[Key, Shared]
    side: dict[str, Shared]
    side_others: dict[Key, Shared]
    cells: dict[Key, CellFit]
    log_joint: Floats


def build_session(
    sorted_: Sorted, player: PlayerPrior, bag: Bag | None, expected: Mapping[str, float]
) -> Session:
    """Fit all cells of a sorted table."""
    grid = p.grid_for(player.handicap, player.handicap_known)
    links = {key: link_cell(key, sorted_, bag, expected) for key in sorted_.cells}
    start = Shared(math.log(player.length_m), player.length_sd**2)
    side_start = Shared(0.0, p.PLAYER_SIDE_SD**2)
    first = {key: _first_prior(key, links, player, start, side_start) for key in sorted_.cells}
    drift = {visit: visit_drift(visit, sorted_, first) for visit in sorted_.visits}
    alone = {
        key: first_pass(shots, first[key], drift_of(shots, first[key], drift), grid)
        for key, shots in sorted_.cells.items()
        if links[key].stock is None
    }
    views = {key: fit.own() for key, fit in alone.items()}
    length, length_others = _share_length(alone, views, links, start)
    side, side_others = _share_side(alone, views, side_start)
    cells: dict[Key, CellFit] = {}
    session = Session(
        sorted_, player, grid, links, drift, length, length_others, side, side_others, cells, grid.log_prior
    )
    for key, fit in alone.items():
        cells[key] = fit_cell(session, key, fit.shots, views[key])
    for key, shots in sorted_.cells.items():
        if links[key].stock is not None:
            cells[key] = fit_cell(session, key, shots)
    ordered = {key: cells[key] for key in sorted_.cells}
    return replace(session, cells=ordered, log_joint=join(grid, ordered))


def join(grid: Grid, cells: Mapping[Key, CellFit]) -> Floats:
    """Log posterior (T, T, P) of the shared factors, up to a constant."""
    total = grid.log_prior.copy()
    for fit in cells.values():
        total += _told(fit)
    return total


def _told(fit: CellFit) -> Floats:
    told: Floats = np.log(fit.evidence.tensor + 1e-300)
    return told


def without(session: Session, key: Key) -> Floats:
    """Give the same without one cell's own evidence."""
    fit = session.cells.get(key)
    return session.log_joint if fit is None else session.log_joint - _told(fit)


def with_cell(session: Session, key: Key, shots: CellShots, sorted_: Sorted) -> Session:
    """Replace one cell's shots; the other cells, the drift and the length stay as they are."""
    old = session.cells.get(key)
    base = session.log_joint if old is None else session.log_joint - _told(old)
    fit = fit_cell(session, key, shots)
    cells = {**session.cells, key: fit}
    return replace(session, sorted=sorted_, cells=cells, log_joint=base + _told(fit))


def fit_cell(session: Session, key: Key, shots: CellShots, plug: Plug | None = None) -> CellFit:
    """Evaluate one cell under its final prior; `plug` is its first pass where there was one."""
    prior = final_prior(session, key, shots)
    drift_m = drift_of(shots, prior, session.drift)
    if not shots.n:
        return evaluate(shots, prior, drift_m, session.grid)
    if plug is None:
        plug = first_pass(shots, prior, drift_m, session.grid).own()
    return evaluate(shots, prior, drift_m, session.grid, plug)


def final_prior(session: Session, key: Key, shots: CellShots) -> CellPrior:
    """Give the prior of a cell from the other clubs, or from its stock swing."""
    link = session.links[key]
    last = session.sorted.visits[-1] if session.sorted.visits else ""
    visit = shots.visits[0] if shots.visits else last
    side = session.side_others.get(key) or session.side.get(visit) or Shared(0.0, p.PLAYER_SIDE_SD**2)
    if link.stock is not None:
        stock = session.cells[link.stock].own()
        return linked_prior(link, stock.carry, stock.carry_var, session.player.handicap, side)
    length = session.length_others.get(key, session.length)
    return ladder_prior(link, length, session.player.handicap, side, session.length.mean)


def _first_prior(
    key: Key, links: Mapping[Key, Link], player: PlayerPrior, length: Shared, side: Shared
) -> CellPrior:
    link = links[key]
    if link.stock is not None:
        link = Link(links[link.stock].ratio, link.swing, None)
    return ladder_prior(link, length, player.handicap, side)


def drift_of(shots: CellShots, prior: CellPrior, drift: Mapping[str, DriftFit]) -> Floats:
    """Metres by which each shot's carry is off the warmed-up, fresh state."""
    offset = np.zeros(shots.n)
    for v, visit in enumerate(shots.visits):
        here = shots.visit == v
        offset[here] = prior.expected_m * (basis(shots.ball[here]) @ drift[visit].beta)
    return offset


def _share_length(
    alone: Mapping[Key, CellFit], views: Mapping[Key, Plug], links: Mapping[Key, Link], start: Shared
) -> tuple[Shared, dict[Key, Shared]]:
    messages, keys = {}, list(alone)
    for k, key in enumerate(keys):
        fit, link, own = alone[key], links[key], views[key]
        said = likelihood_of(own.carry, own.carry_var, fit.prior.mean_m, fit.prior.var_m2)
        if said is None or not link.ratio.known:
            continue
        carry = max(said.value, 0.3 * fit.prior.mean_m)
        swing_sd = link.swing.centre_sd / link.swing.centre
        own_sd = p.CLUB_CARRY_SD if link.ratio.stated_m is not None else link.ratio.sd
        var = said.variance / carry**2 + own_sd**2 + swing_sd**2
        messages[k] = Message(math.log(carry / (link.ratio.ratio * link.swing.centre)), var)
    everyone, others = leave_one_out(start, messages)
    return everyone, {keys[k]: shared for k, shared in others.items()}


def _share_side(
    alone: Mapping[Key, CellFit], views: Mapping[Key, Plug], start: Shared
) -> tuple[dict[str, Shared], dict[Key, Shared]]:
    """Today's side of every visit, from the cells that were last hit in it."""
    messages: dict[str, dict[int, Message]] = {}
    keys = list(alone)
    for k, key in enumerate(keys):
        fit, own = alone[key], views[key]
        said = likelihood_of(own.side, own.side_var, fit.prior.side_mean_m, fit.prior.side_var_m2)
        if said is None or not fit.shots.visits:
            continue
        scale = fit.prior.expected_m
        message = Message(said.value / scale, said.variance / scale**2 + p.CLUB_SIDE_SD**2)
        messages.setdefault(fit.shots.visits[0], {})[k] = message
    side: dict[str, Shared] = {}
    others: dict[Key, Shared] = {}
    for visit, said_here in messages.items():
        side[visit], rest = leave_one_out(start, said_here)
        others.update({keys[k]: shared for k, shared in rest.items()})
    return side, others
