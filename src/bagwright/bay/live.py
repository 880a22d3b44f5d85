"""What tells the screens of a visit that something changed: within this process at once, else by asking."""

from __future__ import annotations

import asyncio
import threading
from collections import defaultdict
from collections.abc import AsyncIterator, Iterator
from contextlib import contextmanager

from django.db import transaction
from django.db.models import F

from bagwright.store.models import Visit

ASK_EVERY_S = 1.0
"""How often a stream asks the database, for changes that another process made."""


class Bell:
    """Wakes every stream of a visit, from whichever thread it is rung."""

    def __init__(self) -> None:
        self._lock = threading.Lock()
        self._waiting: dict[int, set[tuple[asyncio.AbstractEventLoop, asyncio.Event]]] = defaultdict(set)

    def ring(self, visit_id: int) -> None:
        """Wake the streams of one visit."""
        with self._lock:
            waiting = list(self._waiting.get(visit_id, ()))
        for loop, event in waiting:
            if not loop.is_closed():
                loop.call_soon_threadsafe(event.set)

    @contextmanager
    def heard(self, visit_id: int) -> Iterator[asyncio.Event]:
        """An event that every ring sets from now on: whoever looks first and waits then misses none between."""
        entry = (asyncio.get_running_loop(), asyncio.Event())
        with self._lock:
            self._waiting[visit_id].add(entry)
        try:
            yield entry[1]
        finally:
            with self._lock:
                self._waiting[visit_id].discard(entry)
                if not self._waiting[visit_id]:
                    del self._waiting[visit_id]


async def rang(event: asyncio.Event, seconds: float) -> bool:
    """Wait for the event, at most so long; True when it was set."""
    try:
        await asyncio.wait_for(event.wait(), seconds)
    except TimeoutError:
        return False
    return True


BELL = Bell()


def changed(visit: Visit) -> None:
    """Count one change of what the screens of a visit show, and wake them once it is on the disk.

    Call it inside the transaction that made the change.
    """
    Visit.objects.filter(pk=visit.pk).update(revision=F("revision") + 1)
    visit.refresh_from_db(fields=["revision"])
    visit_id = visit.pk
    transaction.on_commit(lambda: BELL.ring(visit_id))


async def revisions(visit_id: int, seen: int, beat_s: float = 15.0) -> AsyncIterator[int | None]:
    """Each new revision of a visit after `seen`; None every `beat_s` seconds without one."""
    quiet = 0.0
    with BELL.heard(visit_id) as event:
        while True:
            event.clear()
            row = await Visit.objects.filter(pk=visit_id).values_list("revision", flat=True).afirst()
            if row is None:
                return
            if row != seen:
                seen, quiet = row, 0.0
                yield row
                continue
            quiet = 0.0 if await rang(event, ASK_EVERY_S) else quiet + ASK_EVERY_S
            if quiet >= beat_s:
                quiet = 0.0
                yield None
