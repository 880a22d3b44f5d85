"""Expected strokes of bags on a problem: many at a time, exact to what is stated."""

from __future__ import annotations

import threading
from collections.abc import Iterator, Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from functools import cached_property
from typing import Any

import numpy as np
from numpy.typing import NDArray

from bagwright.errors import InputError
from bagwright.pick.problem import FALLBACK, Problem
from bagwright.words import tell

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
Singles = NDArray[np.float32]

LANES = 16
"""Bags side by side, as in the kernel."""
STILL = 1e-6
"""Change of a value, strokes, below which a sweep was the last."""
SWEEPS = 60
FAR = 1e6


@dataclass(frozen=True, slots=True)
class Use:
    """How often a weighted round uses each club of a bag: (n,) times, and the fallback's."""

    times: Floats
    fallback: float
    """Times a round that no kept option was in the bag: the strokes there are judged, not worked out."""


class Evaluator:
    """Works out bags of one problem on several threads. For use by one caller at a time."""

    def __init__(self, problem: Problem, threads: int = 2) -> None:
        from bagwright.pick import _kernel_bags

        self.problem, self.threads = problem, max(threads, 1)
        self.everything = problem.everything
        self.evaluations = 0
        self.residual = 0.0
        """Largest last change of a value in any sweep so far, strokes."""
        self.sweeps = 0
        self._kernel = _kernel_bags
        self._local = threading.local()
        p = problem
        self._given = (p.first_option, p.club, p.cost, p.first_entry, p.next, p.chance)
        self._pool = ThreadPoolExecutor(self.threads) if self.threads > 1 else None

    def strokes(self, bags: Sequence[int]) -> Floats:
        """Expected strokes (len(bags),) of a weighted round with each bag (bits of the clubs)."""
        return self._tees(bags) @ self.problem.hole_weight + self.everything

    def holes(self, bags: Sequence[int]) -> Floats:
        """Each hole's share (len(bags), h) of `strokes`: rows add up to them."""
        return (self._tees(bags) + self.problem.tee_strokes) * self.problem.hole_weight

    def by_hole(self, bag: int) -> Floats:
        """Expected strokes (h,) of every hole with one bag, without the rounds' weights."""
        return np.asarray(self._tees([bag])[0] + self.problem.tee_strokes)

    def more(self, bag: int) -> Singles:
        """What every spot (n,) costs more with this bag than with all clubs."""
        self._check([bag])
        d, _ = self._solve([bag])
        return np.ascontiguousarray(d.reshape(-1, LANES)[:, 0])

    def choices(self, bag: int) -> tuple[Ints, Singles]:
        """The option that the bag plays at every spot (n,), and what the spot costs more (n,)."""
        return next(self.choices_of([bag]))

    def choices_of(self, bags: Sequence[int]) -> Iterator[tuple[Ints, Singles]]:
        """`choices` of bag after bag, worked out side by side."""
        self._check(bags)
        for k in range(0, len(bags), LANES):
            some = bags[k : k + LANES]
            whole, without = self._solve(some)[0].reshape(-1, LANES).T.copy(), self._without(some)
            for lane in range(len(some)):
                d = whole[lane]
                choice, strokes = np.zeros(len(d), np.int64), np.zeros(len(d), np.float32)
                self._kernel.decide(*self._given, without[:, lane].copy(), d, choice, strokes)
                yield choice, d

    @cached_property
    def spot_of_option(self) -> Ints:
        """The spot (m,) of every option."""
        p = self.problem
        return np.repeat(np.arange(len(p.spot_x_m)), np.diff(p.first_option))

    @cached_property
    def _onward(self) -> Any:
        from scipy.sparse import csr_array

        p = self.problem
        shape = (len(p.club), len(p.spot_x_m))
        return csr_array((p.chance, p.next, p.first_entry), shape=shape)

    def behind(self, d: Singles) -> Singles:
        """What every option (m,) costs above its spot's own, where spots cost `d` (n,) more."""
        return np.asarray(self.problem.cost + self._onward @ d - d[self.spot_of_option])

    def visits(self, choice: Ints) -> Floats:
        """How often a ball is played from each spot (n,) in one playing of its hole, options given."""
        p = self.problem
        times = np.zeros(len(choice))
        self._kernel.visits(p.first_spot, p.tee, p.first_entry, p.next, p.chance, choice, 1e-9, 500, times)
        return times

    def use_of(self, bag: int) -> Use:
        """How often each club is used in a weighted round with this bag."""
        choice, _ = self.choices(bag)
        p = self.problem
        weight = np.repeat(p.hole_weight, np.diff(p.first_spot))
        club = p.club[choice]
        times = np.bincount(club + 1, self.visits(choice) * weight, minlength=p.n + 1).astype(float)
        return Use(times[1:], float(times[FALLBACK + 1]))

    def _check(self, bags: Sequence[int]) -> None:
        for bag in bags:
            if not 0 <= bag <= self.problem.whole:
                raise InputError(
                    tell("A bag is a number from 0 to {most}, not {bag}.", most=self.problem.whole, bag=bag),
                    tell("Set one bit for each club of the problem."),
                )

    def _tees(self, bags: Sequence[int]) -> Floats:
        """D at the tees (bags, h)."""
        self._check(bags)
        chunks = [bags[k : k + LANES] for k in range(0, len(bags), LANES)]
        if self._pool is None or len(chunks) < 2:
            found = [self._solve(chunk)[1] for chunk in chunks]
        else:
            found = [out for _, out in self._pool.map(self._solve, chunks)]
        self.evaluations += len(bags)
        parts = [out[:, : len(chunk)].T for out, chunk in zip(found, chunks, strict=True)]
        return np.concatenate(parts).astype(float) if parts else np.zeros((0, len(self.problem.tee)))

    def _solve(self, bags: Sequence[int]) -> tuple[Singles, Singles]:
        p = self.problem
        d, known = self._room()
        out = np.zeros((len(p.tee), LANES), np.float32)
        change, sweeps = self._kernel.solve(
            p.first_spot,
            p.tee,
            *self._given,
            self._without(bags).ravel(),
            np.float32(STILL),
            SWEEPS,
            d,
            known,
            out,
        )
        self.residual = max(self.residual, float(change))
        self.sweeps += int(sweeps)
        return d, out

    def _without(self, bags: Sequence[int]) -> Singles:
        """(clubs + 1, LANES): FAR where a bag has not got the club; lanes without a bag hold all clubs."""
        out = np.zeros((self.problem.n + 1, LANES), np.float32)
        for lane, bag in enumerate(bags):
            for club in range(self.problem.n):
                if not bag >> club & 1:
                    out[club, lane] = FAR
        return out

    def _room(self) -> Any:
        """Work space of this thread: numbers for every spot and every option, and lane."""
        room = getattr(self._local, "room", None)
        if room is None:
            counts = len(self.problem.spot_x_m), len(self.problem.club)
            room = self._local.room = tuple(np.zeros(n * LANES, np.float32) for n in counts)
        return room
