"""The form of a pick: which rounds count how much, and what the bag must be."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, TypeVar, cast

from django.http import HttpRequest
from django.utils.translation import gettext as _

from bagwright.bay import playing
from bagwright.bay.pick_inputs import PickAsked, Scene
from bagwright.errors import InputError
from bagwright.store.models import Club, Player
from bagwright.units import parse_quantity
from bagwright.web.views.player_courses import EIGHTH, wind_unit, winds
from bagwright.words import join

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping

Value = TypeVar("Value")

PAIRS = 3
"""Pairs of clubs of which at most one is carried."""


@dataclass(frozen=True, slots=True)
class PlayRow:
    """One course and tee of the player, as the form has it."""

    key: str
    course: str
    tee: str
    calm: str
    """Share of rounds in calm air."""
    wind: str
    came: str
    windy: str
    """Share of rounds in the wind."""
    winds: list[tuple[str, str]]


@dataclass(frozen=True, slots=True)
class ClubRow:
    """One club to choose from, as the form has it."""

    key: str
    name: str
    carried: bool
    pinned: bool
    reason: str


def form_of(player: Player, typed: Mapping[str, str]) -> dict[str, Any]:
    """What the form shows: what was typed, else what is usual for the player."""
    clubs = clubs_of(player)
    return {
        "plays": [_play_row(one, typed) for one in playing.played_by(player)],
        "clubs": [
            ClubRow(
                str(club.pk), club.name, club.status == "carried", bool(typed.get(f"pin{club.pk}")),
                typed.get(f"why{club.pk}", "")[:120],
            )
            for club in clubs
        ],
        "pairs": [(k, typed.get(f"a{k}", ""), typed.get(f"b{k}", "")) for k in range(PAIRS)],
        "slots": typed.get("slots", str(player.club_limit)),
        "budget": typed.get("budget", ""),
        "changes": typed.get("changes", ""),
        "currency": player.currency,
    }  # fmt: skip


def _play_row(one: playing.Play, typed: Mapping[str, str]) -> PlayRow:
    key = str(one.played.pk)
    return PlayRow(
        key, one.played.course.name, one.played.tee, typed.get(f"calm{key}", f"{one.played.weight:g}"),
        typed.get(f"wind{key}", ""), typed.get(f"from{key}", "0"), typed.get(f"windy{key}", ""),
        winds(one.played.course),
    )  # fmt: skip


def clubs_of(player: Player) -> list[Club]:
    """Clubs to choose from: carried and candidates, without putters."""
    rows = player.clubs.filter(removed_at__isnull=True, status__in=("carried", "candidate"))
    return [club for club in rows if club.kind != "putter"]


class _Wrong:
    """Everything of the form that cannot be read, so that it is told at once."""

    def __init__(self) -> None:
        self._found: list[InputError] = []

    def read(self, reader: Callable[..., Value], *words: Any) -> Value | None:
        """What the reader gives; None where it raises an InputError, which is kept."""
        try:
            return reader(*words)
        except InputError as error:
            self._found.append(error)
            return None

    def tell(self) -> None:
        """Raise one InputError for all that were kept; each sentence once."""
        if self._found:
            messages = dict.fromkeys(one.message for one in self._found)
            steps = dict.fromkeys(one.next_step for one in self._found)
            raise InputError(join(" ", messages), join(" ", steps))


def asked_by(request: HttpRequest, player: Player) -> PickAsked:
    """What the form asks for. Raises one InputError for everything that cannot be read."""
    typed, wrong = request.POST, _Wrong()
    scenes = [wrong.read(_scenes, request, one) for one in playing.played_by(player)]
    names = {str(club.pk): club.name for club in clubs_of(player)}
    pins = [
        (name, wrong.read(_reason, typed.get(f"why{key}", ""), name))
        for key, name in names.items()
        if f"pin{key}" in typed
    ]
    pairs = [
        wrong.read(_pair, names, typed.get(f"a{k}", ""), typed.get(f"b{k}", ""))
        for k in range(PAIRS)
        if typed.get(f"a{k}") or typed.get(f"b{k}")
    ]
    slots = wrong.read(_slots, typed.get("slots", ""))
    budget = wrong.read(_share, typed.get("budget", ""))
    changes = wrong.read(_whole, typed.get("changes", ""), 0, 14)
    if None not in scenes:
        wrong.read(_some, scenes)
    wrong.tell()
    return PickAsked(
        player, tuple(scene for found in scenes if found for scene in found), cast("int", slots),
        tuple((name, why) for name, why in pins if why), tuple(pair for pair in pairs if pair), budget, changes,
    )  # fmt: skip


def _some(scenes: list[list[Scene] | None]) -> None:
    if not any(scenes):
        raise InputError(
            _("No course counts for this bag."), _("Give at least one course a share of the rounds.")
        )


def _slots(text: str) -> int:
    slots = _whole(text, 1, 14)
    if slots is None:
        raise InputError(_("It was not said how many clubs may be carried."), _("Give 1 to 14."))
    return slots


def _scenes(request: HttpRequest, one: playing.Play) -> list[Scene]:
    typed, key = request.POST, one.played.pk
    calm, windy = _share(typed.get(f"calm{key}", "")), _share(typed.get(f"windy{key}", ""))
    found = []
    if calm:
        found.append(Scene(one.played.course_id, one.played.tee, calm))
    if windy:
        text, eighth = typed.get(f"wind{key}", "").strip()[:40], typed.get(f"from{key}", "0")
        if not text or eighth not in {str(k) for k in range(8)}:
            raise InputError(
                _("Rounds in wind were asked for, but not in which wind."),
                _("Give its speed and where it comes from, or empty their share."),
            )
        speed = parse_quantity(text, "speed", wind_unit(request.system))  # type: ignore[attr-defined]
        found.append(Scene(one.played.course_id, one.played.tee, windy, speed, int(eighth) * EIGHTH))
    return found


def _share(text: str) -> float | None:
    """A number of at least 0, None for an empty field. Raises InputError for others."""
    text = text.strip()[:20].replace(",", ".")
    if not text:
        return None
    try:
        value = float(text)
    except ValueError:
        value = math.nan
    if not (math.isfinite(value) and 0.0 <= value <= 1e9):
        raise InputError(
            _('"%(text)s" is no number here.') % {"text": text}, _("Give a number of at least 0.")
        )
    return value


def _whole(text: str, low: int, high: int) -> int | None:
    """A whole number between the two, None for an empty field. Raises InputError for others."""
    text = text.strip()
    if not text:
        return None
    if not (text.isascii() and text.isdecimal() and len(text) < 4 and low <= int(text) <= high):
        raise InputError(
            _('"%(text)s" clubs cannot be.') % {"text": text[:20]},
            _("Give %(low)s to %(high)s.") % {"low": low, "high": high},
        )
    return int(text)


def _reason(text: str, name: str) -> str:
    if not text.strip():
        raise InputError(
            _("%(name)s is carried in any case, but nobody said why.") % {"name": name[:60]},
            _("Write the reason beside it: what it costs is worked out."),
        )
    return text.strip()[:120]


def _pair(names: Mapping[str, str], a: str, b: str) -> tuple[str, str]:
    if a not in names or b not in names or a == b:
        raise InputError(_("Two clubs make a pair."), _("Choose two different ones, or none."))
    return names[a], names[b]
