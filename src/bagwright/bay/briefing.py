"""The brief of a visit's slot, and who takes part in its trial."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import pairwise
from typing import TYPE_CHECKING, Any

from django.conf import settings
from django.db import transaction
from django.db.models import F
from django.utils import timezone, translation
from django.utils.translation import gettext as _

from bagwright.bag.club import Bag
from bagwright.bay import bags, planning, visits
from bagwright.bay.live import changed
from bagwright.bay.planning import MOST
from bagwright.bay.rack import can_be_hit, missing_for
from bagwright.errors import InputError
from bagwright.plain import plain
from bagwright.store.convert import core_bag, core_club, core_table
from bagwright.store.models import Account, Candidate, Club, RackClub, Visit
from bagwright.trial.brief import Brief, RankedBuild, write_brief
from bagwright.trial.slot import MOST as MOST_RANKED
from bagwright.trial.slot import present_club
from bagwright.units import System

if TYPE_CHECKING:
    from bagwright.dispersion.fit import Dispersions

_FAR_DEG = 99.0


@dataclass(frozen=True, slots=True)
class Ranked:
    """One build that may take part: `value` names it in the form, `held` is what the brief says of it."""

    value: str
    name: str
    held: RankedBuild | None
    takes_part: bool
    present: bool
    worth: bool
    rack: bool = False
    place: str = ""
    hit_here: bool = False


@dataclass(frozen=True, slots=True)
class Briefed:
    """The brief with its builds, or why there is none yet; `more` demo clubs were too far off to be ranked."""

    brief: Brief | None
    builds: tuple[Ranked, ...]
    why_not: str
    more: int = 0
    lacking: str = ""
    """That the rack has no club of this kind that the player could hit, in words; "" where it has one."""


MOVED_M = 1.5
"""A spot that moved by less, as today's balls moved the means a little, is no other spot (judgement)."""


@dataclass(frozen=True, slots=True)
class Gap:
    """A place between two carried clubs next to each other in the bag."""

    longer: Club
    shorter: Club

    @property
    def value(self) -> str:
        """How a form names it."""
        return f"gap-{self.longer.pk}-{self.shorter.pk}"

    @property
    def words(self) -> str:
        """How it is called."""
        told = {"longer": self.longer.name[:80], "shorter": self.shorter.name[:80]}
        return _("between %(longer)s and %(shorter)s") % told

    def is_called(self, words: str) -> bool:
        """True where somebody has called it so, in whichever language that was."""
        for code, _name in settings.LANGUAGES:
            with translation.override(code):
                if self.words[:200] == words:
                    return True
        return False


@dataclass(frozen=True, slots=True)
class _Pool:
    """Builds that may be ranked: own ones, then demo clubs under names that no club of the bag has."""

    clubs: tuple[Club, ...]
    rack: dict[str, RackClub]
    more: int


def carried(visit: Visit) -> list[Club]:
    """The clubs in the bag from long to short; the putter is chosen another way."""
    clubs = visit.player.clubs.filter(removed_at__isnull=True, status="carried").exclude(kind="putter")
    return sorted(clubs, key=lambda club: (_loft(club), club.position))


def gaps(visit: Visit) -> list[Gap]:
    """The places between neighbours in the bag."""
    clubs = [club for club in carried(visit) if core_club(club).loft_deg is not None]
    return [Gap(longer, shorter) for longer, shorter in pairwise(clubs)]


def gap_of(visit: Visit) -> Gap | None:
    """The gap that this visit's slot is, None where a club is in it or nothing was said."""
    if visit.slot_id is not None or not visit.slot_words:
        return None
    return next((gap for gap in gaps(visit) if gap.is_called(visit.slot_words)), None)


def _loft(club: Club | RackClub) -> float:
    loft = core_club(club).loft_deg
    return _FAR_DEG if loft is None else loft


def brief_of(visit: Visit, system: System, ticked: Sequence[str] | None = None) -> Briefed:
    """What the slot must do, from the bag and the shots before this visit, and who might do it.

    Builds of the player and demo clubs for the player's hand are ranked by their chance of doing it. `ticked`
    are the builds as chosen in a form that was not stored.
    """
    pool = _pool(visit)
    rivals = [club for club in pool.clubs if club.pk != visit.slot_id]
    if not rivals and not pool.rack:
        why = _("No build is there to try. Add candidates to the bag, or demo clubs to the rack.")
        return Briefed(None, _ranked(visit, pool, None, ticked), why, lacking=_lacking(visit))
    names = [*(club.name for club in pool.clubs), *pool.rack]
    try:
        brief = _write(visit, names, pool, system)
    except InputError as error:
        return Briefed(None, _ranked(visit, pool, None, ticked), str(error), pool.more)
    return Briefed(brief, _ranked(visit, pool, brief, ticked), "", pool.more, _lacking(visit))


def _lacking(visit: Visit) -> str:
    """That no club of the slot's kind on the rack can be hit by this player, in words; "" where one can."""
    kind = visit.slot.kind if visit.slot is not None else ""
    return missing_for(visit.player, kind) if kind else ""


def _write(visit: Visit, names: Sequence[str], pool: _Pool, system: System) -> Brief:
    bag = _with_rack(core_bag(visit.player), pool)
    fits = _fits(visit, bag)
    spot = spot_of(visit, bag, fits)
    side = visit.width_m / 2.0 if visit.width_m is not None else None
    return write_brief(names, bag, fits, spot_m=spot, side_tolerance_m=side, system=system)


def spot_of(visit: Visit, bag: Bag, fits: Dispersions) -> float | None:
    """The carry that the slot is for: as said, else the middle of the gap that it is; None leaves it to the bag."""
    gap = gap_of(visit)
    if visit.spot_m is not None or gap is None:
        return visit.spot_m
    return _middle(gap, bag, fits)


def spot_moved(visit: Visit, spot_m: float) -> float | None:
    """The spot that the kept brief had, where the one of now lies elsewhere; None where it stayed, or none was kept."""
    kept = (visit.brief or {}).get("spot_m")
    return float(kept) if kept is not None and abs(float(kept) - spot_m) >= MOVED_M else None


def _middle(gap: Gap, bag: Bag, fits: Dispersions) -> float | None:
    from bagwright.trial.place import stock_carry

    ends = [bag.find(club.name) for club in (gap.longer, gap.shorter)]
    carries = [stock_carry(club, fits)[0].value for club in ends if club is not None]
    return sum(carries) / 2.0 if len(carries) == 2 else None


def _with_rack(bag: Bag, pool: _Pool) -> Bag:
    rack = [replace(core_club(club, "candidate"), name=name) for name, club in pool.rack.items()]
    return replace(bag, clubs=(*bag.clubs, *rack))


def _fits(visit: Visit, bag: Bag) -> Dispersions:
    """From the shots before this visit: a brief is written before the first ball."""
    from bagwright.dispersion.fit import fit_dispersion

    earlier = visit.player.visits.filter(started_at__lt=visit.started_at).exclude(pk=visit.pk)
    return fit_dispersion(core_table(earlier), bag.player, bag)


def _pool(visit: Visit) -> _Pool:
    """The club in the slot, who takes part, the player's candidates, and demo clubs near in loft.

    At most as many as can be ranked; the nearest in loft go first.
    """
    inside = {candidate.club_id for candidate in planning.taking_part(visit)}
    clubs = [club for club in visit.player.clubs.filter(removed_at__isnull=True) if club.kind != "putter"]
    slot = next((club for club in clubs if club.pk == visit.slot_id), None)
    near = _nearness(visit, slot)
    found = [club for club in clubs if club is slot or club.pk in inside]
    others = [
        club for club in clubs if club.status == "candidate" and club not in found and near(club) is not None
    ]
    found += sorted(others, key=lambda club: near(club) or 0.0)
    found.sort(key=lambda club: club is not slot)
    own = found[:MOST_RANKED]
    rack, more = _rack_near(visit, near, MOST_RANKED - len(own))
    return _Pool(tuple(own), rack, more + len(found) - len(own))


def _nearness(visit: Visit, slot: Club | None) -> Any:
    """How far in loft a build is from the slot, None for a kind that is not meant for it."""
    gap = gap_of(visit)
    ends = [slot] if slot is not None else ([gap.longer, gap.shorter] if gap is not None else [])
    kinds: set[str] = {club.kind for club in ends}
    if kinds & {"wood", "hybrid"} or kinds == {"iron", "hybrid"}:
        kinds |= {"wood", "hybrid", "iron"}
    if kinds & {"iron", "wedge"}:
        kinds |= {"iron", "wedge"}
    middle = sum(_loft(club) for club in ends) / len(ends) if ends else None

    def near(club: Club | RackClub) -> float | None:
        if kinds and club.kind not in kinds:
            return None
        return 0.0 if middle is None else abs(_loft(club) - middle)

    return near


def _rack_near(visit: Visit, near: Any, room: int) -> tuple[dict[str, RackClub], int]:
    rack, _others = bags.on_the_rack(visit.player)
    builds = visit.player.clubs.filter(removed_at__isnull=True)
    copied = {club.rack_id for club in builds}
    names = {club.name for club in builds}
    free = [
        c
        for c in rack
        if can_be_hit(c, visit.player) and c.pk not in copied and c.kind != "putter" and near(c) is not None
    ]
    free.sort(key=lambda club: (near(club), club.name, club.pk))
    found: dict[str, RackClub] = {}
    for club in free[: max(0, room)]:
        name = club.name if club.name not in names else f"{club.name[:180]} #{club.pk}"
        names.add(name)
        found[name] = club
    return found, len(free) - len(found)


def _ranked(
    visit: Visit, pool: _Pool, brief: Brief | None, ticked: Sequence[str] | None = None
) -> tuple[Ranked, ...]:
    inside = {candidate.club_id for candidate in planning.taking_part(visit)}
    hit = set(visit.shots.filter(undone_at__isnull=True).values_list("club_id", flat=True))
    told = {one.club: one for one in (*brief.candidates, *brief.not_worth_hitting)} if brief else {}
    worth = {one.club for one in brief.candidates} if brief else set()
    rows = []
    for club in pool.clubs:
        is_present = club.pk == visit.slot_id or (brief is not None and brief.present == club.name)
        takes = club.pk in inside or (not inside and club.name in worth and brief is not None)
        rows.append(
            Ranked(
                str(club.pk), club.name, told.get(club.name), takes, is_present, not brief or club.name in worth,
                hit_here=club.pk in hit,
            )
        )  # fmt: skip
    for name, rack in pool.rack.items():
        held = told.get(name)
        value = f"rack-{rack.pk}"
        rows.append(Ranked(value, name, held, False, False, not brief or name in worth, True, rack.place))
    if ticked is not None:
        rows = [replace(row, takes_part=row.value in ticked) for row in rows]
    rows.sort(key=lambda row: (not row.present, -(row.held.probability if row.held else 0.0)))
    return tuple(_first(rows) if ticked is None and not inside else rows)


def _first(rows: list[Ranked]) -> list[Ranked]:
    """Of more than can take part, those with the best chance are ticked."""
    left = MOST
    kept = []
    for row in rows:
        takes = (row.takes_part or row.present) and left > 0
        left -= takes
        kept.append(replace(row, takes_part=takes))
    return kept


@transaction.atomic
def set_slot(visit: Visit, values: dict[str, Any], version: int) -> None:
    """Say what the slot is and how to decide.

    `where` is a carried club, a `Gap`, or None for a place that is free; `measure` "" is what is usual for
    it: carry for a driver, the expected miss otherwise.
    """
    stored = dict(values)
    place = stored.pop("where")
    slot = place if isinstance(place, Club) else None
    words = (
        place.name if isinstance(place, Club) else (place.words if place is not None else _("a free place"))
    )
    measure = stored.pop("measure") or usual_measure(slot)
    stored |= {"slot": slot, "slot_words": words[:200], "measure": measure}
    visits.describe(visit, stored, version)
    visit.candidates.update(present=False)
    visit.candidates.filter(club=slot).update(present=True)


def usual_measure(slot: Club | None) -> str:
    """By what a slot is usually decided (common practice): a driver's by carry."""
    return "carry" if slot is not None and slot.kind == "driver" else "miss"


@transaction.atomic
def choose(account: Account, visit: Visit, values: Sequence[str]) -> list[str]:
    """Let these builds take part, the club in the slot with them; demo clubs become the player's candidates.

    In mid-visit the order follows: newcomers are let in, balls of those who leave are skipped. Gives what
    that costs, in sentences. Raises InputError for fewer than two or more than six.
    """
    visit = Visit.objects.select_for_update().get(pk=visit.pk)
    chosen = _clubs(account, visit, values)
    if not 2 <= len(chosen) <= MOST:
        raise InputError(
            _("%(n)s builds were chosen.") % {"n": len(chosen)},
            _("A trial has two to six; the club now in the slot is one of them."),
        )
    said: list[str] = []
    for candidate in planning.taking_part(visit):
        if candidate.club not in chosen:
            said.append(planning.let_go(account, visit, candidate.club))
    inside = {candidate.club_id for candidate in planning.taking_part(visit)}
    for club in chosen:
        if club.pk not in inside:
            said += planning.join(account, visit, club)
    for place, club in enumerate(chosen):
        Candidate.objects.filter(visit=visit, club=club).update(
            position=place, present=place == 0 and _is_in(visit, club)
        )
    briefed = brief_of(visit, "metres")
    written = plain(briefed.brief) if briefed.brief else {}
    Visit.objects.filter(pk=visit.pk).update(
        brief={**written, "written_at": timezone.now().isoformat()}, version=F("version") + 1
    )
    changed(visit)
    return [text for text in said if text]


def _is_in(visit: Visit, club: Club) -> bool:
    """True for the club in the slot, and for the carried one that a free place has by its loft or number."""
    return club.pk == visit.slot_id if visit.slot_id is not None else club.status == "carried"


def _clubs(account: Account, visit: Visit, values: Sequence[str]) -> list[Club]:
    """The builds that a form names, the one in the slot first."""
    numbers = [int(text) for text in values if text.isascii() and text.isdecimal() and len(text) < 16]
    if visit.slot_id is not None:
        numbers.insert(0, visit.slot_id)
    there = {club.pk: club for club in visit.player.clubs.filter(pk__in=numbers, removed_at__isnull=True)}
    found = [there[key] for key in dict.fromkeys(numbers) if key in there]
    keys = [text.removeprefix("rack-") for text in values if text.startswith("rack-")]
    for key in dict.fromkeys(keys):
        rack = (
            RackClub.objects.filter(pk=int(key), retired_at__isnull=True).first() if key.isdecimal() else None
        )
        if rack is not None and len(found) <= MOST:
            found.append(bags.take_from_rack(account, visit.player, rack))
    present = present_club([club.name for club in found], core_bag(visit.player))
    if present is not None and visit.slot_id is None:
        own = visit.player.clubs.get(name=present.name, removed_at__isnull=True)
        found = [own, *(club for club in found if club.pk != own.pk)]
    return found
