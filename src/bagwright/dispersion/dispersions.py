"""All dispersions of a fit, worked out when asked for."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import replace

import numpy as np

from bagwright.bag.club import Club
from bagwright.dispersion import compare, draws, posterior
from bagwright.dispersion import prior as p
from bagwright.dispersion._kernel import Floats
from bagwright.dispersion.cells import CellKey, Key, LeftOutShot, Sorted
from bagwright.dispersion.links import Link
from bagwright.dispersion.model import CellFit, no_shots
from bagwright.dispersion.results import Contrast, Dispersion, Draws, Drift
from bagwright.dispersion.session import Session, fit_cell, with_cell
from bagwright.errors import InputError
from bagwright.estimate import Z90, Estimate
from bagwright.shots.record import Shot, ShotTable
from bagwright.words import join, tell


class Dispersions(Mapping[Key, Dispersion]):
    """Dispersions by (club, swing), with what all of them share. Immutable; `updated` gives a new one.

    `provisional` is True after `updated`: the new shot moved its own club (and what all clubs share), but the
    drift, the player's length and the other clubs' priors wait for `settled`.
    """

    def __init__(
        self,
        session: Session,
        table: ShotTable,
        sort: Callable[[ShotTable], Sorted],
        build: Callable[[Sorted], Session],
        provisional: bool = False,
    ) -> None:
        self._session = session
        self._table = table
        self._sort = sort
        self._build = build
        self._done: dict[Key, Dispersion] = {}
        self._solid: tuple[Floats, Floats] | None = None
        self.provisional = provisional

    def __getitem__(self, key: Key) -> Dispersion:
        if key not in self._done:
            self._done[key] = posterior.dispersion_of(self._session, self._session.cells[key], self._table)
        return self._done[key]

    def __iter__(self) -> Iterator[Key]:
        return iter(self._session.cells)

    def __len__(self) -> int:
        return len(self._session.cells)

    def __contains__(self, key: object) -> bool:
        return key in self._session.cells

    @property
    def session(self) -> Session:
        """What the arithmetic holds: priors, evidence and grids of every cell; for checks from outside."""
        return self._session

    @property
    def player_length_m(self) -> Estimate:
        """Carry of the 160-yard iron of the scale that all clubs share, with its 90 % range."""
        shared = self._session.length
        half = Z90 * math.sqrt(shared.variance)
        return Estimate(math.exp(shared.mean), math.exp(shared.mean - half), math.exp(shared.mean + half))

    @property
    def drift(self) -> dict[str, Drift]:
        """Warm-up and tiring by visit."""
        found = {}
        for visit, fit in self._session.drift.items():
            half = Z90 * np.sqrt(np.diag(fit.cov))
            warm, tire = (
                Estimate(float(b), float(b - h), float(b + h)) for b, h in zip(fit.beta, half, strict=True)
            )
            found[visit] = Drift(warm, tire, fit.settled)
        return found

    @property
    def converged(self) -> bool:
        """True when every check of the arithmetic of every cell passed; see `Dispersion.checks`."""
        return all(self[key].converged for key in self)

    @property
    def quality(self) -> str:
        """The weakest quality word among the cells; "prior only" without any."""
        words = ("prior only", "few shots", "fair", "good")
        return min((self[key].quality for key in self), key=words.index, default="prior only")

    @property
    def pooled(self) -> tuple[str, ...]:
        """Everything that was pooled or assumed anywhere, each once."""
        return (
            tuple(dict.fromkeys(word for key in self for word in self[key].pooled))
            or self._session.player.said
        )

    @property
    def shots_used(self) -> int:
        """How many shots count."""
        return sum(fit.shots.n for fit in self._session.cells.values())

    @property
    def shots_left_out(self) -> tuple[LeftOutShot, ...]:
        """Which shots do not count, and why."""
        return self._session.sorted.left_out

    @property
    def solid_probability(self) -> Floats:
        """Probability (n_table,) that each shot is solid; NaN where it was not used."""
        return self._probabilities()[0]

    @property
    def bad_read_probability(self) -> Floats:
        """Probability (n_table,) that each shot is a bad read; NaN where it was not used."""
        return self._probabilities()[1]

    def _probabilities(self) -> tuple[Floats, Floats]:
        if self._solid is None:
            solid, bad = np.full(self._table.n, np.nan), np.full(self._table.n, np.nan)
            for fit in self._session.cells.values():
                weights = posterior.weights_of(self._session, fit)
                solid[fit.shots.index] = posterior.solid_probability(fit, weights)
                bad[fit.shots.index] = posterior.bad_read_probability(fit, weights)
            self._solid = (solid, bad)
        return self._solid

    def predict(self, club: Club, swing: str = "stock") -> Dispersion:
        """Predict a club never hit from the rest of the bag (wide); the fitted one where it was hit."""
        key = (club.name, swing)
        if key in self._session.cells:
            return self[key]
        session, fit = self._unhit(club, swing)
        return posterior.dispersion_of(session, fit, self._table)

    def cell(self, club: Club, swing: str = "stock") -> tuple[Session, CellFit]:
        """The arithmetic of a club's cell, hit or not, and the session it belongs to."""
        key = (club.name, swing)
        return (self._session, self._session.cells[key]) if key in self else self._unhit(club, swing)

    @property
    def table(self) -> ShotTable:
        """The shots that were fitted."""
        return self._table

    def _unhit(self, club: Club, swing: str) -> tuple[Session, CellFit]:
        key = (club.name, swing)
        stock = (club.name, "stock")
        linked = stock if stock in self._session.cells and swing != "stock" else None
        link = Link(p.carry_ratio(club), p.swing_prior(swing), linked)
        session = replace(self._session, links={**self._session.links, key: link})
        return session, fit_cell(session, key, no_shots(CellKey(key, club.name, swing, False)))

    def draws(self, keys: Sequence[Key], n: int = 2048) -> Draws:
        """Joint posterior draws of absolute carries and sides, the same on every run; (n, len(keys)) each."""
        return draws.draw(self._session, self._fits(keys, n), n, None)

    def candidates(self, keys: Sequence[Key], blocked: bool, n: int = 2048) -> Draws:
        """Draws of candidates for one slot: their carries differ by N(0, (8 yd)^2) before the first ball.

        `blocked` says that they were hit in blocks and not alternated, which lets wandering form look like a
        difference between clubs.
        """
        return draws.draw(self._session, self._fits(keys, n), n, blocked)

    def contrast(self, a: Key, b: Key, blocked: bool) -> Contrast:
        """Compare a minus b in solid-strike carry under the difference prior, in closed form."""
        fits = self._fits([a, b], 1)
        at = [
            posterior.centre_of(self._session, fit, posterior.weights_of(self._session, fit)) for fit in fits
        ]
        return compare.contrast(self._session, (fits[0], at[0]), (fits[1], at[1]), blocked)

    def _fits(self, keys: Sequence[Key], n: int) -> list[CellFit]:
        missing = [key for key in keys if key not in self._session.cells]
        if missing or not keys or n < 1:
            known = (
                join(
                    ", ",
                    (tell("{club} {swing}", club=club, swing=swing) for club, swing in self._session.cells),
                )
                or "none"
            )
            asked = join(
                ", ", (tell("{club} {swing}", club=club, swing=swing) for club, swing in missing)
            ) or tell("{keys} clubs, {n_} draws", keys=len(keys), n_=n)
            raise InputError(
                tell("There is no dispersion for: {asked}.", asked=asked),
                tell("There are: {known}.", known=known),
            )
        return [self._session.cells[key] for key in keys]

    def updated(self, shot: Shot) -> Dispersions:
        """Add one shot, quickly: only its own cell is worked out again (see `provisional`)."""
        table = append(self._table, shot)
        sorted_ = self._sort(table)
        changed = [key for key, cell in sorted_.cells.items() if table.n - 1 in cell.index]
        new_key = any(key not in self._session.cells for key in changed)
        if new_key or set(sorted_.visits) != set(self._session.sorted.visits):
            return Dispersions(self._build(sorted_), table, self._sort, self._build)
        session = replace(self._session, sorted=sorted_)
        for key in changed:
            session = with_cell(session, key, sorted_.cells[key], sorted_)
        return Dispersions(session, table, self._sort, self._build, provisional=True)

    def settled(self) -> Dispersions:
        """Fit all of the same shots again; itself when nothing is provisional."""
        if not self.provisional:
            return self
        return Dispersions(self._build(self._session.sorted), self._table, self._sort, self._build)


def append(table: ShotTable, shot: Shot) -> ShotTable:
    """Give the table with one more shot at its end."""
    one = ShotTable.of([shot])
    n = table.n + 1
    measures = {
        name: np.append(table.measure(name), one.measure(name)) for name in {**table.measures, **one.measures}
    }
    texts: dict[str, Sequence[str]] = {
        name: [*table.text(name), *one.text(name)] for name in {**table.texts, **one.texts}
    }
    at_least = table.carry_at_least if table.carry_at_least is not None else np.zeros(table.n, dtype=np.bool_)
    marks = dict(table.marks) if shot.mark is None else {**table.marks, table.n: shot.mark}
    return ShotTable(
        n=n, order=np.append(table.order, one.order), measures=measures, texts=texts,
        carry_at_least=np.append(at_least, shot.carry_at_least), marks=marks,
    )  # fmt: skip
