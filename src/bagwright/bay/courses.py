"""Courses of the house: taken in as they were given, corrected by overlays that can be undone."""

from __future__ import annotations

import hashlib
from dataclasses import dataclass
from functools import lru_cache

from django.db import transaction
from django.utils import timezone
from django.utils.translation import gettext as _

from bagwright.bay import audit
from bagwright.bay.errors import ChangedMeanwhileError
from bagwright.course.hole import Course
from bagwright.course.load import load_course
from bagwright.course.raster import Raster
from bagwright.course.rasterise import raster_of
from bagwright.errors import InputError
from bagwright.shots.texts import clean
from bagwright.store.models import Account, CourseFile, CourseOverlay

MOST_BYTES = 8 * 1024 * 1024
"""A course's file on the app; a map of one course is some hundred kilobytes."""
MOST_HEIGHTS_BYTES = 32 * 1024 * 1024
"""A file of heights on the app; a tile of one degree with a height every second of arc has 26 MB."""
MOST_OVERLAY = 1_000_000
"""Characters of a course's corrections."""


def listed(*, archived: bool = False) -> list[CourseFile]:
    """The house's courses by name, without their bytes."""
    rows = CourseFile.objects.filter(archived_at__isnull=not archived)
    return list(rows.defer("source", "heights"))


@transaction.atomic
def take_in(account: Account | None, name: str, file_name: str, content: bytes) -> CourseFile:
    """Keep a map or card as it was given; one that is there already is given back (from the shelf, if there).

    Raises InputError where it cannot be read as a course.
    """
    if len(content) > MOST_BYTES:
        raise InputError(
            _("%(name)s has %(size)s MB; a course's file may have %(most)s.")
            % {
                "name": clean(file_name, 80),
                "size": len(content) // 1_000_000,
                "most": MOST_BYTES // 1_048_576,
            },
            _("Save only this course's area from the map."),
        )
    course = load_course(content, name=file_name)
    sha256 = hashlib.sha256(content).hexdigest()
    there = CourseFile.objects.filter(sha256=sha256).first()
    if there is not None:
        if there.archived_at is not None:
            archive(account, there, back=True)
        return there
    shown = clean(name, 200) or clean(course.name, 200) or clean(file_name, 200)
    kept = CourseFile.objects.create(
        made_by=account, name=shown, file_name=clean(file_name, 200), source=content, sha256=sha256
    )
    audit.note(account, None, "course added", str(kept.pk))
    return kept


def standing_overlay(kept: CourseFile) -> CourseOverlay | None:
    """The newest corrections that were not undone."""
    return kept.overlays.filter(undone_at__isnull=True).first()


@dataclass(frozen=True, slots=True)
class Understood:
    """A course as it is understood now: its file, with the corrections that stand. Hashed by what it rests on."""

    course_id: int
    sha256: str
    overlay: str
    seen: int | None
    """The overlay that stands, by number; None without one."""
    heights: str = ""
    """Hash of the file of heights; "" without one."""

    @property
    def mark(self) -> str:
        """The same for the same course and corrections, another for others."""
        ground = f"\n{self.heights}" if self.heights else ""
        return hashlib.sha256(f"{self.sha256}\n{self.overlay}{ground}".encode()).hexdigest()

    @property
    def course(self) -> Course:
        """The course itself."""
        return _loaded(self)

    def raster(self, number: int, tee: str = "") -> Raster:
        """One hole. Raises InputError where it has no such hole or tee."""
        return _raster(self, number, tee)


def understood(kept: CourseFile) -> Understood:
    """The course as it is understood now."""
    overlay = standing_overlay(kept)
    text, seen = ("", None) if overlay is None else (overlay.content, overlay.pk)
    return Understood(kept.pk, kept.sha256, text, seen, kept.heights_sha256)


@lru_cache(maxsize=16)
def _loaded(known: Understood) -> Course:
    kept = CourseFile.objects.get(pk=known.course_id, sha256=known.sha256, heights_sha256=known.heights)
    return read(kept, known.overlay)


def read(kept: CourseFile, overlay: str) -> Course:
    """The course's file with an overlay's text on it, on its heights. Raises InputError where they do not fit."""
    heights = bytes(kept.heights) if kept.heights else None
    return load_course(
        bytes(kept.source), name=kept.file_name, overlay=overlay or None, heights=heights,
        heights_name=kept.heights_name,
    )  # fmt: skip


@lru_cache(maxsize=64)
def _raster(known: Understood, number: int, tee: str) -> Raster:
    return raster_of(_loaded(known), number, tee or None)


@transaction.atomic
def correct(
    account: Account | None, kept: CourseFile, content: str, said: str, seen: int | None
) -> CourseOverlay:
    """Put the whole corrections anew: `content` is the text of an overlay file.

    `seen` is the overlay that the person corrected from; another one since then is ChangedMeanwhileError.
    Raises InputError where the text does not fit the course.
    """
    locked = CourseFile.objects.select_for_update().get(pk=kept.pk)
    now = standing_overlay(locked)
    if (now.pk if now is not None else None) != seen:
        raise ChangedMeanwhileError(
            _("This course was corrected meanwhile."), _("Look at it again, then repeat the change.")
        )
    if len(content) > MOST_OVERLAY:
        raise InputError(_("These are more corrections than one course may have."), _("Take some back."))
    read(locked, content)
    made = CourseOverlay.objects.create(
        course=locked, content=content, said=clean(said, 200), made_by=account
    )
    audit.note(account, None, "course corrected", str(locked.pk))
    return made


@transaction.atomic
def give_heights(account: Account | None, kept: CourseFile, file_name: str, content: bytes) -> Course:
    """Keep a file of heights beside the map, in the place of one that is there; give the course on its ground.

    Raises InputError where it is no file of heights, or has none where the course lies; then all stays as it was.
    """
    if len(content) > MOST_HEIGHTS_BYTES:
        raise InputError(
            _("%(name)s has %(size)s MB; a file of heights may have %(most)s.")
            % {
                "name": clean(file_name, 80),
                "size": len(content) // 1_000_000,
                "most": MOST_HEIGHTS_BYTES // 1_048_576,
            },
            _("Cut it to the course's area, or take a coarser grid."),
        )
    locked = CourseFile.objects.select_for_update().get(pk=kept.pk)
    locked.heights, locked.heights_name = content, clean(file_name, 200) or "heights"
    locked.heights_sha256 = hashlib.sha256(content).hexdigest()
    overlay = standing_overlay(locked)
    course = read(locked, "" if overlay is None else overlay.content)
    locked.save(update_fields=["heights", "heights_name", "heights_sha256", "changed_at"])
    audit.note(account, None, "course heights given", str(kept.pk))
    return course


@transaction.atomic
def take_heights_away(account: Account | None, kept: CourseFile) -> str:
    """Take the file of heights away, and give its name; "" where there is none."""
    locked = CourseFile.objects.select_for_update().defer("source", "heights").get(pk=kept.pk)
    name = locked.heights_name
    if locked.heights_sha256:
        locked.heights, locked.heights_name, locked.heights_sha256 = None, "", ""
        locked.save(update_fields=["heights", "heights_name", "heights_sha256", "changed_at"])
        audit.note(account, None, "course heights taken away", str(kept.pk))
    return name


@transaction.atomic
def undo(account: Account | None, kept: CourseFile) -> CourseOverlay | None:
    """Take the last correction back; the one before stands again. None where there is none."""
    last = CourseOverlay.objects.select_for_update().filter(course=kept, undone_at__isnull=True).first()
    if last is not None:
        last.undone_at = timezone.now()
        last.save(update_fields=["undone_at"])
        audit.note(account, None, "course correction undone", str(kept.pk))
    return last


@transaction.atomic
def redo(account: Account | None, kept: CourseFile) -> CourseOverlay | None:
    """Put back what was undone last, unless something new was put since."""
    rows = CourseOverlay.objects.select_for_update().filter(course=kept)
    first = _undone(kept, rows.filter(undone_at__isnull=True).first())
    if first is not None:
        first.undone_at = None
        first.save(update_fields=["undone_at"])
        audit.note(account, None, "course correction put back", str(kept.pk))
    return first


def _undone(kept: CourseFile, standing: CourseOverlay | None) -> CourseOverlay | None:
    after = kept.overlays.filter(undone_at__isnull=False, pk__gt=standing.pk if standing is not None else 0)
    return after.order_by("pk").first()


def can_redo(kept: CourseFile) -> CourseOverlay | None:
    """The correction that would come back."""
    return _undone(kept, standing_overlay(kept))


@transaction.atomic
def archive(account: Account | None, kept: CourseFile, *, back: bool = False) -> None:
    """Put a course aside, or back. Nothing is deleted: what was worked out on it stays."""
    kept.archived_at = None if back else timezone.now()
    kept.save(update_fields=["archived_at", "changed_at"])
    audit.note(account, None, "course back" if back else "course put aside", str(kept.pk))
