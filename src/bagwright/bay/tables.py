"""A shot table joins a visit: uploaded, or watched in a folder of this machine."""

from __future__ import annotations

import hashlib
import tempfile
import time
from dataclasses import dataclass
from pathlib import Path

from django.db import transaction
from django.db.models import Exists, F, OuterRef, QuerySet
from django.utils import timezone
from django.utils.translation import gettext as _

from bagwright.bay import clubnames
from bagwright.bay.bags import remove_club
from bagwright.bay.clubnames import NameAsked
from bagwright.bay.joining import join_table
from bagwright.bay.live import changed
from bagwright.bay.planning import taking_part
from bagwright.errors import BagwrightError, InputError, ReadError
from bagwright.plain import plain
from bagwright.shots.answers import Answers
from bagwright.shots.read import read_shots
from bagwright.shots.result import Question, ReadResult, Rejected
from bagwright.store.convert import core_bag
from bagwright.store.models import Account, Change, Club, Import, ShotRecord, Visit, WaitingTable

SUFFIXES = (".csv", ".tsv", ".txt", ".xlsx", ".xls", ".ods")


@dataclass(frozen=True, slots=True)
class Taken:
    """What became of a table: rows read, new and known shots, rejected rows, and questions that are open."""

    label: str
    rows_read: int
    joined: int
    known: int
    rejected: tuple[Rejected, ...]
    left_out: int
    questions: tuple[Question, ...]
    new_clubs: tuple[str, ...]
    asked: tuple[NameAsked, ...] = ()
    """Names that are no club of the bag: their rows wait, all others have joined."""
    by_name: tuple[tuple[str, int], ...] = ()
    """Names whose rows were left out because somebody said so, and how many rows that are."""
    waiting: int | None = None
    """The kept table that the answers are for."""
    trouble: BagwrightError | None = None
    """Why it could not be read; nothing of it joined."""


def take_table(visit: Visit, label: str, content: bytes, answers: dict[str, str] | None = None) -> Taken:
    """Read a table and let its new rows join the visit, once however often it is sent.

    Nothing joins while a question is open that changes the answer. Rows of a name that is no club of the bag
    wait until somebody says which club it is; all others join. A table of which something is asked is kept
    whole, the answers with the import. Raises ReadError for what cannot be read at all.
    """
    shown = clean_label(label)
    suffix = Path(shown).suffix.lower()
    if suffix not in SUFFIXES:
        raise ReadError(
            _('"%(name)s" is no shot table by its name.') % {"name": shown[:60]},
            _("Use a file that ends in %(suffixes)s.") % {"suffixes": ", ".join(SUFFIXES)},
        )
    given = {**_earlier_answers(visit), **_said(visit), **clubnames.checked(visit, answers or {})}
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / f"table{suffix}"
        path.write_bytes(content)
        result = read_shots(
            path, bag=core_bag(visit.player), answers=Answers(given, clubs=clubnames.mapped(visit, given))
        )
    if result.open_questions:
        return Taken(
            shown, result.rows_read, 0, 0, result.rejected, len(result.left_out), result.open_questions, (),
            waiting=_keep(visit, shown, content),
        )  # fmt: skip
    _refuse_without_carry(result)
    return _stored(visit, shown, content, given, result)


def _keep(visit: Visit, label: str, content: bytes) -> int:
    """Keep a table of which something is asked; a later one of the same name takes its place."""
    values = {"content": content, "sha256": hashlib.sha256(content).hexdigest()}
    kept, _new = WaitingTable.objects.update_or_create(visit=visit, label=label, defaults=values)
    return kept.pk


def take_again(visit: Visit, waiting_id: int, answers: dict[str, str]) -> Taken:
    """Take a kept table with more answers. Raises InputError where it waits no longer."""
    kept = visit.waiting_tables.filter(pk=waiting_id).first()
    if kept is None:
        raise InputError(
            _("This table does not wait any more: it was answered or let go on another screen."),
            _("Look at the tables so far; send the file again where it is missing."),
        )
    return take_table(visit, kept.label, bytes(kept.content), answers)


def let_go(visit: Visit, waiting_id: int) -> None:
    """Ask no more about a kept table: what has joined of it stays, the rest is left out."""
    visit.waiting_tables.filter(pk=waiting_id).delete()


def _refuse_without_carry(result: ReadResult) -> None:
    """Raise ReadError for a table in which no column was read as a carry: its balls would say nothing."""
    if result.accepted == 0 or "carry_m" in {use.name for use in result.columns}:
        return
    unread = [use.header for use in result.columns if not use.name and use.header.strip()]
    raise ReadError(
        _("No column of this table was read as a carry; left out: %(names)s.")
        % {"names": ", ".join(name[:30] for name in unread[:8]) or "-"},
        _('Name the column "Carry yd" or "Carry m", then send it again. Nothing joined.'),
    )


@transaction.atomic
def take_out(account: Account | None, visit: Visit, import_id: int, *, back: bool = False) -> int:
    """Take every ball of one table out of the answers, or put them back; returns how many.

    Clubs that came with the table and were taken out of the bag since come back with its balls.
    """
    shots = visit.shots.filter(imported_id=import_id, undone_at__isnull=not back)
    n = shots.update(undone_at=None if back else timezone.now(), version=F("version") + 1)
    if n:
        Change.objects.create(
            visit=visit,
            made_by=account,
            what="table-back" if back else "table-removed",
            after={"import": import_id},
        )
        changed(visit)
    if back and account is not None:
        for club in _came_with(visit, visit.imports.filter(pk=import_id)).filter(removed_at__isnull=False):
            remove_club(account, club, back=True)
    return n


def left_behind(visit: Visit) -> list[Club]:
    """Candidates that came with a table of this visit whose balls are all out, and that no ball was hit with."""
    there = ShotRecord.objects.filter(undone_at__isnull=True)
    gone = visit.imports.filter(~Exists(there.filter(imported=OuterRef("pk"))))
    clubs = _came_with(visit, gone).filter(status="candidate", removed_at__isnull=True)
    inside = {one.club_id for one in taking_part(visit)}
    return [
        club for club in clubs.filter(~Exists(there.filter(club=OuterRef("pk")))) if club.pk not in inside
    ]


def _came_with(visit: Visit, imports: QuerySet[Import]) -> QuerySet[Club]:
    names = {name for one in imports for name in one.account.get("new_clubs", ())}
    return visit.player.clubs.filter(name__in=names).distinct()


@transaction.atomic
def take_club_out(account: Account, visit: Visit, club_id: int) -> Club:
    """Take one of these candidates out of the bag. Raises InputError for any other club."""
    club = next((one for one in left_behind(visit) if one.pk == club_id), None)
    if club is None:
        raise InputError(_("This club has balls, or is in use."), _("Look at the bag as it is now."))
    remove_club(account, club)
    return club


def _stored(visit: Visit, shown: str, content: bytes, given: dict[str, str], result: ReadResult) -> Taken:
    names = clubnames.sorted_out(visit, result.table, given)
    kinds = {name: kind for name in result.unknown_clubs if (kind := clubnames.new_kind(given, name))}
    account = {
        "names_left_out": dict(names.left_out),
        "names_asked": {one.name: one.n for one in names.asked},
        "rejected": plain(result.rejected[:200]),
        "left_out": plain(result.left_out[:200]),
        "columns": plain(result.columns),
    }
    with transaction.atomic():
        made = Import.objects.create(
            visit=visit,
            label=shown,
            sha256=hashlib.sha256(content).hexdigest(),
            rows_read=result.rows_read,
            accepted=result.accepted,
            account=account,
            answers=given,
        )
        joined = join_table(visit, names.joins, made, kinds)
        made.joined, made.account = joined.joined, {**account, "new_clubs": list(joined.new_clubs)}
        made.save(update_fields=["joined", "account"])
        if not joined.joined:
            _as_before(made)
        kept = _keep(visit, shown, content) if names.asked else None
        if kept is None:
            visit.waiting_tables.filter(label=shown).delete()
    return Taken(
        shown,
        result.rows_read,
        joined.joined,
        joined.known,
        result.rejected,
        len(result.left_out),
        (),
        joined.new_clubs,
        names.asked,
        names.left_out,
        kept,
    )


def _as_before(made: Import) -> None:
    """The same bytes again, with nothing new in them, are no other table: what is known of it now is kept there."""
    before = made.visit.imports.filter(sha256=made.sha256).exclude(pk=made.pk).order_by("-pk").first()
    if before is not None:
        before.account, before.answers = made.account, made.answers
        before.save(update_fields=["account", "answers"])
        made.delete()


def _earlier_answers(visit: Visit) -> dict[str, str]:
    """What was answered for earlier tables of this visit serves the next one."""
    found: dict[str, str] = {}
    for answers in visit.imports.order_by("pk").values_list("answers", flat=True):
        found |= answers
    return found


def _said(visit: Visit) -> dict[str, str]:
    """What intake says already need not be asked."""
    said = {"figures": visit.adjusted, "spin": visit.spin}
    return {key: value for key, value in said.items() if value}


def clean_label(label: str) -> str:
    """A file's name as a label: no folders, no control or direction characters, at most 120 characters."""
    name = label.replace("\\", "/").rsplit("/", 1)[-1]
    plain_name = "".join(
        c for c in name if c.isprintable() and c not in "\u202a\u202b\u202d\u202e\u2066\u2067\u2068"
    )
    if len(plain_name) > 120:
        stem, dot, suffix = plain_name.rpartition(".")
        plain_name = f"{stem[:100]}…{dot}{suffix[:10]}"
    return plain_name.strip() or "table"


def watch(visit: Visit, folder: str) -> None:
    """Watch a folder of this machine for shot tables; "" ends it. Raises InputError for none."""
    if folder:
        path = Path(folder).expanduser()
        if not path.is_absolute() or not path.is_dir():
            raise InputError(
                _('"%(folder)s" is no folder of this machine.') % {"folder": folder[:100]},
                _("Give its whole path, such as /home/bay/shots."),
            )
        folder = str(path)
    Visit.objects.filter(pk=visit.pk).update(watched_folder=folder)


def look(visit: Visit) -> list[Taken]:
    """Take what is new in the watched folder: tables whose bytes have not joined yet, oldest first."""
    if not visit.watched_folder:
        return []
    folder = Path(visit.watched_folder)
    try:
        files = sorted(
            (
                p
                for p in folder.iterdir()
                if p.suffix.lower() in SUFFIXES and p.is_file() and not p.is_symlink()
            ),
            key=lambda p: p.stat().st_mtime,
        )
    except OSError as error:
        raise InputError(
            _("The watched folder %(folder)s cannot be read (%(why)s).")
            % {"folder": visit.watched_folder, "why": error.strerror},
            _("Choose another folder, or upload the table."),
        ) from error
    known = set(visit.imports.values_list("sha256", flat=True))
    known |= set(visit.waiting_tables.values_list("sha256", flat=True))
    found = []
    for path in files[-50:]:
        changed_at = path.stat().st_mtime
        settled = time.time() - changed_at >= SETTLED_S
        if not settled or path.stat().st_size > MOST_BYTES or changed_at < visit.started_at.timestamp():
            continue
        content = path.read_bytes()
        if hashlib.sha256(content).hexdigest() not in known:
            found.append(_taken(visit, path.name, content))
    return found


def _taken(visit: Visit, label: str, content: bytes) -> Taken:
    """Take one table of the folder; one that cannot be read says so and holds the others up no more."""
    try:
        return take_table(visit, label, content)
    except (InputError, ReadError) as error:
        return Taken(clean_label(label), 0, 0, 0, (), 0, (), (), trouble=error)


MOST_BYTES = 64 * 1024 * 1024
SETTLED_S = 1.0
"""A file that changed within this time may still be in writing: it is taken the next time."""
