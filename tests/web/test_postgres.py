"""The app on PostgreSQL: a shop's database by its address, with the same tests as on SQLite."""

from __future__ import annotations

import os
import subprocess
import sys
import urllib.request
from pathlib import Path

import psycopg
import pytest

from tests.web.browser import served
from tests.web.private_pg import main

ROOT = Path(__file__).parents[2]
LEFT_OUT = ("serve", "security_start", "board", "board_bag", "charting", "deciding", "language")
"""The first two start servers again and again; the others read files or compute for long and store
little. All of them pass too, and so do all tests in a browser:

    .venv/bin/python -m tests.web.private_pg .venv/bin/python -m pytest tests/web tests/faults
"""
IN_A_BROWSER = (
    "test_visit_browser.py::test_a_whole_visit_from_intake_to_papers[size1-True]",
    "test_visit_browser.py::test_the_link_drops_and_no_ball_is_lost_or_doubled",
    "test_visit_browser.py::test_two_screens_show_the_same_ball_and_undo",
    "test_board_browser.py::test_two_who_decide_at_once_and_a_way_back",
    "test_shop_browser.py",
    "test_pairing_process.py::test_five_wrong_codes_close_the_door",
)
"""Those in which several write at once, or everything is written once."""


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


def once_more(postgres_url: str, *tests: str) -> None:
    """Run tests on that server, in a process of their own: the database is chosen when Django starts."""
    if "TEST_DATABASE_URL" in os.environ:
        pytest.skip("this whole run is on PostgreSQL already")
    done = subprocess.run(
        [sys.executable, "-m", "pytest", "-q", "-p", "no:cacheprovider", *tests],
        cwd=ROOT,
        env={**os.environ, "TEST_DATABASE_URL": postgres_url},
        capture_output=True,
        text=True,
        check=False,
        timeout=600,
    )
    assert done.returncode == 0, done.stdout[-4000:]


def test_the_screens_tests_hold_on_postgresql(postgres_url: str) -> None:
    left_out = [f"--ignore=tests/web/unit/test_{name}.py" for name in LEFT_OUT]
    once_more(postgres_url, "tests/web/unit", *left_out)


def test_the_screens_hold_on_postgresql_in_a_browser(browser: object, postgres_url: str) -> None:
    """The browser is asked for so that a machine without one skips this too."""
    once_more(postgres_url, *(f"tests/web/{name}" for name in IN_A_BROWSER))
