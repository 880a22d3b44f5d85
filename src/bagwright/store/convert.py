"""From rows of the database to the core's records, and back. Same names, same units: nothing is computed."""

from __future__ import annotations

import datetime
from collections.abc import Collection, Iterable, Mapping
from dataclasses import fields
from typing import TYPE_CHECKING, Any, Protocol

from bagwright.air import Air, air
from bagwright.bag.club import Bag, Build, Player
from bagwright.bag.club import Club as CoreClub
from bagwright.bag.names import clean_text
from bagwright.shots.record import MEASURES, Conditions, Mark, Shot, ShotTable

if TYPE_CHECKING:
    from bagwright.store.models import Club, RackClub, Visit
    from bagwright.store.models import Player as PlayerRow

_BUILD = tuple(field.name for field in fields(Build))
_CLUB = tuple(
    field.name
    for field in fields(CoreClub)
    if field.name not in ("build", "use", "also", "proposed", "status")
)
_SHOT = ("number", "swing", "setting", "ball", "lie", "note", "change", "mark", "mark_reason", "mark_author",
         "carry_at_least", *MEASURES)  # fmt: skip
_PLAYER_TEXTS = ("injury", "ball", "goals", "divot", "turf", "sand", "sex")
_PLAYER_FIGURES = ("handicap", "driver_speed_mps", "height_m", "wrist_to_floor_m")


def core_player(row: PlayerRow, today: datetime.date | None = None) -> Player:
    """The player as the core knows one; age from the year of birth, None where that is not known."""
    texts = {name: getattr(row, name) or None for name in _PLAYER_TEXTS}
    figures = {name: getattr(row, name) for name in _PLAYER_FIGURES}
    return Player(
        name=row.name,
        hand=row.hand,  # type: ignore[arg-type]
        age=age_of(row, today),
        pain=row.pain,
        club_limit=row.club_limit,
        currency=row.currency,
        **texts,
        **figures,
    )


def age_of(row: PlayerRow, today: datetime.date | None = None) -> float | None:
    """Age in years at the end of this year's birthday, never negative; None where no year is known."""
    if row.born_in is None:
        return None
    return float(max(0, (today or datetime.date.today()).year - row.born_in))


def core_club(row: Club | RackClub, status: str | None = None) -> CoreClub:
    """One build as the core knows it; "" becomes None."""
    values: dict[str, Any] = {name: _none(getattr(row, name)) for name in _CLUB}
    values["build"] = Build(**{name: _none(getattr(row, name)) for name in _BUILD})
    values["status"] = status or getattr(row, "status", "candidate")
    values["use"] = tuple(row.use)
    values["also"] = tuple(row.also)
    values["proposed"] = tuple((p[0], p[1], p[2]) for p in getattr(row, "proposed", []))
    return CoreClub(**values)


def club_values(club: CoreClub) -> dict[str, Any]:
    """The fields of a `Club` or `RackClub` row from the core's club, without its status."""
    values: dict[str, Any] = {name: getattr(club, name) for name in _CLUB}
    values |= {name: getattr(club.build, name) for name in _BUILD}
    texts = _text_fields()
    plain = {name: ("" if value is None and name in texts else value) for name, value in values.items()}
    return plain | {"use": list(club.use), "also": list(club.also)}


def _text_fields() -> frozenset[str]:
    from django.db.models import CharField, TextField

    from bagwright.store.models import RackClub

    return frozenset(f.name for f in RackClub._meta.fields if isinstance(f, CharField | TextField))


def _none(value: Any) -> Any:
    return None if value == "" else value


def core_bag(player: PlayerRow, clubs: Iterable[Club] | None = None) -> Bag:
    """A player's bag: every build that was not taken out, in order."""
    rows = clubs if clubs is not None else player.clubs.filter(removed_at__isnull=True)
    return Bag(player=core_player(player), clubs=tuple(core_club(row) for row in rows))


def visit_name(visit: Visit) -> str:
    """How a visit is called inside a shot table: its date and number, so that later ones sort later."""
    return f"{visit.started_at:%Y-%m-%d} #{visit.pk}"


class ShotRow(Protocol):
    """A row of shots, whole or only what the core asks of it."""

    number: int
    swing: str
    setting: str
    ball: str
    lie: str
    note: str
    change: str
    mark: str
    mark_reason: str
    mark_author: str
    carry_at_least: bool


def core_shot(row: ShotRow, club_name: str, visit: str) -> Shot:
    """One shot as the core knows it."""
    mark = None
    if row.mark:
        mark = Mark(row.mark, row.mark_reason, row.mark_author or "professional")  # type: ignore[arg-type]
    return Shot(
        club=club_name,
        order=row.number,
        swing=row.swing,
        setting=row.setting,
        ball=row.ball,
        lie=row.lie,
        note=row.note,
        change=row.change,
        visit=visit,
        mark=mark,
        carry_at_least=row.carry_at_least,
        source_row=row.number,
        **{name: getattr(row, name) for name in MEASURES},
    )


def core_table(visits: Iterable[Visit]) -> ShotTable:
    """All shots of some visits that were not taken back, visit by visit in time, ball by ball in order."""
    ordered = sorted(visits, key=lambda v: (v.started_at, v.pk))
    names = club_names({visit.player_id for visit in ordered})
    shots: list[Shot] = []
    for visit in ordered:
        name = visit_name(visit)
        # Bare columns: hundreds of whole rows with their clubs took a fifth of the board's time after a ball.
        kept = visit.shots.filter(undone_at__isnull=True).order_by("number")
        rows = kept.values_list("club_id", *_SHOT, named=True)
        shots += [core_shot(row, names[row.club_id], name) for row in rows]
    return ShotTable.of(shots)


def club_names(players: Collection[int]) -> dict[int, str]:
    """What every club of some players is called, by its key, no two of one player alike.

    One that was taken out, and whose name another club has now, is a "50 wedge (taken out)": the core knows
    clubs by their names only, and the balls of the one would count for the other.
    """
    from bagwright.store.models import Club

    rows = Club.objects.filter(player__in=players).values_list("pk", "player_id", "name", "removed_at")
    there = {(player, clean_text(name)) for _pk, player, name, removed in rows if removed is None}
    found = {}
    for pk, player, name, removed in sorted(rows):
        n, found[pk] = 1, name
        if removed is None:
            continue
        while (player, clean_text(found[pk])) in there:
            found[pk] = f"{name[:170]} (taken out{f' {n}' if n > 1 else ''})"
            n += 1
        there.add((player, clean_text(found[pk])))
    return found


def core_conditions(visits: Iterable[Visit]) -> Mapping[str, Conditions]:
    """Where and how each visit's shots were hit, by the visit's name in the table."""
    return {visit_name(visit): conditions_of(visit) for visit in visits}


def conditions_of(visit: Visit) -> Conditions:
    """One visit's conditions in the core's words; what was not said stays ""."""
    return Conditions(
        visit=visit_name(visit),
        date=f"{visit.started_at:%Y-%m-%d}",
        place=visit.place,
        surface=visit.surface,
        ball=visit.ball,
        air=air_words(visit),
        adjusted=visit.adjusted,  # type: ignore[arg-type]
        spin=visit.spin,  # type: ignore[arg-type]
        aligned=visit.aligned,  # type: ignore[arg-type]
        grade=visit.device_grade,  # type: ignore[arg-type]
    )


def air_of(visit: Visit) -> Air | None:
    """The visit's air from what was said of it; None where nothing was.

    A pressure measured at the place goes before an altitude, which would fix it otherwise.
    """
    said = {name: getattr(visit, name) for name in ("temperature_k", "pressure_pa", "humidity")}
    stated = {name: value for name, value in said.items() if value is not None}
    if visit.pressure_pa is None and visit.altitude_m is not None:
        stated["altitude_m"] = visit.altitude_m
    return air(**stated) if stated else None


def air_words(visit: Visit) -> str:
    """The visit's air in the words that a shot table uses, such as "12 C, 1.223 kg/m3"; "" if not said.

    The density carries altitude, pressure and humidity together, so that nothing of them is lost.
    """
    found = air_of(visit)
    if found is None:
        return ""
    temperature = "" if visit.temperature_k is None else f"{visit.temperature_k - 273.15:.1f} C, "
    return f"{temperature}{found.density_kg_m3:.4f} kg/m3"
