"""Every allowed bag, worked out one after the other: the plain proof where they are not many."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from typing import Any

import numpy as np

from bagwright.pick.search import MOST_NEAR, OPEN, SAME, Strokes, narrowed
from bagwright.pick.wish import Limits, bits

AT_ONCE = 256
"""Bags that are worked out together."""
_NOT_YET: dict[str, list[float | None]] = {OPEN: [None, None, None]}


def every(limits: Limits, root: list[Any] | None = None) -> Iterator[tuple[int, list[Any], int]]:
    """Every allowed bag that holds all clubs left to it, once, with its place in the tree under `root`.

    Every allowed bag is one of these or part of one. The tree (see `proof`) is whole when the last is given;
    splits that it has already stay.
    """
    home: list[Any] = [_NOT_YET] if root is None else root
    waiting: list[tuple[int, int, list[Any], int]] = [(limits.pinned, 0, home, 0)]
    while waiting:
        inside, outside, home, at = waiting.pop()
        left = limits.left(inside, outside)
        if left is None:
            home[at] = None
        elif limits.allows(left):
            yield left, home, at
        else:
            free, split = bits(left & ~inside), home[at]
            if not isinstance(split, list) or len(split) != 3 or split[0] not in free:
                split = home[at] = [free[0], _NOT_YET, _NOT_YET]
            club = split[0]
            waiting.append((inside, outside | 1 << club, split, 1))
            waiting.append((inside | 1 << club, outside, split, 2))


def count(limits: Limits, most: int) -> int:
    """How many bags `every` gives; `most` where it is that or more."""
    found = 0
    for _ in every(limits):
        found += 1
        if found >= most:
            break
    return found


class Enumeration:
    """All bags worked out: the best, those near it, and the tree that says so."""

    def __init__(self, source: Strokes, limits: Limits, within: float) -> None:
        self.source, self.limits, self.within = source, limits, within
        self.root: list[Any] = [_NOT_YET]
        self.best, self.strokes = -1, float("inf")
        self.near: dict[int, float] = {}
        self.evaluations = 0
        self.proven = False

    def resume(self, best: int, near: Mapping[int, float], tree: Any) -> None:
        """Take it up again where it was left: its best bag, the near ones and its tree."""
        self.root, self.best, self.near = [tree], best, dict(near)
        self.strokes = self.near[best] = float(np.asarray(self.source.holes([best])).sum())

    @property
    def most(self) -> float:
        """Strokes above which a bag is not near."""
        return self.strokes + self.within + SAME

    def run(
        self,
        stop: Callable[[int], bool] = lambda done: False,
        tell_: Callable[[int], None] = lambda done: None,
    ) -> None:
        """Work all out; where `stop(bags so far)` says so, leave with what is found until then."""
        waiting: list[tuple[int, list[Any], int]] = []
        for one in every(self.limits, self.root):
            _, home, at = one
            if isinstance(home[at], float):  # worked out before it was stopped
                self.evaluations += 1
                continue
            waiting.append(one)
            if len(waiting) == AT_ONCE:
                self._take(waiting)
                waiting = []
                tell_(self.evaluations)
                if stop(self.evaluations):
                    return
        if waiting:
            self._take(waiting)
        near = {bag: strokes for bag, strokes in self.near.items() if strokes <= self.most}
        self.near = near | {self.best: self.strokes}
        self.proven = True

    def _take(self, waiting: list[tuple[int, list[Any], int]]) -> None:
        found = np.asarray(self.source.holes([bag for bag, _, _ in waiting])).sum(1)
        self.evaluations += len(waiting)
        for (bag, home, at), strokes in zip(waiting, found.tolist(), strict=True):
            home[at] = strokes
            if strokes < self.strokes:
                self.best, self.strokes = bag, strokes
                self.near[bag] = strokes
            if strokes <= self.most:
                self.near[bag] = strokes
            if len(self.near) > MOST_NEAR:
                self.near = {one: cost for one, cost in self.near.items() if cost <= self.most}
                if len(self.near) > MOST_NEAR:
                    self.within, self.near = narrowed(self.near, self.best, self.within)
