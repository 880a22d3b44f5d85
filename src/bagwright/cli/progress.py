"""Progress of work in few long parts, such as the holes of a round: how many are done, and how long the rest takes."""

from __future__ import annotations

import sys
import time
from types import TracebackType

import click

_MINUTE_S = 60.0
_SOON_S = 10.0
"""Less than this is called a few seconds: a guess is no better."""


class Parts:
    """A line of progress on standard error, on a terminal only: "3 of 18 holes, about 2 min left"."""

    def __init__(self, quiet: bool, what: str) -> None:
        self._on = not quiet and sys.stderr.isatty()
        self._what = what
        self._began = 0.0
        self._wide = 0

    def __enter__(self) -> Parts:
        self._began = time.monotonic()
        self._say(f"Working out the {self._what}")
        return self

    def __call__(self, done: int, total: int) -> None:
        """Say how many parts are done, and about how long the rest takes at the pace of those that are."""
        took = time.monotonic() - self._began
        left = f", {about(took / done * (total - done))} left" if 0 < done < total else ""
        self._say(f"{done} of {total} {self._what}{left}")

    def __exit__(
        self, kind: type[BaseException] | None, value: BaseException | None, trace: TracebackType | None
    ) -> None:
        self._say("")

    def _say(self, text: str) -> None:
        if self._on:
            click.echo(f"\r{text.ljust(self._wide)}" + ("" if text else "\r"), nl=False, err=True)
            self._wide = len(text)


def about(seconds: float) -> str:
    """A time to come, no finer than it is known: "a few seconds", "about 40 s", "about 3 min"."""
    if seconds < _SOON_S:
        return "a few seconds"
    if seconds < 1.5 * _MINUTE_S:
        return f"about {10 * round(seconds / 10):.0f} s"
    return f"about {seconds / _MINUTE_S:.0f} min"
