"""Where an account is logged in: the list, ending one or all, and how long a log-in lasts."""

from __future__ import annotations

import hashlib
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from typing import Any

from django.contrib.sessions.models import Session
from django.utils import timezone

from bagwright.store.models import Account

IDLE_FOR = timedelta(hours=12)
"""A day in the bay is not interrupted; the next morning one logs in again."""
AT_MOST = timedelta(days=14)
"""However busy, a log-in ends after this."""
NOTED_EVERY = timedelta(minutes=5)
"""How exactly it is known when a session was last used: a note at each request would be a write at each."""


@dataclass(frozen=True, slots=True)
class Open:
    """One session of an account: its name, the device in words, since when, last used, and whether it is this one."""

    key: str
    label: str
    since: datetime | None
    seen: datetime | None
    until: datetime
    this: bool


def begun(label: str) -> dict[str, Any]:
    """What a session holds at log-in beside the account."""
    now = timezone.now().timestamp()
    return {"label": label, "since": now, "seen": now}


def still_good(data: Any) -> bool:
    """False where a session was idle or is in use for too long; notes now and then that it is in use.

    `data` is the session. A clock that went back makes nobody's session older or younger than nothing.
    """
    now = timezone.now().timestamp()
    since, seen = data.get("since"), data.get("seen")
    if not isinstance(since, float | int) or since > now:
        data["since"] = since = now
    if not isinstance(seen, float | int) or seen > now:
        data["seen"] = seen = now
    if now - seen > IDLE_FOR.total_seconds() or now - since > AT_MOST.total_seconds():
        return False
    if now - seen > NOTED_EVERY.total_seconds():
        data["seen"] = now
    return True


def name_of(key: str) -> str:
    """What a session is called on its page: its key is never shown."""
    return hashlib.sha256(key.encode()).hexdigest()[:16]


def _sessions(account: Account) -> Iterator[tuple[Session, dict[str, Any]]]:
    for session in Session.objects.filter(expire_date__gt=timezone.now()):
        data = session.get_decoded()
        if str(data.get("_auth_user_id")) == str(account.pk):
            yield session, data


def sessions_of(account: Account, this: str = "") -> list[Open]:
    """The open sessions of an account, the latest used first."""
    found = [
        Open(
            name_of(session.session_key),
            str(data.get("label", "")),
            _when(data.get("since")),
            _when(data.get("seen")),
            session.expire_date,
            session.session_key == this,
        )
        for session, data in _sessions(account)
        if still_good(dict(data))
    ]
    return sorted(found, key=lambda one: (not one.this, -(one.seen.timestamp() if one.seen else 0.0)))


def _when(value: object) -> datetime | None:
    return datetime.fromtimestamp(value, UTC) if isinstance(value, float | int) else None


def end_sessions(account: Account, *, keep: str = "", only: str = "") -> int:
    """End the sessions of an account: all but `keep`, or the one whose name is `only`; how many."""
    ended = 0
    for session, _data in list(_sessions(account)):
        if session.session_key != keep and (not only or name_of(session.session_key) == only):
            session.delete()
            ended += 1
    return ended


def sweep() -> None:
    """Delete what has expired: old sessions hold who was logged in."""
    Session.objects.filter(expire_date__lt=timezone.now()).delete()
