"""The proof that no bag is better: a file that another machine can check without trusting who wrote it.

It holds the digest of the problem, the wish, the best bag, the bags near it, and a tree. A node of the tree
stands for all allowed bags that hold some clubs and lack others; the root stands for all. A node is

- `[club, without, with]`: split in those without the club and those with it, so that none is lost;
- `null`: the limits leave no bag at all;
- a number: even all clubs that are left to it cost so many strokes. More clubs never cost strokes;
- `{"below": number}`: so says the bound by holes (`bounds.proven`) from the clubs that are left and those
  less each free club;
- `{"beside": number}`: so it says from the parent's clubs less the one it was split on, and those less
  each other free club as well;
- `{"open": ...}`: not closed yet. Such a file keeps a search that was stopped, and proves nothing.

Every number lies above what a near bag costs, or its node's clubs are themselves a bag that is listed. Then
the best bag is the best and the list of near ones is complete, under this model and these inputs.
"""

from __future__ import annotations

import json
import math
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np

from bagwright.errors import InputError
from bagwright.files import write_whole
from bagwright.pick.bounds import proven
from bagwright.pick.search import BELOW, BESIDE, OPEN, Known, Strokes
from bagwright.pick.wish import Limits, Wish, bits, limits_of
from bagwright.words import join, tell

VERSION = 1
KIND = "bagwright proof of a pick"
EXACT = 1e-5
"""Strokes that a checked number may differ by: another processor adds in another order."""
MOST_BYTES = 500_000_000
MOST_SAID = 5
"""Faults that are named."""
AT_ONCE = 512


@dataclass(frozen=True, slots=True)
class Proof:
    """What the file holds; bags are rows of the clubs' numbers."""

    digest: str
    clubs: tuple[str, ...]
    wish: Wish
    best: int
    strokes: float
    near: Mapping[int, float]
    tree: Any

    @property
    def whole(self) -> bool:
        """Whether no node is open: else the file keeps a search that was stopped."""
        return not any(isinstance(leaf, dict) and OPEN in leaf for leaf in _leaves(self.tree))

    def plain(self) -> dict[str, Any]:
        """Everything as JSON has it."""
        near = [[bits(bag), strokes] for bag, strokes in sorted(self.near.items(), key=lambda one: one[1])]
        return {
            "kind": KIND, "version": VERSION, "problem": self.digest, "clubs": list(self.clubs),
            "wish": self.wish.plain(), "best": bits(self.best), "strokes": self.strokes, "near": near,
            "tree": self.tree,
        }  # fmt: skip

    def save(self, path: Path) -> Path:
        """Write the file, whole or not at all."""
        return write_whole(path, json.dumps(self.plain(), ensure_ascii=False).encode())

    @classmethod
    def load(cls, path: Path) -> Proof:
        """Read the file. Raises InputError for anything that `save` does not write."""
        try:
            if path.stat().st_size > MOST_BYTES:
                raise ValueError(f"larger than {MOST_BYTES:,} bytes")
            return cls.of(json.loads(path.read_bytes()))
        except (OSError, ValueError, KeyError, TypeError, RecursionError) as error:
            raise InputError(
                tell("{path} cannot be read as a proof: {error}.", path=path, error=str(error)[:100]),
                tell("Make it again with `bagwright pick --proof`."),
            ) from error

    @classmethod
    def of(cls, plain: Mapping[str, Any]) -> Proof:
        """The proof again from what `plain` gave. Raises ValueError, KeyError, TypeError or InputError."""
        if plain["kind"] != KIND or plain["version"] != VERSION:
            raise ValueError("another kind or version of file")
        clubs = tuple(str(name) for name in plain["clubs"])
        near = {_bag(row, len(clubs)): float(strokes) for row, strokes in plain["near"]}
        best = _bag(plain["best"], len(clubs))
        wish = Wish.of(plain["wish"])
        strokes = float(plain["strokes"])
        if not all(math.isfinite(one) for one in (strokes, *near.values())):
            raise ValueError("strokes that are no number")
        return cls(str(plain["problem"]), clubs, wish, best, strokes, near, plain["tree"])


def _bag(row: Sequence[Any], n: int) -> int:
    if not all(isinstance(i, int) and not isinstance(i, bool) and 0 <= i < n for i in row):
        raise ValueError("a bag names a club that is not there")
    return sum({1 << i for i in row})


def _leaves(tree: Any) -> Iterator[Any]:
    waiting = [tree]
    while waiting:
        node = waiting.pop()
        if isinstance(node, list) and len(node) == 3:
            waiting.extend(node[1:])
        else:
            yield node


@dataclass(frozen=True, slots=True)
class Verified:
    """What the check of a proof found."""

    holds: bool
    leaves: int
    evaluations: int
    faults: tuple[str, ...]
    """What is wrong, the first few; empty where the proof holds."""
    lowest: float
    """Least strokes that the tree leaves possible for a bag that is not listed."""
    open: int = 0
    """Parts that are not closed yet: a search that was stopped, right so far where there are no faults."""


@dataclass(slots=True)
class _Check:
    """One number to check: the bags it needs, and what it claims."""

    left: int
    claim: float
    base: int
    rows: tuple[int, ...] = ()
    must: int = 0


def verify(
    proof: Proof,
    digest: str,
    source: Strokes,
    progress: Callable[[int, int], None] = lambda done, of: None,
) -> Verified:
    """Check a proof against the problem of this digest, whose strokes by hole `source` works out.

    The tree is walked from the root with the wish alone, so no part of the bags can be left out; every
    number is worked out again.
    """
    if proof.digest != digest:
        return Verified(False, 0, 0, (tell("The proof is of another problem: the digests differ."),), -np.inf)
    limits = limits_of(proof.wish, proof.clubs)
    checks, opened, faults = _walk(proof.tree, limits, proof.clubs)
    leaves = len(checks)
    known = Known(source)
    _work_out(known, [*proof.near, proof.best, *opened], checks, progress)
    most = proof.strokes + proof.wish.within
    faults = [*faults, *_near_faults(proof, limits, known)]
    lowest = min(known.strokes(opened), default=np.inf)
    for one in checks:
        floor = _worth(one, known)
        if one.claim > floor + EXACT:
            faults.append(
                tell("A bound of {claim:.5f} strokes is {floor:.5f}.", claim=one.claim, floor=floor)
            )
        elif one.left in proof.near and limits.allows(one.left):
            continue
        elif min(one.claim, floor) <= most:
            faults.append(tell("Bags from {floor:.5f} strokes are left open.", floor=min(one.claim, floor)))
        lowest = min(lowest, floor)
    holds = not faults and not opened
    return Verified(holds, leaves, known.count, tuple(faults[:MOST_SAID]), float(lowest), len(opened))


def left_out(proof: Proof) -> list[str]:
    """What is wrong with a proof's bags, none worked out: left out of the tree, or not allowed."""
    limits = limits_of(proof.wish, proof.clubs)
    _, _, faults = _walk(proof.tree, limits, proof.clubs)
    if not all(limits.allows(bag) for bag in (proof.best, *proof.near)):
        faults.append(tell("The best bag is not one that was asked for."))
    return faults


def _near_faults(proof: Proof, limits: Limits, known: Known) -> Iterator[str]:
    strokes = known.strokes([proof.best])[0]
    if not limits.allows(proof.best) or proof.best not in proof.near:
        yield tell("The best bag is not one that was asked for.")
    if abs(strokes - proof.strokes) > EXACT:
        yield tell(
            "The best bag costs {found:.5f} strokes, not {said:.5f}.", found=strokes, said=proof.strokes
        )
    for bag, said in proof.near.items():
        found = known.strokes([bag])[0]
        if not limits.allows(bag) or abs(found - said) > EXACT or found < proof.strokes - EXACT:
            yield tell("A listed bag costs {found:.5f} strokes, not {said:.5f}.", found=found, said=said)


def _worth(one: _Check, known: Known) -> float:
    if not one.rows:
        return float(known.holes(one.base).sum())
    rows = np.array([known.holes(bag) for bag in one.rows])
    return proven(known.holes(one.base), rows, one.must)


def _work_out(
    known: Known, first: Sequence[int], checks: Sequence[_Check], progress: Callable[[int, int], None]
) -> None:
    wanted = list(dict.fromkeys([*first, *(bag for one in checks for bag in (one.base, *one.rows))]))
    for k in range(0, len(wanted), AT_ONCE):
        known.need(wanted[k : k + AT_ONCE])
        progress(min(k + AT_ONCE, len(wanted)), len(wanted))


def _walk(tree: Any, limits: Limits, clubs: Sequence[str]) -> tuple[list[_Check], list[int], list[str]]:
    """Every number of the tree with the bags it stands for, what is left to open parts, and what is wrong."""
    checks: list[_Check] = []
    opened: list[int] = []
    faults: list[str] = []
    waiting = [(tree, limits.pinned, 0, 0, 0)]
    while waiting:
        node, inside, outside, parent, club = waiting.pop()
        left = limits.left(inside, outside)
        if left is None:
            if node is not None:
                faults.append(tell("The tree goes on where the limits leave no bag."))
        elif isinstance(node, list) and len(node) == 3 and _is_free(node[0], left & ~inside):
            bit = 1 << node[0]
            waiting.append((node[2], inside | bit, outside, left, 0))
            waiting.append((node[1], inside, outside | bit, left, bit))
        elif _is_open(node):
            opened.append(left)
        else:
            found = _check_of(node, inside, left, parent, club, limits)
            if found is None:
                names = [clubs[i] for i in bits(left)]
                faults.append(tell("Bags are left out: {clubs}.", clubs=join(", ", names)))
            else:
                checks.append(found)
    return checks, opened, faults


def _is_number(value: Any) -> bool:
    return isinstance(value, float | int) and not isinstance(value, bool) and math.isfinite(value)


def _is_open(node: Any) -> bool:
    """Whether a node keeps what a search goes on with: bound, floor and guess, each a number or none."""
    if not isinstance(node, dict) or set(node) != {OPEN}:
        return False
    kept = node[OPEN]
    return isinstance(kept, list) and len(kept) == 3 and all(one is None or _is_number(one) for one in kept)


def _is_free(club: Any, free: int) -> bool:
    return isinstance(club, int) and not isinstance(club, bool) and club >= 0 and bool(free >> club & 1)


def _check_of(node: Any, inside: int, left: int, parent: int, club: int, limits: Limits) -> _Check | None:
    """What a leaf claims; None where it is none."""
    if _is_number(node):
        return _Check(left, float(node), left)
    if not isinstance(node, dict) or len(node) != 1:
        return None
    ((how, claim),) = node.items()
    if not _is_number(claim):
        return None
    base = left if how == BELOW else parent & ~club if how == BESIDE and club else 0
    if not base:
        return None
    rows = tuple(base & ~(1 << i) for i in bits(base & ~inside))
    return _Check(left, float(claim), base, rows, base.bit_count() - limits.slots)
