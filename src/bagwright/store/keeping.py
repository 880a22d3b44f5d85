"""SQLite's log is taken over into the database beside the requests, not within one of them.

Django closes its connection after every request. The last one to close takes the whole log over, and a commit
that finds the log long does so too: both make somebody wait for the disk. One connection that stays open, and
takes the log over by itself every few seconds, spares all others that wait (https://sqlite.org/wal.html,
sections 2.1 and 6.1, from memory).
"""

from __future__ import annotations

import logging
import sqlite3
import threading
from collections.abc import Iterator
from contextlib import closing, contextmanager
from pathlib import Path

log = logging.getLogger("bagwright")
EVERY_S = 5.0


@contextmanager
def log_kept(database: Path, every_s: float = EVERY_S) -> Iterator[None]:
    """Keep one connection to a SQLite file open, and take its log over every `every_s` seconds.

    Nobody waits for it: whoever writes meanwhile goes on, and what is being read is left for the next time.
    After a turn without anything new the log is emptied, so that nothing that was erased stays in it.
    """
    over = threading.Event()
    with closing(
        sqlite3.connect(database, timeout=0.0, isolation_level=None, check_same_thread=False)
    ) as held:
        held.execute("PRAGMA journal_mode=WAL").fetchone()
        keeper = threading.Thread(target=_keep, args=(held, database.name, over, every_s), daemon=True)
        keeper.start()
        try:
            yield
        finally:
            over.set()
            keeper.join()


def _keep(held: sqlite3.Connection, name: str, over: threading.Event, every_s: float) -> None:
    seen = -1
    while not over.wait(every_s):
        try:
            _busy, pages, taken = held.execute("PRAGMA wal_checkpoint(PASSIVE)").fetchone()
            if 0 < pages == taken == seen:
                held.execute("PRAGMA wal_checkpoint(TRUNCATE)").fetchone()
            seen = pages
        except sqlite3.OperationalError as error:
            # A full disk, say: what was stored is safe in the log, and writers are told by their own errors.
            log.warning("the log of %s could not be taken over: %s", name, error)
