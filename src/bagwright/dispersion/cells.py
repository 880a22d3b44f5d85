"""From a shot table to cells: one club, one swing, and which of its shots count how."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass
from datetime import date

import numpy as np

from bagwright.dispersion._kernel import Bools, Floats, Ints
from bagwright.shots.record import ShotTable
from bagwright.words import join, tell, term

Key = tuple[str, str]

CARRY_LIMIT_M = 500.0
SIDE_LIMIT_M = 300.0
MOST_BALLS = 400.0
"""Balls of a visit beyond which nobody is taken to tire further."""
_OWN_CELL_LIES = ("rough", "sand", "recovery", "green")


@dataclass(frozen=True, slots=True)
class LeftOutShot:
    """A shot that does not count, by its position in the table, and why."""

    index: int
    reason: str


@dataclass(frozen=True, slots=True)
class CellKey:
    """What makes a cell: the key shown, the build it belongs to, the plain swing, and stamped changes."""

    key: Key
    club: str
    swing: str
    changed: bool


@dataclass(frozen=True, slots=True)
class CellShots:
    """The shots of one cell; arrays of shape (n,).

    `visit` is 0 for the cell's latest visit, 1 and up for earlier ones.
    `ball` counts balls of the visit from 0, warm-up balls included; `visits` names the visits in that order.
    """

    cell: CellKey
    index: Ints
    carry_m: Floats
    offline_m: Floats
    at_least: Bools
    mishit: Bools
    visit: Ints
    ball: Floats
    visits: tuple[str, ...]

    @property
    def n(self) -> int:
        """How many shots count."""
        return len(self.index)


@dataclass(frozen=True, slots=True)
class Sorted:
    """A table sorted into cells, with what was left out and the visits from first to last."""

    cells: dict[Key, CellShots]
    left_out: tuple[LeftOutShot, ...]
    visits: tuple[str, ...]


def ball_key(club: str, ball: str) -> str:
    """Give the name under which one club stands in the keys when the ball is the candidate."""
    return (
        tell("{club} with {ball}", club=club, ball=ball)
        if ball
        else tell("{club} with unnamed ball", club=club)
    )


def sort_shots(table: ShotTable, clubs: Collection[str] | None = None, by_ball: bool = False) -> Sorted:
    """Group a table's shots into cells.

    Shots from rough, sand and recovery, and shots after a stamped change, are cells of their own. Warm-up
    balls and bad reads are left out (their balls still count for the drift); a mishit that somebody marked
    is a known label; a mishit that only the model suggested is left for the model to weigh again.
    """
    visits = visit_order(table.text("visit"))
    carry, side = table.measure("carry_m"), table.measure("offline_m")
    names = _cell_names(table, by_ball)
    left_out: list[LeftOutShot] = []
    members: dict[Key, list[int]] = {}
    cells: dict[Key, CellKey] = {}
    for i, name in enumerate(names):
        reason = _why_left_out(table, i, name.club, (float(carry[i]), float(side[i])), clubs)
        if reason is not None:
            left_out.append(LeftOutShot(i, reason))
            continue
        members.setdefault(name.key, []).append(i)
        cells.setdefault(name.key, name)
    rank = {visit: k for k, visit in enumerate(visits)}
    sorted_cells = {key: _cell_shots(table, cells[key], members[key], rank) for key in members}
    return Sorted(sorted_cells, tuple(left_out), visits)


def visit_order(names: Collection[str]) -> tuple[str, ...]:
    """List the visits from first to last: by date where all names are ISO dates, else as they come."""
    seen = tuple(dict.fromkeys(names))
    try:
        return tuple(sorted(seen, key=date.fromisoformat))
    except ValueError:
        return seen


def _cell_names(table: ShotTable, by_ball: bool) -> list[CellKey]:
    """Name every shot's cell. A stamped change holds for its club from that ball to the end of the visit."""
    clubs, swings, lies = table.text("club"), table.text("swing"), table.text("lie")
    changes, visits, balls = table.text("change"), table.text("visit"), table.text("ball")
    stamped: dict[tuple[str, str], list[str]] = {}
    names: list[CellKey | None] = [None] * table.n
    for i in np.argsort(table.order, kind="stable"):
        now = stamped.setdefault((visits[i], clubs[i]), [])
        if changes[i] and changes[i] not in now:
            now.append(changes[i])
        swing = swings[i] or "stock"
        if lies[i] in _OWN_CELL_LIES:
            swing = (
                tell("from {lies}", lies=term(lies[i]))
                if swing == "stock"
                else tell("{swing} from {lies}", swing=term(swing), lies=term(lies[i]))
            )
        shown = tell("{swing} after {now}", swing=swing, now=join(", ", now)) if now else swing
        club = ball_key(clubs[i], balls[i]) if by_ball else clubs[i]
        names[i] = CellKey((club, shown), clubs[i], swing, bool(now))
    return [name for name in names if name is not None]


def _why_left_out(
    table: ShotTable, i: int, club: str, at: tuple[float, float], clubs: Collection[str] | None
) -> str | None:
    carry, side = at
    if not club:
        return tell("no club named")
    if clubs is not None and club not in clubs:
        return tell("club not asked for")
    mark = table.marks.get(i)
    if mark is not None and mark.kind in ("warm-up", "bad-read"):
        return tell(
            "{kind}{reason} (marked by {author})",
            kind=tell("bad reading") if mark.kind == "bad-read" else term(mark.kind),
            reason=": " + mark.reason if mark.reason else "",
            author=term(mark.author),
        )
    if np.isinf(carry) or np.isinf(side):
        return tell("carry or side is infinite")
    if carry < 0.0 or carry > CARRY_LIMIT_M:
        return tell(
            "carry of {carry:.1f} m is outside 0 to {carry_limit_m:.0f} m",
            carry=carry,
            carry_limit_m=CARRY_LIMIT_M,
        )
    if abs(side) > SIDE_LIMIT_M:
        return tell(
            "side of {side:.1f} m is beyond {side_limit_m:.0f} m", side=side, side_limit_m=SIDE_LIMIT_M
        )
    if np.isnan(carry) and np.isnan(side) and not _known_mishit(table, i):
        return tell("neither carry nor side was measured, and it is not marked as a mishit")
    return None


def _known_mishit(table: ShotTable, i: int) -> bool:
    mark = table.marks.get(i)
    return mark is not None and mark.kind == "mishit" and mark.author != "model"


def _cell_shots(table: ShotTable, cell: CellKey, members: list[int], rank: dict[str, int]) -> CellShots:
    visits = table.text("visit")
    latest_first = sorted({visits[i] for i in members}, key=lambda visit: -rank[visit])
    place = {visit: k for k, visit in enumerate(latest_first)}
    index = np.array(members, dtype=np.int64)
    index = index[np.argsort(table.order[index], kind="stable")]
    carry = table.measure("carry_m")[index]
    at_least = np.zeros(len(index), dtype=np.bool_)
    if table.carry_at_least is not None:
        at_least = table.carry_at_least[index] & np.isfinite(carry)
    return CellShots(
        cell,
        index,
        carry,
        table.measure("offline_m")[index],
        at_least,
        np.array([_known_mishit(table, int(i)) for i in index], dtype=np.bool_),
        np.array([place[visits[i]] for i in index], dtype=np.int64),
        np.clip(table.order[index].astype(np.float64) - 1.0, 0.0, MOST_BALLS),
        tuple(latest_first),
    )
