"""The club that a typed line begins with, found among the player's clubs: asked where several fit."""

from __future__ import annotations

from django.utils.translation import gettext as _

from bagwright.bag.names import match_club
from bagwright.errors import InputError
from bagwright.shots.line import LineError, LineForm
from bagwright.shots.line_club import split_club
from bagwright.store.convert import core_bag
from bagwright.store.models import Club, Visit

_SHOWN = 4
"""How many of the clubs that would fit are named."""


def club_of(visit: Visit, line: str, form: LineForm) -> tuple[Club | None, int]:
    """The club that a line names first, None where it begins with a figure, and where the rest begins.

    Raises LineError, which points at the name, where no club of the bag or more than one has it.
    """
    rows = list(visit.player.clubs.filter(removed_at__isnull=True).exclude(kind="putter"))
    name, end = split_club(line, form, [row.name for row in rows])
    if not name:
        return None, 0
    bag = core_bag(visit.player, rows)
    exact = [row for row in rows if row.name.casefold() == " ".join(name.split()).casefold()]
    match = match_club(name, bag)
    fitting = exact or [row for row, club in zip(rows, bag.clubs, strict=True) if club in match.candidates]
    if len(fitting) == 1:
        return fitting[0], end
    raise _unclear(name, fitting, end - len(name), end)


def _unclear(name: str, fitting: list[Club], start: int, end: int) -> InputError:
    if not fitting:
        return LineError(
            _("No club of the bag is called “%(name)s”.") % {"name": name[:40]},
            _("Write its name as it stands in the bag, or tap the club and type the figures only."),
            start,
            end,
        )
    names = ", ".join(row.name[:40] for row in fitting[:_SHOWN])
    return LineError(
        _("“%(name)s” could be more than one club: %(clubs)s.") % {"name": name[:40], "clubs": names},
        _("Write the whole name, or tap the club and type the figures only."),
        start,
        end,
    )
