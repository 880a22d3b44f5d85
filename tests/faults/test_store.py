"""What happens to shots when the machine fails: killed, frozen, torn, full, and many writers at once.

A child process writes through the app's own functions and says each shot that was stored; what it said must
be there afterwards, whole, and nothing half.
"""

from __future__ import annotations

import os
import random
import resource
import shutil
import signal
import sqlite3
import subprocess
import sys
import time
from pathlib import Path

import pytest

pytestmark = pytest.mark.skipif(os.name != "posix", reason="signals and limits of this kind are POSIX")

WRITER = """
import sys
from bagwright.web.serve import start_django
start_django()
from bagwright.bay import shots
from bagwright.store.models import Visit
visit = Visit.objects.get()
club = visit.player.clubs.get()
name, n = sys.argv[1], int(sys.argv[2])
for i in range(n):
    entry = shots.Entry(f"{name}-{i:06d}", club.pk, {"carry_m": 90.0 + i % 7})
    shots.add_shot(visit, None, entry)
    print(f"{name}-{i:06d}", flush=True)
"""
SETUP = """
from bagwright.web.serve import Serving, prepare
prepare(Serving())
from django.utils import timezone
from bagwright.store.models import Club, Player, Visit
from bagwright.web.middleware.who import single_account
player = Player.objects.create(coach=single_account(), name="Robin Example", hand="right")
Club.objects.create(player=player, name="7 iron", kind="iron")
Visit.objects.create(player=player, started_at=timezone.now())
"""


def child(
    code: str, folder: Path, *words: str, limit_bytes: int | None = None, database: str = ""
) -> subprocess.Popen[str]:
    """A process of the app's own functions: on a file in the folder, or on PostgreSQL by its address."""

    def limit() -> None:
        if limit_bytes is not None:
            resource.setrlimit(resource.RLIMIT_FSIZE, (limit_bytes, limit_bytes))
            signal.signal(signal.SIGXFSZ, signal.SIG_IGN)

    environment = {
        **os.environ, "BAGWRIGHT_DATA": str(folder), "DJANGO_SETTINGS_MODULE": "bagwright.web.settings",
        "DATABASE_URL": database,
    }  # fmt: skip
    return subprocess.Popen(
        [sys.executable, "-c", code, *words], stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True,
        env=environment, preexec_fn=limit,
    )  # fmt: skip


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    done = child(SETUP, tmp_path)
    _, errors = done.communicate(timeout=60)
    assert done.returncode == 0, errors
    return tmp_path


def stored(path: Path) -> list[str]:
    """Every shot's key in order; the file is sound, and no reference hangs."""
    with sqlite3.connect(path) as base:
        assert base.execute("PRAGMA integrity_check").fetchall() == [("ok",)]
        assert base.execute("PRAGMA foreign_key_check").fetchall() == []
        rows = base.execute("SELECT client_key, number FROM store_shotrecord ORDER BY number").fetchall()
        (count,) = base.execute("SELECT shot_count FROM store_visit").fetchone()
        (steps,) = base.execute("SELECT count(*) FROM store_change").fetchone()
    base.close()
    assert [number for _, number in rows] == list(range(1, len(rows) + 1))
    assert count == len(rows), "the visit's count and its shots are of one transaction"
    assert steps == len(rows)
    return [key for key, _ in rows]


def test_a_killed_writer_leaves_every_acknowledged_shot_and_no_half_one(folder: Path) -> None:
    rng = random.Random(7)
    acknowledged: list[str] = []
    for round_number in range(5):
        writer = child(WRITER, folder, f"round{round_number}", "100000")
        assert writer.stdout is not None
        acknowledged.append(writer.stdout.readline().strip())
        time.sleep(rng.uniform(0.02, 0.25))
        writer.send_signal(signal.SIGKILL)
        rest, _ = writer.communicate(timeout=10)
        acknowledged += [line for line in rest.splitlines() if len(line) == len(acknowledged[0])]
        there = stored(folder / "bagwright.sqlite3")
        assert set(acknowledged) <= set(there)
        assert len(there) <= len(acknowledged) + round_number + 1


def test_a_torn_log_gives_a_whole_earlier_state(folder: Path, tmp_path: Path) -> None:
    """The writer is frozen, the files are copied, the log is cut at random bytes: always a prefix."""
    writer = child(WRITER, folder, "torn", "100000")
    assert writer.stdout is not None
    for _ in range(40):
        writer.stdout.readline()
    writer.send_signal(signal.SIGSTOP)
    try:
        database, log = folder / "bagwright.sqlite3", folder / "bagwright.sqlite3-wal"
        assert log.stat().st_size > 0
        rng = random.Random(11)
        room = tmp_path / "copy"
        for _ in range(25):
            room.mkdir()
            shutil.copy(database, room / "bagwright.sqlite3")
            content = log.read_bytes()
            (room / "bagwright.sqlite3-wal").write_bytes(content[: rng.randrange(len(content))])
            there = stored(room / "bagwright.sqlite3")
            assert there == [f"torn-{i:06d}" for i in range(len(there))]
            shutil.rmtree(room)
    finally:
        writer.send_signal(signal.SIGKILL)
        writer.communicate(timeout=10)


def test_a_full_disk_says_so_and_stores_nothing_of_it(folder: Path) -> None:
    size = max(path.stat().st_size for path in folder.iterdir() if path.is_file())
    writer = child(WRITER, folder, "full", "100000", limit_bytes=size + 200_000)
    said, errors = writer.communicate(timeout=60)
    assert writer.returncode != 0
    assert "OperationalError" in errors
    acknowledged = said.splitlines()
    there = stored(folder / "bagwright.sqlite3")
    assert set(acknowledged) <= set(there)
    again = child(WRITER, folder, "room", "3")
    assert again.communicate(timeout=60)[0].splitlines() == [f"room-{i:06d}" for i in range(3)]
    assert len(stored(folder / "bagwright.sqlite3")) == len(there) + 3


def test_four_writers_at_once_lose_and_double_nothing(folder: Path) -> None:
    writers = [child(WRITER, folder, f"writer{k}", "25") for k in range(4)]
    for writer in writers:
        _, errors = writer.communicate(timeout=120)
        assert writer.returncode == 0, errors
    there = stored(folder / "bagwright.sqlite3")
    assert sorted(there) == sorted(f"writer{k}-{i:06d}" for k in range(4) for i in range(25))


def test_a_disk_error_of_a_request_is_told_in_words(
    client: object, monkeypatch: pytest.MonkeyPatch, db: None
) -> None:
    from django.db import OperationalError
    from django.test import Client

    def fail(*words: object, **named: object) -> None:
        raise OperationalError("database or disk is full")

    monkeypatch.setattr("bagwright.bay.players.listed", fail, raising=False)
    monkeypatch.setattr("bagwright.bay.players.found", fail)
    assert isinstance(client, Client)
    answer = client.get("/players/")
    assert answer.status_code == 503
    assert "Nothing of this was saved" in answer.content.decode()
