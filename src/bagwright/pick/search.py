"""The best bags and the proof that there is no better one: branch and bound on what more clubs cannot cost.

A node stands for all bags that hold every club `inside` and none `outside`; `left` are the clubs that they
may hold at all. It is closed where even `left` costs too much (more clubs never cost strokes), where the
holes added up say so (`bounds.proven`), or where `left` itself is allowed and so is its best bag. Else it
is split, club by club, from the dearest to lose on. The splits stay as a tree, which is the proof: see
`proof`.

Which node is next says the sum of what single clubs are worth (`bounds.guessed`), which is nearly always
below the truth: it finds the best bags soon, and proves nothing.
"""

from __future__ import annotations

import heapq
import math
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any, Protocol

import numpy as np
from numpy.typing import NDArray

from bagwright.errors import InputError
from bagwright.pick.bounds import guessed, proven
from bagwright.pick.wish import Limits, bits
from bagwright.words import tell

Floats = NDArray[np.float64]

BATCH = 96
"""Bags that are worked out together, about."""
SAME = 1e-6
"""Strokes that two bags must differ by to count as different: what the evaluator's sweeps leave open."""


MOST_NEAR = 1000
"""Near bags that are kept; where more come up, fewer strokes count as near, down to none at all."""


def narrowed(near: Mapping[int, float], best: int, within: float) -> tuple[float, dict[int, float]]:
    """Fewer strokes that count as near, and the bags that are still.

    Where half of the bags tie with the best to the last digit the strokes go below 0: only a better bag is
    looked for then, and the best one stands alone.
    """
    least = near[best]
    middle = sorted(near.values())[len(near) // 2] - least
    within = min(within / 2, middle - SAME) if middle > 2 * SAME else -2 * SAME
    kept = {bag: cost for bag, cost in near.items() if cost <= least + within + SAME}
    return within, kept | {best: least}


class Strokes(Protocol):
    """What is searched: strokes by hole (bags, holes) of bags, each hole's with its weight."""

    def holes(self, bags: Sequence[int]) -> Floats:
        """Rows add up to the strokes of a round; a bag that contains another never costs more on any hole."""


class Known:
    """Bags that were worked out, each once."""

    def __init__(self, source: Strokes) -> None:
        self.source = source
        self._found: dict[int, Floats] = {}

    @property
    def count(self) -> int:
        """How many bags were worked out."""
        return len(self._found)

    def need(self, bags: Sequence[int]) -> None:
        """Work out those of the bags that are not known."""
        new = [bag for bag in dict.fromkeys(bags) if bag not in self._found]
        if new:
            self._found.update(zip(new, self.source.holes(new), strict=True))

    def holes(self, bag: int) -> Floats:
        """Strokes by hole of a known bag."""
        return self._found[bag]

    def strokes(self, bags: Sequence[int]) -> Floats:
        """Strokes of bags, worked out where they are not known."""
        self.need(bags)
        return np.array([self._found[bag].sum() for bag in bags])


Tree = Any
"""A node of the proof: see `proof`."""
OPEN = "open"
BELOW, BESIDE = "below", "beside"
"""By which bags a node is closed: those with one club less than its own, or than its parent's."""


@dataclass(order=True, slots=True)
class Node:
    """One open node; ordered by what its bags are guessed to cost."""

    guess: float
    number: int
    bound: float = field(compare=False)
    """Proven by its siblings."""
    floor: float = field(compare=False)
    """Proven by any node above it as well."""
    inside: int = field(compare=False)
    outside: int = field(compare=False)
    left: int = field(compare=False)
    home: list[Tree] = field(compare=False)
    """The list in the tree that holds this node, at `at`."""
    at: int = field(compare=False)


@dataclass(frozen=True, slots=True)
class Standing:
    """How far a search is."""

    best: int
    strokes: float
    bound: float
    """Proven: no allowed bag costs less."""
    guess: float
    """No better one is likely below this; the bound itself where the proof is whole."""
    open: int
    evaluations: int


class Search:
    """A search that goes on step by step, can be left at any time and taken up again.

    `best` and `near` (bags within `within` strokes of it, with their strokes) are right for what was looked
    at; they are proven where `proven` is true.
    """

    def __init__(self, source: Strokes, limits: Limits, within: float) -> None:
        self.limits, self.within = limits, within
        self.known = Known(source)
        self.near: dict[int, float] = {}
        self.root: list[Tree] = [None]
        self._heap: list[Node] = []
        self._count = 0
        self._least = -math.inf
        """Strokes with every club that may be carried."""
        self.best, self.strokes = -1, math.inf

    def begin(self) -> None:
        """Find a first bag by taking clubs away, and open the root."""
        self._take(start(self.known, self.limits))
        self._least = self._all()
        self._open(0, 0, self.root, 0, -math.inf, self._least, self._least)

    def resume(self, best: int, near: Mapping[int, float], tree: Tree) -> None:
        """Take a search up again where it was left: its best bag, the near ones and its tree."""
        self.root, self.near = [tree], dict(near)
        self._take(best)
        self._least = self._all()
        waiting: list[tuple[list[Tree], int, int, int]] = [(self.root, 0, 0, 0)]
        while waiting:
            home, at, inside, outside = waiting.pop()
            node = home[at]
            if isinstance(node, list):
                bit = 1 << node[0]
                waiting += [(node, 2, inside | bit, outside), (node, 1, inside, outside | bit)]
            elif isinstance(node, dict) and OPEN in node:
                bound = -math.inf if node[OPEN][0] is None else node[OPEN][0]
                floor, guess = (self._least if one is None else one for one in node[OPEN][1:])
                self._open(inside, outside, home, at, bound, floor, guess)

    @property
    def proven(self) -> bool:
        """Whether nothing is open: the best bag and the near ones are proven."""
        return not self._heap

    @property
    def found(self) -> bool:
        """Whether no open node is guessed to hold a bag near the best one."""
        return not self._heap or self._heap[0].guess > self.most

    @property
    def most(self) -> float:
        """Strokes above which a bag is not near."""
        return self.strokes + self.within + SAME

    def standing(self) -> Standing:
        """How far it is."""
        bound = min([self.strokes, *(node.floor for node in self._heap)])
        guess = self.strokes if not self._heap else max(min(self.strokes, self._heap[0].guess), bound)
        return Standing(self.best, self.strokes, bound, guess, len(self._heap), self.known.count)

    def run(
        self,
        stop: Callable[[Standing], bool] = lambda standing: False,
        tell_: Callable[[Standing], None] = lambda standing: None,
    ) -> None:
        """Go on until all is proven or `stop` says so; `tell_` hears how far it is."""
        if self.best < 0:
            self.begin()
        while self._heap:
            standing = self.standing()
            tell_(standing)
            if stop(standing):
                return
            self.step()

    def step(self) -> None:
        """Take the most promising nodes and split them."""
        nodes: list[Node] = []
        bags: list[int] = []
        while self._heap and len(bags) < BATCH:
            node = heapq.heappop(self._heap)
            if node.bound > self.most:
                node.home[node.at] = {BESIDE: node.bound}
                continue
            nodes.append(node)
            bags.append(node.left)
            if not self.limits.allows(node.left):
                bags.extend(node.left & ~(1 << i) for i in bits(node.left & ~node.inside))
        self.known.need(bags)
        for node in nodes:
            self._split(node)

    def _all(self) -> float:
        return float(self.known.strokes([self.limits.left(0, 0) or 0])[0])

    def _take(self, bag: int) -> float:
        """Count an allowed bag."""
        strokes = float(self.known.strokes([bag])[0])
        if strokes < self.strokes:
            self.best, self.strokes = bag, strokes
            self.near = {one: cost for one, cost in self.near.items() if cost <= self.most}
            self.near[bag] = strokes
        if strokes <= self.most:
            self.near[bag] = strokes
        if len(self.near) > MOST_NEAR:
            self.within, self.near = narrowed(self.near, self.best, self.within)
        return strokes

    def _open(
        self, inside: int, outside: int, home: list[Tree], at: int, bound: float, floor: float, guess: float
    ) -> None:  # fmt: skip
        """Open the node of what lies between, or close it where no bag does."""
        left = self.limits.left(inside, outside)
        if left is None:
            home[at] = None
            return
        self._count += 1
        home[at] = {OPEN: [None if math.isinf(bound) else bound, floor, max(guess, floor)]}
        inside |= self.limits.pinned
        node = Node(max(guess, floor), self._count, bound, floor, inside, outside, left, home, at)
        heapq.heappush(self._heap, node)

    def _split(self, node: Node) -> None:
        limits, known = self.limits, self.known
        if limits.allows(node.left):
            node.home[node.at] = self._take(node.left)
            return
        if float(known.holes(node.left).sum()) > self.most:
            node.home[node.at] = float(known.holes(node.left).sum())
            return
        free = bits(node.left & ~node.inside)
        rows = np.array([known.holes(node.left & ~(1 << i)) for i in free])
        base = known.holes(node.left)
        must = node.left.bit_count() - limits.slots
        bound = proven(base, rows, must)
        if bound > self.most:
            node.home[node.at] = {BELOW: bound}
            return
        floor = max(node.floor, bound)
        order = np.argsort(-rows.sum(1), kind="stable")
        home, at, inside = node.home, node.at, node.inside
        for k, place in enumerate(order):
            club = 1 << free[place]
            split: list[Tree] = [free[place], None, None]
            home[at] = split
            self._without(node, inside, club, rows[place], rows[order[k + 1 :]], must - 1, floor, split)
            inside |= club
            home, at = split, 2
            if limits.left(inside, node.outside) != node.left:
                self._open(inside, node.outside, home, at, -math.inf, floor, floor)
                return

    def _without(
        self, node: Node, inside: int, club: int, row: Floats, rest: Floats, must: int, floor: float,
        split: list[Tree],
    ) -> None:  # fmt: skip
        """The bags of a node without one more club: closed where they cost too much, else opened."""
        alone = float(row.sum())
        if alone > self.most:
            split[1] = alone
            return
        bound = proven(row, rest, must)
        if math.isinf(bound):
            split[1] = None
            return
        if bound > self.most:
            split[1] = {BESIDE: bound}
            return
        guess = guessed(alone, rest.sum(1) - float(self.known.holes(node.left).sum()), must)
        self._open(inside, node.outside | club, split, 1, bound, max(floor, bound), guess)


def start(known: Known, limits: Limits) -> int:
    """A good bag soon: clubs are taken away while too many are there, then swapped while that helps."""
    bag = limits.left(0, 0)
    if bag is None:
        raise InputError(tell("No bag is what was asked for."), tell("Loosen the limits."))
    while not limits.allows(bag):
        bag = _least(known, [bag & ~(1 << i) for i in bits(bag & ~limits.pinned)])[0]
    while True:
        others = list(_beside(bag, limits))
        found, strokes = _least(known, others) if others else (bag, math.inf)
        if strokes >= float(known.strokes([bag])[0]) - SAME:
            return bag
        bag = found


def _least(known: Known, bags: Sequence[int]) -> tuple[int, float]:
    strokes = known.strokes(bags)
    k = int(strokes.argmin())
    return bags[k], float(strokes[k])


def _beside(bag: int, limits: Limits) -> Iterator[int]:
    """Allowed bags with one club more, or one club for another."""
    for i in bits(limits.whole & ~bag):
        for smaller in (bag, *(bag & ~(1 << j) for j in bits(bag & ~limits.pinned))):
            if limits.allows(smaller | 1 << i):
                yield smaller | 1 << i
