"""Long reckonings wait in one line. One thread works, so that a bay with two cores stays quick."""

from __future__ import annotations

import queue
import threading
from collections.abc import Callable

MOST_WAITING = 40
"""Reckonings that may wait."""

_WORK: queue.Queue[Callable[[], None]] = queue.Queue()
_LOCK = threading.Lock()
_THREAD: list[threading.Thread] = []


def put(job: Callable[[], None]) -> None:
    """Put a job in line, and see that somebody works. The job must not raise; the thread dies with the program."""
    _WORK.put(job)
    with _LOCK:
        if not _THREAD or not _THREAD[0].is_alive():
            _THREAD[:] = [threading.Thread(target=_work, name="reckoning", daemon=True)]
            _THREAD[0].start()


def is_full() -> bool:
    """Whether so many wait that no further one is taken."""
    return _WORK.qsize() >= MOST_WAITING


def _work() -> None:
    while True:
        _WORK.get()()
