"""The same promises on PostgreSQL: a killed writer loses nothing it was told of, nor do several at once."""

from __future__ import annotations

import os
import random
import secrets
import signal
import time
from pathlib import Path

import psycopg
import pytest

from tests.faults.children import SETUP, WRITER, child

pytestmark = pytest.mark.skipif(os.name != "posix", reason="signals of this kind are POSIX")


@pytest.fixture
def database(postgres_url: str, tmp_path: Path) -> str:
    """A database of its own with one player, one club and one visit."""
    name = f"faults_{secrets.token_hex(8)}"
    with psycopg.connect(postgres_url, autocommit=True) as link:
        link.execute(f"CREATE DATABASE {name}")
    address = f"{postgres_url.rpartition('/')[0]}/{name}"
    made = child(SETUP, tmp_path, database=address)
    _, errors = made.communicate(timeout=60)
    assert made.returncode == 0, errors
    return address


def stored(address: str) -> list[str]:
    """Every shot's key in order; number, count and step of each are of one transaction."""
    with psycopg.connect(address) as link:
        rows = link.execute("SELECT client_key, number FROM store_shotrecord ORDER BY number").fetchall()
        counted = link.execute("SELECT shot_count FROM store_visit").fetchone()
        steps = link.execute("SELECT count(*) FROM store_change").fetchone()
    assert [number for _, number in rows] == list(range(1, len(rows) + 1))
    assert counted == (len(rows),)
    assert steps == (len(rows),)
    return [str(key) for key, _ in rows]


def test_a_killed_writer_leaves_every_acknowledged_shot_and_no_half_one(
    database: str, tmp_path: Path
) -> None:
    rng = random.Random(7)
    acknowledged: list[str] = []
    for turn in range(3):
        writer = child(WRITER, tmp_path, f"round{turn}", "100000", database=database)
        assert writer.stdout is not None
        acknowledged.append(writer.stdout.readline().strip())
        time.sleep(rng.uniform(0.02, 0.25))
        writer.send_signal(signal.SIGKILL)
        rest = writer.stdout.read()  # communicate would lose what readline has read ahead
        writer.communicate(timeout=10)
        acknowledged += [line for line in rest.splitlines() if len(line) == len(acknowledged[0])]
        there = stored(database)
        assert set(acknowledged) <= set(there)
        assert len(there) <= len(acknowledged) + turn + 1


def test_four_writers_at_once_lose_and_double_nothing(database: str, tmp_path: Path) -> None:
    writers = [child(WRITER, tmp_path, f"writer{k}", "25", database=database) for k in range(4)]
    for writer in writers:
        _, errors = writer.communicate(timeout=120)
        assert writer.returncode == 0, errors
    assert sorted(stored(database)) == sorted(f"writer{k}-{i:06d}" for k in range(4) for i in range(25))


def test_a_server_that_ends_is_said_and_the_next_start_goes_on(database: str, tmp_path: Path) -> None:
    """The link to the database breaks in the middle: an error with words, nothing half, and no shot lost."""
    writer = child(WRITER, tmp_path, "cut", "100000", database=database)
    assert writer.stdout is not None
    for _ in range(10):
        writer.stdout.readline()
    with psycopg.connect(database, autocommit=True) as link:
        link.execute(
            "SELECT pg_terminate_backend(pid) FROM pg_stat_activity"
            " WHERE datname = current_database() AND pid <> pg_backend_pid()"
        )
    said, errors = writer.communicate(timeout=60)
    assert writer.returncode != 0
    assert "OperationalError" in errors
    there = stored(database)
    assert len(there) >= 10 + len(said.splitlines())
    again = child(WRITER, tmp_path, "on", "3", database=database)
    assert again.communicate(timeout=60)[0].splitlines() == [f"on-{i:06d}" for i in range(3)]
    assert len(stored(database)) == len(there) + 3
