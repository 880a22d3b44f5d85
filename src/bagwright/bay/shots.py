"""Shots of a visit: entered once, changed with the old value kept, taken back, never deleted."""

from __future__ import annotations

import math
import re
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from django.core.exceptions import ValidationError
from django.db import transaction
from django.db.models import F
from django.utils import timezone
from django.utils.translation import gettext as _

from bagwright.bay import following
from bagwright.bay.errors import ChangedMeanwhileError
from bagwright.bay.figurewords import figure_words
from bagwright.bay.live import changed
from bagwright.bay.writing import in_turn
from bagwright.errors import InputError
from bagwright.shots.record import CHANGES, MEASURES, MISHITS, SWINGS
from bagwright.store.models import Account, Change, Club, ShotRecord, Visit
from bagwright.units import System
from bagwright.words import tell

_KEY = re.compile(r"[A-Za-z0-9_.:-]{8,64}\Z")
_KEPT = (*MEASURES, "club_id", "swing", "setting", "lie", "change", "note", "mark", "mark_reason",
         "mark_author", "carry_at_least")  # fmt: skip
_SAME = (*MEASURES, "club_id", "swing", "carry_at_least")


@dataclass(frozen=True, slots=True)
class Entry:
    """A shot as it was entered: figures in SI, words of the core. `key` is made where it was entered."""

    key: str
    club_id: int
    values: Mapping[str, float]
    swing: str = "stock"
    mark: str = ""
    reason: str = ""
    note: str = ""
    change: str = ""
    lie: str = ""
    carry_at_least: bool = False
    source: str = "typed"


@dataclass(frozen=True, slots=True)
class Added:
    """The stored shot, and whether it is new or had been sent before."""

    shot: ShotRecord
    new: bool


@in_turn
@transaction.atomic
def add_shot(visit: Visit, account: Account | None, entry: Entry) -> Added:
    """Store one shot; the same key again is the same shot and changes nothing.

    Shots are numbered as they arrive, whatever any clock says. Raises InputError for a club that is not this
    player's, figures no golf shot has, or a key that was used for another shot.
    """
    visit = Visit.objects.select_for_update().get(pk=visit.pk)
    club = _checked(visit, entry)
    there = visit.shots.filter(client_key=entry.key).first()
    if there is not None:
        _refuse_other(there, entry)
        return Added(there, new=False)
    warm = following.next_ball(visit)
    warm_up = warm is not None and warm.warm_up and warm.club_id == club.pk and not entry.mark
    shot = ShotRecord(
        visit=visit,
        number=visit.shot_count + 1,
        client_key=entry.key,
        club=club,
        swing=entry.swing,
        mark="warm-up" if warm_up else entry.mark,
        mark_reason=entry.reason[:200],
        mark_author="professional" if entry.mark or warm_up else "",
        note=entry.note[:2000],
        change=entry.change,
        lie=entry.lie[:10],
        ball=visit.ball,
        carry_at_least=entry.carry_at_least,
        source=entry.source,
        **entry.values,
    )
    _validate(shot, account)
    shot.save(force_insert=True)
    Visit.objects.filter(pk=visit.pk).update(shot_count=F("shot_count") + 1, changed_at=timezone.now())
    Change.objects.create(visit=visit, made_by=account, what="shot-added", shot=shot, after=_state(shot))
    following.record_hit(visit, shot)
    changed(visit)
    return Added(shot, new=True)


def _checked(visit: Visit, entry: Entry) -> Club:
    if not _KEY.match(entry.key):
        raise InputError(
            tell('"{word}" is no key of a shot.', word=entry.key[:40]),
            tell("Use 8 to 64 letters, figures, or one of _.:-"),
        )
    if entry.swing not in SWINGS:
        raise InputError(
            tell('"{word}" is no swing.', word=entry.swing[:30]),
            tell("Use {words}.", words=", ".join(SWINGS)),
        )
    if entry.mark not in ("", "warm-up", "mishit", "bad-read"):
        raise InputError(
            tell('"{word}" is no mark.', word=entry.mark[:30]), tell("Use warm-up, mishit or bad-read.")
        )
    if entry.mark == "mishit" and entry.reason and entry.reason not in MISHITS:
        raise InputError(
            tell('"{word}" is no kind of mishit.', word=entry.reason[:30]),
            tell("Use {words}.", words=", ".join(MISHITS)),
        )
    if entry.change and entry.change not in CHANGES:
        raise InputError(
            tell('"{word}" is no change.', word=entry.change[:30]),
            tell("Use {words}.", words=", ".join(CHANGES)),
        )
    unknown = [name for name in entry.values if name not in MEASURES]
    if unknown:
        raise InputError(
            tell('"{word}" is no figure of a shot.', word=unknown[0][:30]),
            tell("Use {words}.", words=", ".join(MEASURES)),
        )
    if not entry.values and not entry.mark:
        raise InputError(_("A shot without a figure says nothing."), _("Give its carry, or mark it."))
    club = Club.objects.filter(pk=entry.club_id, player_id=visit.player_id, removed_at__isnull=True).first()
    if club is None:
        raise InputError(
            _("The club of this shot is not in the player's bag."), _("Choose the club again, then send it.")
        )
    return club


def _refuse_other(there: ShotRecord, entry: Entry) -> None:
    """A key sent again must be the same shot; later edits of it do not count as a difference."""
    first = there.changes.filter(what="shot-added").order_by("pk").first()
    stored = first.after if first is not None else _state(there)
    said = {**dict.fromkeys(MEASURES), **entry.values}
    sent = {**said, "club_id": entry.club_id, "swing": entry.swing, "carry_at_least": entry.carry_at_least}
    if any(stored.get(name) != sent.get(name) for name in _SAME):
        raise InputError(
            _("This key was used for another shot (number %(n)s).") % {"n": there.number},
            _("Every shot needs a key of its own; the one that is stored stays."),
        )


def _validate(shot: ShotRecord, account: Account | None) -> None:
    system: System = "metres" if account is not None and account.units == "metres" else "yards"
    for name in MEASURES:
        value = getattr(shot, name)
        if value is not None and not math.isfinite(value):
            raise InputError(
                _("A figure of this shot is no number (%(said)s).")
                % {"said": figure_words(name, value, system)},
                _("Correct it, or leave it out; nothing was stored."),
            )
    try:
        shot.full_clean(exclude=["visit", "club", "client_key"], validate_unique=False)
    except ValidationError as error:
        name, messages = next(iter(error.message_dict.items()))
        value = getattr(shot, name, None) if name != "__all__" else None
        said = f" ({figure_words(name, value, system)})" if name in MEASURES and value is not None else ""
        raise InputError(
            _("A figure of this shot cannot be%(said)s: %(why)s") % {"said": said, "why": messages[0]},
            _("Correct it; nothing was stored."),
        ) from error


def _state(shot: ShotRecord) -> dict[str, Any]:
    return {name: getattr(shot, name) for name in _KEPT}


@transaction.atomic
def edit_shot(account: Account | None, shot: ShotRecord, version: int, values: dict[str, Any]) -> ShotRecord:
    """Change a shot as seen in `version`; the old values are kept and can come back.

    Raises ChangedMeanwhileError when another screen was faster, InputError for what cannot be.
    """
    visit = Visit.objects.select_for_update().get(pk=shot.visit_id)
    now = ShotRecord.objects.get(pk=shot.pk)
    if now.version != version:
        raise ChangedMeanwhileError(
            _("Shot %(n)s was changed on another screen meanwhile.") % {"n": now.number},
            _("Look at it as it is now, then change it again."),
        )
    before = _state(now)
    for name, value in values.items():
        if name not in _KEPT:
            raise InputError(
                tell('"{word}" cannot be changed.', word=name[:30]),
                tell("Use {words}.", words=", ".join(_KEPT)),
            )
        setattr(now, name, value)
    if not Club.objects.filter(pk=now.club_id, player_id=visit.player_id).exists():
        raise InputError(_("The club of this shot is not in the player's bag."), _("Choose another one."))
    now.version += 1
    _validate(now, account)
    now.save()
    if before["club_id"] != now.club_id or before["swing"] != now.swing:
        following.unrecord(now)
        following.record_hit(visit, now)
    Change.objects.create(
        visit=visit, made_by=account, what="shot-edited", shot=now, before=before, after=_state(now)
    )
    changed(visit)
    return now


def mark_shot(
    account: Account | None, shot: ShotRecord, version: int, mark: str, reason: str = ""
) -> ShotRecord:
    """Mark a shot, or take its mark off ("")."""
    if mark == "mishit" and reason not in MISHITS:
        raise InputError(
            tell('"{word}" is no kind of mishit.', word=reason[:30]),
            tell("Use {words}.", words=", ".join(MISHITS)),
        )
    if mark not in ("", "warm-up", "mishit", "bad-read"):
        raise InputError(
            tell('"{word}" is no mark.', word=mark[:30]), tell("Use warm-up, mishit or bad-read.")
        )
    values = {"mark": mark, "mark_reason": reason[:200], "mark_author": "professional" if mark else ""}
    return edit_shot(account, shot, version, values)


@transaction.atomic
def remove_shot(account: Account | None, shot: ShotRecord, *, back: bool = False) -> None:
    """Take a shot out of every answer, or put it back. It stays in the visit.

    One that is out, or stands, as wanted already is no step: taking that back would bring back an undone ball.
    """
    visit = Visit.objects.select_for_update().get(pk=shot.visit_id)
    if not ShotRecord.objects.filter(pk=shot.pk, undone_at__isnull=not back).exists():
        return
    ShotRecord.objects.filter(pk=shot.pk).update(
        undone_at=None if back else timezone.now(), version=F("version") + 1
    )
    if back:
        following.record_hit(visit, shot)
    else:
        following.unrecord(shot)
    what = "shot-back" if back else "shot-removed"
    Change.objects.create(visit=visit, made_by=account, what=what, shot=shot)
    changed(visit)


_SHOT_CHANGES = ("shot-added", "shot-edited", "shot-removed", "shot-back")


@transaction.atomic
def undo(account: Account | None, visit: Visit) -> Change | None:
    """Take the last step back; None when there is none."""
    visit = Visit.objects.select_for_update().get(pk=visit.pk)
    steps = visit.changes.filter(what__in=_SHOT_CHANGES, shot__isnull=False).select_related("shot")
    step = steps.filter(undone_at__isnull=True).order_by("-pk").first()
    if step is None:
        return None
    _apply(visit, step, backwards=True)
    Change.objects.filter(pk=step.pk).update(undone_at=timezone.now())
    changed(visit)
    return step


@transaction.atomic
def redo(account: Account | None, visit: Visit) -> Change | None:
    """Do the step again that was taken back last, unless something new came after it."""
    visit = Visit.objects.select_for_update().get(pk=visit.pk)
    steps = visit.changes.filter(what__in=_SHOT_CHANGES, shot__isnull=False).select_related("shot")
    newest = steps.filter(undone_at__isnull=True).order_by("-pk").first()
    step = steps.filter(undone_at__isnull=False).order_by("undone_at", "pk").last()
    if step is None or (newest is not None and newest.pk > step.pk):
        return None
    _apply(visit, step, backwards=False)
    Change.objects.filter(pk=step.pk).update(undone_at=None)
    changed(visit)
    return step


def _apply(visit: Visit, step: Change, *, backwards: bool) -> None:
    shot = step.shot
    if shot is None:
        return
    gone = {"shot-added": backwards, "shot-removed": not backwards, "shot-back": backwards}.get(step.what)
    if gone is not None:
        shot.undone_at = timezone.now() if gone else None
    else:
        for name, value in (step.before if backwards else step.after).items():
            setattr(shot, name, value)
    shot.version += 1
    shot.save()
    following.unrecord(shot)
    if shot.undone_at is None:
        following.record_hit(visit, shot)


def last_shots(visit: Visit, n: int = 8) -> list[ShotRecord]:
    """The last shots, newest first, also those that were taken out."""
    return list(visit.shots.select_related("club").order_by("-number")[:n])
