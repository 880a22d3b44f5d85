"""The app on PostgreSQL: a shop's database by its address, with the same tests as on SQLite."""

from __future__ import annotations

import sys
import urllib.request
from pathlib import Path

import psycopg
import pytest

from tests.web.browser import served
from tests.web.private_pg import main


def test_the_server_wants_its_password_and_listens_on_this_machine_only(postgres_url: str) -> None:
    with psycopg.connect(postgres_url) as link:
        told: dict[str, str] = dict(link.execute("SELECT name, setting FROM pg_settings").fetchall())
    assert told["listen_addresses"] == "127.0.0.1"
    assert told["unix_socket_directories"] == ""
    name, _, where = postgres_url.removeprefix("postgresql://").partition("@")
    user = name.partition(":")[0]
    with pytest.raises(psycopg.OperationalError, match="password authentication failed"):
        psycopg.connect(f"postgresql://{user}:wrong@{where}")


def test_a_command_gets_a_server_that_is_gone_afterwards(tmp_path: Path, postgres_url: str) -> None:
    """postgres_url is asked for so that a machine without a server skips this too."""
    said = tmp_path / "address"
    code = f"import os, pathlib; pathlib.Path({str(said)!r}).write_text(os.environ['TEST_DATABASE_URL'])"
    assert main([sys.executable, "-c", code]) == 0
    assert main([sys.executable, "-c", "raise SystemExit(7)"]) == 7
    address = said.read_text()
    assert address != postgres_url
    with pytest.raises(psycopg.OperationalError):
        psycopg.connect(address, connect_timeout=2)


def test_the_app_serves_from_the_server_and_leaves_no_file_of_its_own(
    postgres_url: str, tmp_path: Path
) -> None:
    with psycopg.connect(postgres_url, autocommit=True) as link:
        link.execute("CREATE DATABASE served")
    address = postgres_url.rpartition("/")[0] + "/served"
    with (
        served(tmp_path, "serve", DATABASE_URL=address) as running,
        urllib.request.urlopen(running.address + "/players/", timeout=20) as answer,
    ):
        assert answer.status == 200
    with psycopg.connect(address) as link:
        (accounts,) = link.execute("SELECT count(*) FROM store_account").fetchone() or (0,)
    assert accounts == 1
    assert not list((tmp_path / "data").glob("*.sqlite3*"))
