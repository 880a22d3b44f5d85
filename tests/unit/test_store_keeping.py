"""SQLite's log is taken over beside whoever writes, and nobody waits for it."""

from __future__ import annotations

import logging
import sqlite3
import threading
import time
from contextlib import closing
from pathlib import Path

import pytest

from bagwright.store.keeping import log_kept


def database(folder: Path) -> Path:
    path = folder / "kept.sqlite3"
    with closing(sqlite3.connect(path)) as base, base:
        base.execute("PRAGMA journal_mode=WAL")
        base.execute("CREATE TABLE ball (n INTEGER)")
    return path


def write(path: Path, n: int) -> None:
    """As a request does: a connection of its own, closed at the end."""
    with closing(sqlite3.connect(path)) as base, base:
        base.execute("INSERT INTO ball VALUES (?)", (n,))


def in_the_file(path: Path) -> int:
    """Rows of the main file alone, as if the log had been lost; -1 where not even the table is there."""
    copy = path.with_name("copy.sqlite3")
    copy.write_bytes(path.read_bytes())
    with closing(sqlite3.connect(copy)) as base:
        return int(base.execute("SELECT count(*) FROM ball").fetchone()[0])


def test_a_writer_that_closes_leaves_the_log_to_the_keeper(tmp_path: Path) -> None:
    path = database(tmp_path)
    write(path, 0)
    assert in_the_file(path) == 1, "without a keeper the last connection takes the log over as it closes"
    with log_kept(path, every_s=60.0):
        write(path, 1)
        assert in_the_file(path) == 1
    assert in_the_file(path) == 2, "at the end nothing is left in the log"
    assert not path.with_name("kept.sqlite3-wal").exists()


def test_the_keeper_takes_the_log_over_although_somebody_reads_and_writes(tmp_path: Path) -> None:
    path = database(tmp_path)
    with log_kept(path, every_s=0.01), closing(sqlite3.connect(path, isolation_level=None)) as reader:
        write(path, 0)
        reader.execute("BEGIN")
        reader.execute("SELECT * FROM ball").fetchall()
        for n in range(1, 20):
            write(path, n)
        reader.execute("COMMIT")
        for _ in range(500):
            if in_the_file(path) == 20:
                break
            time.sleep(0.01)
        assert in_the_file(path) == 20
        log_file = path.with_name("kept.sqlite3-wal")
        for _ in range(500):
            if log_file.stat().st_size == 0:
                break
            time.sleep(0.01)
        assert log_file.stat().st_size == 0, "nothing that was erased stays in a log at rest"
    assert not any("_keep" in one.name for one in threading.enumerate())


def test_a_log_that_cannot_be_taken_over_is_told_and_tried_again(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, caplog: pytest.LogCaptureFixture
) -> None:
    asked = threading.Event()

    class Full:
        def execute(self, words: str) -> Full:
            if "checkpoint" in words:
                asked.set()
                raise sqlite3.OperationalError("database or disk is full")
            return self

        def fetchone(self) -> tuple[str]:
            return ("wal",)

        def close(self) -> None:
            pass

    monkeypatch.setattr("bagwright.store.keeping.sqlite3.connect", lambda *words, **named: Full())
    with caplog.at_level(logging.WARNING), log_kept(tmp_path / "full.sqlite3", every_s=0.01):
        assert asked.wait(10)
        asked.clear()
        assert asked.wait(10), "it goes on"
    assert "full.sqlite3 could not be taken over: database or disk is full" in caplog.text
