"""Writers of one process take turns, where the database lets one write at a time."""

from __future__ import annotations

import threading
from collections.abc import Callable
from functools import wraps
from typing import ParamSpec, TypeVar

from django.db import connection

P = ParamSpec("P")
T = TypeVar("T")
_TURN = threading.RLock()


def in_turn(work: Callable[P, T]) -> Callable[P, T]:
    """Let one thread at a time do it on SQLite, in the order of asking.

    SQLite's own waiting sleeps longer with every try, so that of twenty writers one may wait for seconds
    while others overtake; threads that wait for a lock are woken at once. PostgreSQL locks rows and needs none.
    """

    @wraps(work)
    def taken(*words: P.args, **named: P.kwargs) -> T:
        if connection.vendor != "sqlite":
            return work(*words, **named)
        with _TURN:
            return work(*words, **named)

    return taken
