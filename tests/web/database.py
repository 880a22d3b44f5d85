"""The database of a server that a test starts: a SQLite file of its own, or an empty one on PostgreSQL."""

from __future__ import annotations

import os
import secrets
import sqlite3
import sys
from collections.abc import Iterator
from contextlib import closing, contextmanager
from pathlib import Path

SEEDED = """
import sys
from bagwright.web.serve import Serving, serve
serve(Serving(port=0, browser=False), lambda line: print(line, flush=True), demo=True)
"""
"""`bagwright demo` keeps the invented player in a file beside its papers, whatever DATABASE_URL says; this is the
same start on the database that it names."""


@contextmanager
def own_database() -> Iterator[dict[str, str]]:
    """The setting that names a new, empty database on the server of TEST_DATABASE_URL; nothing without one.

    It is gone at the end, whoever is still connected to it.
    """
    server = os.environ.get("TEST_DATABASE_URL")
    if not server:
        yield {}
        return
    # Here, so that the tests in a browser run without PostgreSQL's driver too.
    import psycopg
    from psycopg import sql

    name = f"served_{secrets.token_hex(8)}"
    with psycopg.connect(server, autocommit=True) as link:
        link.execute(sql.SQL("CREATE DATABASE {}").format(sql.Identifier(name)))
    try:
        yield {"DATABASE_URL": f"{server.rpartition('/')[0]}/{name}"}
    finally:
        with psycopg.connect(server, autocommit=True) as link:
            link.execute(sql.SQL("DROP DATABASE {} WITH (FORCE)").format(sql.Identifier(name)))


def command(words: tuple[str, ...], on: dict[str, str]) -> list[str]:
    """What starts the app with these words on that database."""
    python = [sys.executable, "-W", "error::RuntimeWarning"]
    if words[0] == "demo" and "DATABASE_URL" in on:
        return [*python, "-c", SEEDED]
    return [*python, "-m", "bagwright", *words, "--no-browser", "--port", "0"]


def shots_in(address: str, folder: Path) -> int:
    """How many shots lie in a server's database: by its address, or in the sound file below the folder."""
    asked = "SELECT count(*) FROM store_shotrecord"
    if address:
        import psycopg

        with psycopg.connect(address) as link:
            row = link.execute(asked).fetchone()
        assert row is not None
        return int(row[0])
    path = next(folder.rglob("bagwright.sqlite3"))
    with closing(sqlite3.connect(f"file:{path}?mode=ro", uri=True)) as base:
        assert base.execute("PRAGMA integrity_check").fetchone() == ("ok",)
        return int(base.execute(asked).fetchone()[0])
