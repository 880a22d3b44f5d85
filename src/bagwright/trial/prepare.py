"""Before a verdict: which shots are compared with which, so that nothing is mixed silently.

Shots with different balls, from different lies or after a stamped change are not the same trial. One
condition in which every candidate was hit is compared; the others are named.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np

from bagwright.bag.club import Bag, Player
from bagwright.errors import InputError
from bagwright.shots.record import ShotTable
from bagwright.trial import say
from bagwright.trial.order import is_blocked
from bagwright.trial.result import LeftOut
from bagwright.trial.slot import Entry, Slot, find_slot, nearest_names
from bagwright.words import join, tell, term

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from bagwright.dispersion.fit import Dispersions


@dataclass(frozen=True, slots=True)
class Prepared:
    """Shots, fits and candidates that belong together.

    `left_out` points into the table as the user gave it; `cautions` say what was not compared and why.
    """

    table: ShotTable
    fits: Dispersions
    slot: Slot
    left_out: tuple[LeftOut, ...]
    cautions: tuple[str, ...]


def prepare(
    shots: ShotTable, slot: str | Sequence[str], bag: Bag | None, fits: Dispersions | None, by_ball: bool
) -> Prepared:
    """Resolve the slot and settle what is compared; fits again where the shots have to be parted.

    Raises InputError when a named candidate was not hit, or never in the same conditions as the others.
    """
    if by_ball:
        return _balls_compared(shots, slot, bag)
    fits = fits if fits is not None else _fit(shots, bag)
    found = find_slot(slot, bag, tuple(fits))
    kept, other_balls, cautions = _one_ball(shots, found)
    table = shots
    if other_balls:
        table, fits = _subset(shots, kept), _fit(_subset(shots, kept), bag)
    entries, more = _same_conditions(found, fits)
    left_out = [LeftOut(int(kept[out.index]), out.reason) for out in fits.shots_left_out]
    return Prepared(
        table,
        fits,
        replace(found, entries=entries),
        tuple(sorted([*left_out, *other_balls], key=lambda out: out.index)),
        (*cautions, *more),
    )


def blocked_visit(prepared: Prepared) -> bool:
    """Tell from the order of the candidates' balls whether they were hit in blocks."""
    visits, orders, names = [], [], []
    column = prepared.table.text("visit")
    for entry in prepared.slot.entries:
        for i in prepared.fits[entry.key].shot_indices:
            visits.append(column[int(i)])
            orders.append(int(prepared.table.order[int(i)]))
            names.append(entry.name)
    return is_blocked(visits, orders, names)


def _fit(table: ShotTable, bag: Bag | None, by_ball: bool = False) -> Dispersions:
    from bagwright.dispersion.fit import fit_dispersion

    player: Player | None = bag.player if bag is not None else None
    return fit_dispersion(table, player, bag, split_by="ball" if by_ball else "club")


def _balls_compared(shots: ShotTable, slot: str | Sequence[str], bag: Bag | None) -> Prepared:
    """Take the balls that one build was hit with as candidates; the player's own is the present one."""
    from bagwright.dispersion.cells import ball_key

    hit = tuple((club, "stock") for club in dict.fromkeys(shots.text("club")) if club)
    clubs = find_slot(slot, None, hit).entries
    if len(clubs) != 1:
        raise InputError(
            tell("Balls are compared with one club, but {clubs} were named.", clubs=len(clubs)),
            tell("Name one club."),
        )
    fits = _fit(shots, bag, by_ball=True)
    club, swing = clubs[0].club, clubs[0].swing
    balls = list(
        dict.fromkeys(b for c, b in zip(shots.text("club"), shots.text("ball"), strict=True) if c == club)
    )
    own = bag.player.ball if bag is not None else None
    entries = tuple(
        Entry(ball_key(club, ball), club, swing, bool(ball) and ball == own, ball_key(club, ball))
        for ball in balls
        if any(key[0] == ball_key(club, ball) for key in fits)
    )
    entries, cautions = _same_conditions(Slot(club, entries, None), fits)
    left_out = tuple(LeftOut(out.index, out.reason) for out in fits.shots_left_out)
    return Prepared(shots, fits, Slot(club, entries, None), left_out, cautions)


def _one_ball(shots: ShotTable, slot: Slot) -> tuple[NDArray[np.int64], list[LeftOut], tuple[str, ...]]:
    """Keep the candidates' shots with one ball only: the one that serves all of them with the most shots."""
    clubs = {entry.club for entry in slot.entries}
    names, balls = shots.text("club"), shots.text("ball")
    everything = np.arange(shots.n, dtype=np.int64)
    hit = Counter((names[i], balls[i]) for i in range(shots.n) if names[i] in clubs)
    kinds = {ball for _, ball in hit}
    if len(kinds) < 2:
        return everything, [], ()
    took_part = {club for club, _ in hit}
    least = {ball: min(hit[club, ball] for club in took_part) for ball in kinds}
    ball = max(sorted(kinds), key=lambda b: least[b])
    if least[ball] == 0:
        raise InputError(
            tell("{listed} were not hit with the same ball.", listed=say.listed(sorted(took_part))),
            tell("Hit them with one ball, or compare the balls with one club."),
        )
    shown = ball or tell("an unnamed ball")
    other = [i for i in range(shots.n) if names[i] in clubs and balls[i] != ball]
    left = [
        LeftOut(
            i,
            tell(
                "hit with {balls}; compared is {shown}",
                balls=balls[i] or tell("an unnamed ball"),
                shown=shown,
            ),
        )
        for i in other
    ]
    kept = np.delete(everything, other)
    caution = tell(
        "Only shots with {shown} are compared; {balls} with another ball are left out.",
        shown=shown,
        balls=say.balls(len(other)),
    )
    return kept, left, (caution,)


def _same_conditions(slot: Slot, fits: Dispersions) -> tuple[tuple[Entry, ...], tuple[str, ...]]:
    """Give every candidate the key of one condition (plain, after a change) that all were hit in."""
    entries, cautions = _hit_only(slot, fits)
    found = [_conditions(entry, fits) for entry in entries]
    common = set.intersection(*(set(one) for one in found))
    if not common:
        told = join(
            "; ",
            (
                tell(
                    "{entry}: {value}",
                    entry=entry.name,
                    value=join(
                        ", ",
                        (tell("{swing}{suffix}", swing=term(entry.swing), suffix=suffix) for suffix in one),
                    ),
                )
                for entry, one in zip(entries, found, strict=True)
            ),
        )
        raise InputError(
            tell("The candidates were never hit in the same conditions ({told}).", told=told),
            tell("Hit each of them under the same conditions, or take the stamp of the change away."),
        )
    suffix = max(sorted(common), key=lambda s: (s == "", min(one[s] for one in found)))
    for entry, one in zip(entries, found, strict=True):
        others = {s.strip(): n for s, n in one.items() if s != suffix}
        if others:
            told = say.listed(
                [
                    tell("{balls} {s}", balls=say.balls(n), s=s or tell("without a stamp"))
                    for s, n in others.items()
                ]
            )
            cautions.append(
                tell("{entry}: {told} not compared, as conditions differ.", entry=entry.name, told=told)
            )
    if suffix:
        cautions.append(
            tell("Compared are shots{suffix} only: the one condition in which all were hit.", suffix=suffix)
        )
    return tuple(replace(entry, swing=entry.swing + suffix) for entry in entries), tuple(cautions)


def _hit_only(slot: Slot, fits: Dispersions) -> tuple[list[Entry], list[str]]:
    """Leave out the present club where it was not hit; any other candidate without shots is an error."""
    entries, cautions = [], []
    for entry in slot.entries:
        if _conditions(entry, fits):
            entries.append(entry)
        elif entry.present:
            cautions.append(
                tell(
                    "{entry}, now in the slot, was not hit: what a change would gain is not known. Hit "
                    "it too.",
                    entry=entry.name,
                )
            )
        elif slot.label == entry.name or entry.name in slot.label.split(", "):
            raise InputError(
                tell(
                    'There are no usable {swing} shots with "{entry}".',
                    swing=term(entry.swing),
                    entry=entry.name[:60],
                ),
                nearest_names(entry.club, sorted({club for club, _ in fits})),
            )
        else:
            cautions.append(
                tell("{entry} belongs to the slot but was not hit, so it is not judged.", entry=entry.name)
            )
    if len(entries) < 2:
        names = join(", ", (entry.name for entry in entries)) or "none"
        raise InputError(
            tell("A verdict needs two candidates with shots, but there is {names}.", names=names),
            tell("Name or hit another."),
        )
    return entries, cautions


def _conditions(entry: Entry, fits: Dispersions) -> dict[str, int]:
    """Suffix of the swing ("" for plain, " after tip", " from rough") -> shots, for one candidate."""
    cell = entry.key[0]
    found: dict[str, int] = {}
    for key in fits:
        same = key[1] == entry.swing or key[1].startswith((f"{entry.swing} from ", f"{entry.swing} after "))
        if key[0] == cell and same and fits[key].n_shots:
            found[key[1][len(entry.swing) :]] = fits[key].n_shots
    return found


def _subset(table: ShotTable, kept: NDArray[np.int64]) -> ShotTable:
    """Give the shots at these positions, as a table of their own."""
    place = {int(old): new for new, old in enumerate(kept)}
    return ShotTable(
        n=len(kept),
        order=table.order[kept],
        measures={name: column[kept] for name, column in table.measures.items()},
        texts={name: [column[int(i)] for i in kept] for name, column in table.texts.items()},
        carry_at_least=None if table.carry_at_least is None else table.carry_at_least[kept],
        marks={place[i]: mark for i, mark in table.marks.items() if i in place},
        files=table.files,
        source_file=None if table.source_file is None else table.source_file[kept],
        source_row=None if table.source_row is None else table.source_row[kept],
    )
