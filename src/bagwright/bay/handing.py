"""Handing over: papers made, kept as they were given, their predictions stored, the next check set."""

from __future__ import annotations

import datetime
import hashlib
import tempfile
from collections.abc import Callable
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Literal

from django.db import transaction
from django.utils import timezone
from django.utils.translation import gettext as _

from bagwright.bay import audit, deciding, oncourse, picks, predicting, shopping
from bagwright.bay.language import reader
from bagwright.bay.live import changed
from bagwright.bay.reporting import gathered
from bagwright.errors import InputError
from bagwright.report.build import write_build_sheet
from bagwright.report.pdf import write_report
from bagwright.report.yardage import write_yardages
from bagwright.store.models import Account, Club, Paper, Player, Visit
from bagwright.units import System
from bagwright.words import tell

Kind = Literal["report", "yardages", "build"]
KINDS: tuple[Kind, ...] = ("report", "yardages", "build")
_WRITERS: dict[str, Callable[..., Path]] = {
    "report": write_report,
    "yardages": write_yardages,
    "build": write_build_sheet,
}


@dataclass(frozen=True, slots=True)
class Made:
    """One paper's bytes, not handed over yet."""

    kind: Kind
    content: bytes
    sha256: str


def kind_of(word: str) -> Kind:
    """The paper of that name. Raises InputError for another word."""
    for kind in KINDS:
        if kind == word:
            return kind
    raise InputError(
        tell('"{word}" is no paper.', word=word[:20]), tell("There are {words}.", words=", ".join(KINDS))
    )


def build_club(visit: Visit) -> Club | None:
    """The club that a build sheet is for: the one accepted, or kept with a change proposed."""
    decision = deciding.standing(visit)
    if decision is None or decision.choice is None:
        return None
    return decision.choice if decision.outcome == "accept" or decision.choice.proposed else None


def make_paper(visit: Visit, kind: Kind, system: System, day: datetime.date | None = None) -> Made:
    """Make one paper as of now, in the page's language. The same state on the same day gives the same bytes."""
    shop = shopping.settings_row()
    club = build_club(visit) if kind == "build" else None
    if kind == "build" and club is None:
        raise InputError(
            _("No decision says which club is to be built."),
            _("Accept or keep a club first, then its sheet."),
        )
    report = gathered(visit, system, club.name if club is not None else None)
    if kind == "report":
        report = replace(
            report,
            on_course=oncourse.side_by_side(oncourse.standing(visit), system),
            picked=picks.for_papers(visit.player, system),
        )
    if shop.seller_interest and not report.player.seller_interest:
        report = replace(report, player=replace(report.player, seller_interest=shop.seller_interest))
    with tempfile.TemporaryDirectory() as folder:
        path = _WRITERS[kind](
            report,
            Path(folder),
            date=day or timezone.localdate(),
            paper="letter" if shop.paper == "letter" else "a4",
            system=system,
            language=reader(),
            **({"logo": bytes(shop.logo)} if kind == "report" and shop.logo else {}),
        )
        content = path.read_bytes()
    return Made(kind, content, hashlib.sha256(content).hexdigest())


@transaction.atomic
def hand_over(
    account: Account | None, visit: Visit, kinds: list[Kind], system: System, *, workshop: bool = False
) -> list[Paper]:
    """Make papers and keep them as they are given; a report stores what it predicts of later shots.

    `workshop` lets the workshop open the build sheet.
    """
    if not kinds:
        raise InputError(_("No paper was chosen."), _("Tick the papers that the player takes along."))
    given = []
    for kind in kinds:
        made = make_paper(visit, kind, system)
        paper = Paper.objects.create(
            visit=visit,
            kind=kind,
            club=build_club(visit) if kind == "build" else None,
            content=made.content,
            sha256=made.sha256,
            units=system,
            language=reader(),
            made_by=account,
            for_workshop=workshop and kind == "build",
        )
        given.append(paper)
        if kind == "report":
            predicting.store(visit, system)
    audit.note(account, visit.player, "handed over", ", ".join(kinds))
    changed(visit)
    return given


@transaction.atomic
def set_next_check(account: Account | None, player: Player, day: datetime.date | None) -> None:
    """Set or clear the date of the next check. Raises InputError for a day that is past."""
    if day is not None and day <= timezone.localdate():
        raise InputError(
            _("%(day)s is not in the future.") % {"day": day.isoformat()}, _("Choose a later day, or none.")
        )
    Player.objects.filter(pk=player.pk).update(next_check_on=day)
    audit.note(account, player, "next check set")
