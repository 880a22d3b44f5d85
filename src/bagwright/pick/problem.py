"""The stated finite problem: spots of the holes, what each club can do from each, and where that leads.

Values are counted from those with all clubs. With V(s) the fewest strokes from a spot when every club is
there, an option o (a club, a swing, an aim) costs

    cost(o) = Q(s, o) - V(s) >= 0,      Q(s, o) = strokes with o now and all clubs ever after,

and a bag S makes a spot dearer by

    D(s) = min over the options o of S at s of  cost(o) + sum over next spots t of chance(o, t) D(t).

That is the shortest path problem itself, its values shifted by V (potential-based shaping: Ng, Harada and
Russell 1999; it leaves every policy's rank as it is). What is read between the spots of the small grid is
then D, which is small and smooth, and no longer V, which is neither: a bag's strokes are V(tee) + D(tee). A
shot that is played again after stroke and distance has its chances over 1 - P(out), the sum of the geometric
series.
"""

from __future__ import annotations

import hashlib
import json
from dataclasses import dataclass, fields
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from bagwright.errors import InputError
from bagwright.strokes.patterns import Shot
from bagwright.words import tell

Ints = NDArray[np.int64]
Small = NDArray[np.int32]
Singles = NDArray[np.float32]
Floats = NDArray[np.float64]

FALLBACK = -1
"""Club of the option that every bag has."""
MOST_CLUBS = 62
"""A bag is the bits of one integer."""


@dataclass(frozen=True, slots=True)
class Round:
    """One course, tee and wind with its share of the rounds that are played."""

    name: str
    weight: float


@dataclass(frozen=True, slots=True, eq=False)
class Problem:
    """All holes of all rounds in one set of arrays; h holes, n spots, m options, k entries.

    `clubs` and `shots` as in the pattern table, without the putter. `hole_round` (h,) is the number of the
    hole's round, `hole_number` (h,) its number on the card, `hole_weight` (h,) the weight of its round.
    Spots of hole i are `first_spot[i]` .. `first_spot[i + 1]`, near to far; `tee` (h,) is the one that a
    round begins with and `tee_strokes` (h,) its strokes with all clubs. `spot_x_m`, `spot_y_m` (n,) lie in
    the hole's frame, `spot_lie` (n,), `spot_strokes` (n,) strokes with all clubs.
    Options of spot s are `first_option[s]` .. `first_option[s + 1]`, the cheapest first; `club` (m,) -1 is
    the fallback that every bag has, the last of its spot; `shot` (m,) and `aim_rad` (m,) say what is
    played, `cost` (m,) strokes. Entries of option o are `first_entry[o]` .. `first_entry[o + 1]`: `next`
    (k,) spot and `chance` (k,).
    """

    clubs: tuple[str, ...]
    shots: tuple[Shot, ...]
    rounds: tuple[Round, ...]
    hole_round: Ints
    hole_number: Ints
    hole_weight: Floats
    first_spot: Ints
    tee: Ints
    tee_strokes: Floats
    spot_x_m: Singles
    spot_y_m: Singles
    spot_lie: Small
    spot_strokes: Singles
    first_option: Ints
    club: Small
    shot: Small
    aim_rad: Singles
    cost: Singles
    first_entry: Ints
    next: Small
    chance: Singles

    def __post_init__(self) -> None:
        """Refuse arrays that do not fit together: a kernel would read beyond them."""
        check(self)

    @property
    def n(self) -> int:
        """How many clubs."""
        return len(self.clubs)

    @property
    def everything(self) -> float:
        """Strokes a weighted round with all clubs."""
        return float(self.hole_weight @ self.tee_strokes)

    @property
    def whole(self) -> int:
        """The bag that holds every club."""
        return (1 << self.n) - 1

    def bag(self, names: tuple[str, ...] | list[str]) -> int:
        """The bag of these clubs; InputError where one is not of the problem."""
        strange = sorted(set(names) - set(self.clubs))
        if strange:
            raise InputError(
                tell("There is no such club to choose from: {names}.", names=", ".join(strange)),
                tell("Choose from: {names}.", names=", ".join(self.clubs)),
            )
        return sum(1 << self.clubs.index(name) for name in set(names))

    def names(self, bag: int) -> tuple[str, ...]:
        """The clubs of a bag, in their order."""
        return tuple(name for i, name in enumerate(self.clubs) if bag >> i & 1)

    def arrays(self) -> dict[str, NDArray[Any]]:
        """All arrays by name."""
        found = {field.name: getattr(self, field.name) for field in fields(self)}
        return {name: value for name, value in found.items() if isinstance(value, np.ndarray)}

    def words(self) -> str:
        """Clubs, shots and rounds as JSON."""
        shots = [[shot.club, shot.swing, shot.length_m] for shot in self.shots]
        rounds = [[one.name, one.weight] for one in self.rounds]
        return json.dumps({"clubs": self.clubs, "shots": shots, "rounds": rounds}, ensure_ascii=False)

    def digest(self) -> str:
        """SHA-256 over all words and numbers: two problems with one digest are the same problem."""
        total = hashlib.sha256(self.words().encode())
        for name, value in sorted(self.arrays().items()):
            plain = np.ascontiguousarray(value)
            total.update(f"{name} {plain.dtype.str} {plain.shape}".encode())
            total.update(plain.tobytes())
        return total.hexdigest()

    def save(self, path: Path) -> None:
        """Write one .npz file."""
        with path.open("wb") as file:
            np.savez_compressed(file, allow_pickle=False, words=np.array(self.words()), **self.arrays())

    @classmethod
    def load(cls, path: Path) -> Problem:
        """Read what `save` wrote; InputError for anything else."""
        names = [field.name for field in fields(cls)][3:]
        try:
            with np.load(path, allow_pickle=False) as file:
                words = json.loads(str(file["words"]))
                arrays = {name: file[name] for name in names}
            clubs, shots = tuple(words["clubs"]), tuple(Shot(*one) for one in words["shots"])
            rounds = tuple(Round(*one) for one in words["rounds"])
            return cls(clubs, shots, rounds, **arrays)
        except (OSError, ValueError, KeyError, TypeError) as error:
            raise InputError(
                tell(
                    "{path} cannot be read as a saved problem: {error}",
                    path=str(path),
                    error=str(error)[:200],
                ),
                tell("Build the problem anew."),
            ) from error


_KINDS: dict[str, Any] = {
    "hole_round": np.int64, "hole_number": np.int64, "hole_weight": np.float64, "first_spot": np.int64,
    "tee": np.int64, "tee_strokes": np.float64, "spot_x_m": np.float32, "spot_y_m": np.float32,
    "spot_lie": np.int32, "spot_strokes": np.float32, "first_option": np.int64, "club": np.int32,
    "shot": np.int32, "aim_rad": np.float32, "cost": np.float32, "first_entry": np.int64, "next": np.int32,
    "chance": np.float32,
}  # fmt: skip


def check(p: Problem) -> None:
    """Raise ValueError where arrays do not fit together or a number cannot be."""
    for name, kind in _KINDS.items():
        value = getattr(p, name)
        if value.dtype != kind or value.ndim != 1 or not value.flags.c_contiguous:
            raise ValueError(f"{name} must be a plain row of {np.dtype(kind).name}, not {value.dtype}")
    if not 0 < p.n <= MOST_CLUBS or len(set(p.clubs)) != p.n:
        raise ValueError(f"a problem has 1 to {MOST_CLUBS} different clubs, not {p.n}")
    h, n, m = len(p.tee), len(p.spot_x_m), len(p.club)
    _same(p, h, ("hole_round", "hole_number", "hole_weight", "tee", "tee_strokes"))
    _same(p, n, ("spot_x_m", "spot_y_m", "spot_lie", "spot_strokes"))
    _same(p, m, ("club", "shot", "aim_rad", "cost"))
    _same(p, len(p.chance), ("next",))
    for name, rows, last in (("first_spot", h, n), ("first_option", n, m), ("first_entry", m, len(p.next))):
        ends = getattr(p, name)
        if len(ends) != rows + 1 or ends[0] != 0 or ends[-1] != last or bool((np.diff(ends) < 0).any()):
            raise ValueError(f"{name} does not lead from 0 to {last} in {rows} steps")
    within = (
        ("hole_round", p.hole_round, len(p.rounds)), ("tee", p.tee, n), ("next", p.next, n),
        ("shot", p.shot + 1, len(p.shots) + 1), ("club", p.club + 1, p.n + 1),
    )  # fmt: skip
    for name, value, high in within:
        if len(value) and (int(value.min()) < 0 or int(value.max()) >= high):
            raise ValueError(f"{name} points outside")
    for name in ("cost", "chance", "tee_strokes", "hole_weight"):
        value = getattr(p, name)
        if not bool(np.isfinite(value).all()) or bool((value < 0).any()):
            raise ValueError(f"{name} holds a number below 0 or none at all")
    if not bool((p.club[p.first_option[1:] - 1] == FALLBACK).all()):
        raise ValueError("the last option of every spot must be the fallback")


def _same(p: Problem, count: int, names: tuple[str, ...]) -> None:
    for name in names:
        if len(getattr(p, name)) != count:
            raise ValueError(f"{name} has {len(getattr(p, name))} numbers, but must have {count}")
