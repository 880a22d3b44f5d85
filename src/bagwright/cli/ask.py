"""Asking a person, on a terminal, what a shot table leaves open."""

from __future__ import annotations

import sys
from typing import TYPE_CHECKING

import click

from bagwright.tasks import Ask

if TYPE_CHECKING:
    from bagwright.shots.result import Question

LEAVE_OPEN = "leave open"


def asker(as_json: bool, no_ask: bool) -> Ask | None:
    """A function that asks on the terminal, or None where nobody is there to answer."""
    if as_json or no_ask or not (sys.stdin.isatty() and sys.stderr.isatty()):
        return None
    return _ask


def _ask(question: Question) -> str | None:
    options = (*question.options, LEAVE_OPEN)
    click.echo(f"\n{question.file}: {question.text}", err=True)
    for number, option in enumerate(options, 1):
        click.echo(f"  {number}  {option}", err=True)
    number = click.prompt("Number", type=click.IntRange(1, len(options)), err=True)
    chosen = options[number - 1]
    return None if chosen == LEAVE_OPEN else chosen
