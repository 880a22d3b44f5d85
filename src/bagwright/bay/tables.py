"""A shot table joins a visit: uploaded, or watched in a folder of this machine."""

from __future__ import annotations

import hashlib
import tempfile
import time
from dataclasses import dataclass
from pathlib import Path

from django.db import transaction
from django.db.models import F
from django.utils import timezone
from django.utils.translation import gettext as _

from bagwright.bay.joining import join_table
from bagwright.bay.live import changed
from bagwright.errors import InputError, ReadError
from bagwright.plain import plain
from bagwright.shots.answers import Answers
from bagwright.shots.read import read_shots
from bagwright.shots.result import Question, ReadResult, Rejected
from bagwright.store.convert import core_bag
from bagwright.store.models import Account, Change, Import, Visit

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


def take_table(visit: Visit, label: str, content: bytes, answers: dict[str, str] | None = None) -> Taken:
    """Read a table and let its new rows join the visit, once however often it is sent.

    Nothing joins while a question is open that changes the answer; the answers given are kept with the
    import. Raises ReadError for what cannot be read at all.
    """
    shown = clean_label(label)
    suffix = Path(shown).suffix.lower()
    if suffix not in SUFFIXES:
        raise ReadError(
            _('"%(name)s" is no shot table by its name.') % {"name": shown[:60]},
            _("Use a file that ends in %(suffixes)s.") % {"suffixes": ", ".join(SUFFIXES)},
        )
    given = {**_earlier_answers(visit), **_said(visit), **(answers or {})}
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / f"table{suffix}"
        path.write_bytes(content)
        result = read_shots(path, bag=core_bag(visit.player), answers=Answers(given))
    if result.open_questions:
        return Taken(
            shown, result.rows_read, 0, 0, result.rejected, len(result.left_out), result.open_questions, ()
        )
    _refuse_without_carry(result)
    return _stored(visit, shown, content, given, result)


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
    """Take every ball of one table out of the answers, or put them back; returns how many."""
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
    return n


def _stored(visit: Visit, shown: str, content: bytes, given: dict[str, str], result: ReadResult) -> Taken:
    account = {
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
        joined = join_table(visit, result.table, made)
        made.joined = joined.joined
        made.save(update_fields=["joined"])
    return Taken(
        shown,
        result.rows_read,
        joined.joined,
        joined.known,
        result.rejected,
        len(result.left_out),
        (),
        joined.new_clubs,
    )


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
    found = []
    for path in files[-50:]:
        changed_at = path.stat().st_mtime
        settled = time.time() - changed_at >= SETTLED_S
        if not settled or path.stat().st_size > MOST_BYTES or changed_at < visit.started_at.timestamp():
            continue
        content = path.read_bytes()
        if hashlib.sha256(content).hexdigest() not in known:
            found.append(take_table(visit, path.name, content))
    return found


MOST_BYTES = 64 * 1024 * 1024
SETTLED_S = 1.0
"""A file that changed within this time may still be in writing: it is taken the next time."""
