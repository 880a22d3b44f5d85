"""What to mind before and while balls are hit: what applies to this player and this place."""

from __future__ import annotations

import datetime
from collections.abc import Iterable
from dataclasses import dataclass

from django.utils.translation import gettext as _

from bagwright.bay.ordering import held
from bagwright.bay.players import is_minor
from bagwright.store.convert import core_player
from bagwright.store.models import Visit
from bagwright.trial.plan import LEAST_WARM_UP, PlanLimits

RANGE_BALL = ("range", "übungs", "practice")
"""Words in the name of a ball that say it is not the player's own."""


@dataclass(frozen=True, slots=True)
class Caution:
    """One thing to mind: `who` is "player", "bay" or "rules"; `grave` ones come with a sign of their own."""

    who: str
    words: str
    grave: bool = False


def cautions_of(visit: Visit, today: datetime.date | None = None) -> list[Caution]:
    """The cautions that apply to this player and this place, health first."""
    return [*_of_the_player(visit, today), *_of_the_place(visit), *_of_the_rules()]


def _of_the_player(visit: Visit, today: datetime.date | None) -> Iterable[Caution]:
    player = core_player(visit.player, today)
    if player.injury or player.pain:
        yield Caution(
            "player",
            _(
                "An injury or pain is noted. With an injury or a medical condition, ask a licensed"
                " practitioner before hitting."
            ),
            grave=True,
        )
    if is_minor(visit.player, today):
        yield Caution(
            "player",
            _(
                "A junior: a guardian is informed, and present as local safeguarding requires. Heavy or long"
                " clubs to grow into can harm."
            ),
            grave=True,
        )
    yield Caution(
        "player",
        _(
            "Warm up first: ten to fifteen balls, short clubs to long. No flat-out swing before it. Stop at"
            " any pain."
        ),
    )
    yield _limits(visit, today)
    if visit.surface == "mat" or (not visit.surface and visit.indoors):
        yield Caution("player", _("Mats load wrists and elbows, and flatter heavy strikes."))


def _limits(visit: Visit, today: datetime.date | None) -> Caution:
    player = core_player(visit.player, today)
    own = PlanLimits().for_player(player)
    told = {"balls": own.visit_balls, "each": own.flat_out_each, "flat_out": own.flat_out_visit}
    if player.halved_limits:
        words = _(
            "Ball limits are halved (under 18, 65 and over, or pain): %(balls)s a visit, %(each)s flat-out a"
            " club and %(flat_out)s a visit. Defaults of this software."
        )
    elif visit.player.born_in is None:
        words = _(
            "At most %(balls)s balls a visit, %(each)s flat-out a club and %(flat_out)s a visit. The year of"
            " birth is not noted: under 18, and from 65 on, half of that. Defaults of this software."
        )
    else:
        words = _(
            "At most %(balls)s balls a visit, %(each)s flat-out a club and %(flat_out)s a visit. Defaults of"
            " this software."
        )
    return Caution("player", words % told)


def _of_the_place(visit: Visit) -> Iterable[Caution]:
    yield Caution("bay", _("Check demo heads, sleeves, shafts and grips before use."))
    yield Caution("bay", _("Nobody inside the swing's reach, in line with a shank, or down range."))
    if visit.player.hand == "left":
        yield Caution(
            "bay",
            _("A left-hander: move the unit and the people to the other side; a shank goes left."),
            grave=True,
        )
    if visit.indoors is not False:
        yield Caution("bay", _("Indoors: a sound net, eye protection, and mind rebounds."))
    if visit.indoors is not True:
        yield Caution("bay", _("Outdoors: stop for lightning; shade and water in heat."))
    if is_range_ball(visit.ball):
        yield Caution(
            "bay", _("Range balls fly shorter: today's carries hold for them, not for the player's own.")
        )


def _of_the_rules() -> Iterable[Caution]:
    yield Caution("rules", _("The range's own rules, local codes and the law come first."))


def is_range_ball(words: str) -> bool:
    """True where the name of a ball says that it is the range's."""
    return any(word in words.lower() for word in RANGE_BALL)


def flat_out_cautions(visit: Visit) -> list[str]:
    """What to read out before the visit's first top-effort swing."""
    queue = held(visit).queue
    own = queue.own_limits
    words = []
    if visit.player.pain or visit.player.injury:
        words.append(_("Pain or an injury is noted: leave flat-out swings out, or ask a practitioner first."))
    if queue.hits < LEAST_WARM_UP:
        words.append(
            _("Only after a warm-up of %(least)s balls or more; %(hit)s were hit so far.")
            % {"least": LEAST_WARM_UP, "hit": queue.hits}
        )
    words.append(
        _("Top effort as on a course, spread out, at most %(each)s a club and %(all)s a visit.")
        % {"each": own.flat_out_each, "all": own.flat_out_visit}
    )
    words.append(_("Stop at the first twinge."))
    return words
