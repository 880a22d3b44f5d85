"""Progress of work that takes a while, on standard error: how far it is, and how long the rest takes."""

from __future__ import annotations

import shutil
import sys
import time
from types import TracebackType

import click

_MINUTE_S = 60.0
_SOON_S = 10.0
"""Less than this is called a few seconds: a guess is no better."""
_LINE_S = 30.0
"""Where standard error is no terminal, a line of progress every so many seconds."""


class Line:
    """One line on standard error: written over and over on a terminal, elsewhere a new one each half minute.

    `elsewhere` is False for work that says nothing off a terminal; `pause_s` is the least time between two
    texts on one, for work that has very many steps.
    """

    def __init__(self, quiet: bool = False, *, elsewhere: bool = True, pause_s: float = 0.0) -> None:
        self._tty = sys.stderr.isatty()
        self._on = not quiet and (self._tty or elsewhere)
        self._every = pause_s if self._tty else _LINE_S
        self._last = time.monotonic() if self._on and not self._tty else 0.0
        self._wide = 0

    def say(self, text: str) -> None:
        """Say how far it is, where it is time."""
        if not self._on or not self._due():
            return
        if not self._tty:
            click.echo(text, err=True)
            return
        text = text[: shutil.get_terminal_size().columns - 1]  # a line that wraps cannot be written over
        click.echo(f"\r{text.ljust(self._wide)}", nl=False, err=True)
        self._wide = len(text)

    def _due(self) -> bool:
        if self._every:
            now = time.monotonic()
            if now - self._last < self._every:
                return False
            self._last = now
        return True

    def clear(self) -> None:
        """Leave an empty line."""
        if self._wide:
            click.echo(f"\r{'':<{self._wide}}\r", nl=False, err=True)
            self._wide = 0


class Parts:
    """A line of progress for work in few long parts, on a terminal only: "3 of 18 holes, about 2 min left"."""

    def __init__(self, quiet: bool, what: str) -> None:
        self._line = Line(quiet, elsewhere=False)
        self._what = what
        self._began = 0.0

    def __enter__(self) -> Parts:
        self._began = time.monotonic()
        self._line.say(f"Working out the {self._what}")
        return self

    def __call__(self, done: int, total: int) -> None:
        """Say how many parts are done, and about how long the rest takes at the pace of those that are."""
        took = time.monotonic() - self._began
        left = f", {about(took / done * (total - done))} left" if 0 < done < total else ""
        self._line.say(f"{done} of {total} {self._what}{left}")

    def __exit__(
        self, kind: type[BaseException] | None, value: BaseException | None, trace: TracebackType | None
    ) -> None:
        self._line.clear()


def about(seconds: float) -> str:
    """A time to come, no finer than it is known: "a few seconds", "about 40 s", "about 3 h 20 min"."""
    return "a few seconds" if seconds < _SOON_S else f"about {duration(seconds)}"


def duration(seconds: float) -> str:
    """A time to wait, roughly: "40 s", "12 min", "3 h 20 min", "5 days"."""
    if seconds < 1.5 * _MINUTE_S:
        return f"{10 * round(seconds / 10)} s"
    minutes = round(seconds / _MINUTE_S)
    if minutes < 60:
        return f"{minutes} min"
    if minutes < 48 * 60:
        return f"{minutes // 60} h {minutes % 60} min"
    return f"{minutes / 1440:.0f} days"
