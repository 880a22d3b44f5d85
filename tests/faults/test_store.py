"""What happens to shots when the machine fails: killed, frozen, torn, full, and many writers at once.

A child process writes through the app's own functions and says each shot that was stored; what it said must
be there afterwards, whole, and nothing half.
"""

from __future__ import annotations

import os
import random
import shutil
import signal
import sqlite3
from contextlib import closing
from pathlib import Path

import pytest

from tests.faults.children import WRITER, child

pytestmark = pytest.mark.skipif(os.name != "posix", reason="signals and limits of this kind are POSIX")

KILLED = """
import contextlib, os, random, signal, sqlite3, sys, time
from bagwright.web.serve import start_django
start_django()
from django.db import connection, connections
from bagwright.bay import shots, tables
from bagwright.store.models import Visit
visit = Visit.objects.get()
club = visit.player.clubs.get()
Visit.objects.filter(pk=visit.pk).update(adjusted="as measured", spin="measured")
rng = random.Random(int(sys.argv[2]))

def write(turn):
    # Every third is a table of thirty rows, which must be there whole or not at all.
    for i in range(100_000):
        if i % 3:
            key = f"round{turn:02d}-{i:06d}"
            shots.add_shot(visit, None, shots.Entry(key, club.pk, {"carry_m": 90.0 + i % 7}))
        else:
            key = take(turn, i)
        os.write(1, f"{key}\\n".encode())
        os.write(begun, b".")

def take(turn, i):
    rows = "".join(f"7 iron,{60 + 5 * turn + i / 1000:.3f},{1 + r} R\\n" for r in range(30))
    key = f"table{turn:02d}-{i:06d}.csv"
    visit.refresh_from_db()
    taken = tables.take_table(visit, key, f"Club,Carry m,Side m\\n{rows}".encode())
    assert taken.joined == 30, taken
    return key

os.write(1, f"{take(50, 0)}\\n".encode())
waits, begun = os.pipe()
connections.close_all()
for turn in range(int(sys.argv[1])):
    child = os.fork()
    if child == 0:
        write(turn)
    os.read(waits, 1)
    time.sleep(rng.uniform(0.0, 0.4))
    os.kill(child, signal.SIGKILL)
    os.waitpid(child, 0)
    with contextlib.closing(sqlite3.connect(connection.settings_dict["NAME"])) as base:
        (sound,) = base.execute("PRAGMA integrity_check").fetchone()
        hanging = len(base.execute("PRAGMA foreign_key_check").fetchall())
    os.write(1, f"killed {sound} {hanging}\\n".encode())
"""


def stored(path: Path) -> list[str]:
    """The key of every typed shot in order; the file is sound, and no reference hangs."""
    with closing(sqlite3.connect(path)) as base:
        assert base.execute("PRAGMA integrity_check").fetchall() == [("ok",)]
        assert base.execute("PRAGMA foreign_key_check").fetchall() == []
        rows = base.execute(
            "SELECT client_key, number, source FROM store_shotrecord ORDER BY number"
        ).fetchall()
        (count,) = base.execute("SELECT shot_count FROM store_visit").fetchone()
        (steps,) = base.execute("SELECT count(*) FROM store_change").fetchone()
    assert [number for _, number, _ in rows] == list(range(1, len(rows) + 1))
    assert count == len(rows), "the visit's count and its shots are of one transaction"
    typed = [key for key, _, source in rows if source == "typed"]
    assert steps == len(typed)
    return typed


def whole_tables(path: Path, rows: int) -> list[str]:
    """The name of every table that joined; each has all of its rows."""
    with closing(sqlite3.connect(path)) as base:
        found = base.execute(
            "SELECT label, joined,"
            " (SELECT count(*) FROM store_shotrecord WHERE imported_id = store_import.id) FROM store_import"
        ).fetchall()
        (loose,) = base.execute(
            "SELECT count(*) FROM store_shotrecord WHERE source = 'table' AND imported_id IS NULL"
        ).fetchone()
    assert {(said, there) for _, said, there in found} == {(rows, rows)}
    assert loose == 0
    return [label for label, _, _ in found]


def test_a_killed_writer_leaves_every_acknowledged_shot_and_table_and_no_half_one(folder: Path) -> None:
    """Twelve writers of shots and of tables are killed at random times, one after the other."""
    rounds = 12
    writer = child(KILLED, folder, str(rounds), "7")
    said, errors = writer.communicate(timeout=120)
    assert writer.returncode == 0, errors
    lines = said.splitlines()
    assert [line for line in lines if line.startswith("killed")] == ["killed ok 0"] * rounds
    acknowledged = {line for line in lines if not line.startswith("killed")}
    database = folder / "bagwright.sqlite3"
    there = {*stored(database), *whole_tables(database, rows=30)}
    assert acknowledged <= there
    assert len(acknowledged) > rounds
    assert len(there) <= len(acknowledged) + rounds, "at most the one in hand was stored and not yet told"


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
