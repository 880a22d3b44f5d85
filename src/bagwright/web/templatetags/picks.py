"""Best bags in the reader's words."""

from __future__ import annotations

from django import template
from django.utils.translation import gettext as _

from bagwright.bay import pick_slot
from bagwright.bay.briefing import Briefed
from bagwright.bay.figurewords import rounded
from bagwright.bay.pick_slot import SlotTold
from bagwright.bay.pick_try import TriedBag
from bagwright.estimate import Estimate
from bagwright.pick.result import RunnerUp
from bagwright.report.pick import slot_words, words
from bagwright.report.pick.carries import CarryLine, CarryOf
from bagwright.report.pick.shown import PickShown
from bagwright.report.words import number
from bagwright.store.models import PickRun, Visit
from bagwright.units import System
from bagwright.words import join, term

register = template.Library()

register.filter("proof_line", words.proof_line)
register.filter("near_words", words.near_words)
register.filter("keep_words", words.keep_words)
register.filter("unhit_words", words.unhit_words)
register.filter("more_words", words.more_words)
register.filter("further_words", words.further_words)
register.filter("worth_words", words.worth_words)
register.filter("runner_words", words.runner_words)
register.filter("tee_words", words.tee_words)
register.filter("shots_words", words.shots_words)
register.filter("stroke_range", words.ranged_words)
register.filter("slot_build", slot_words.build_words)
register.filter("one_term", term)


@register.filter
def route_words(shown: PickShown) -> str:
    """The cheapest way, and who could not be counted; "" without one."""
    if shown.route is None:
        return ""
    left_out = words.left_out_words(shown.route)
    told = words.route_words(shown.route, shown.currency)
    return join(" ", (told, left_out)) if left_out else told


@register.filter
def places(one: RunnerUp, shown: PickShown) -> list[int]:
    """The places of a bag's clubs in the list that is ticked."""
    return [i for i, club in enumerate(shown.clubs) if club in one.clubs]


@register.filter
def less(more: Estimate) -> str:
    """How many strokes fewer, for a difference below 0, with its range."""
    return words.ranged_words(Estimate(-more.value, -more.high, -more.low))


@register.filter
def signed(times: float) -> str:
    """A change as "+1.2"."""
    return ("+" if times >= 0 else "") + number(times, 1)


@register.filter
def both_steps(tried: TriedBag) -> list[tuple[CarryOf, CarryLine | None, CarryLine | None]]:
    """Every club of either bag, the longest first, with its line in the picked bag and in this one."""
    before = {one.club.club: one for one in tried.picked_lines}
    now = {one.club.club: one for one in tried.lines}
    clubs = {one.club.club: one.club for one in (*tried.picked_lines, *tried.lines)}
    rows = [(club, before.get(name), now.get(name)) for name, club in clubs.items()]
    return sorted(rows, key=lambda row: -row[0].carry_m.value)


@register.simple_tag
def slot_on_course(briefed: Briefed, visit: Visit, system: System) -> SlotTold | None:
    """The slot's builds of the player on the courses of the newest pick; None where that knows too few."""
    names = [build.name for build in briefed.builds if not build.rack]
    return pick_slot.told_of(visit.player, names, system)


@register.filter
def pick_outcome(run: PickRun) -> str:
    """A pick in a list: strokes a round, and whether it is proven."""
    kept = (run.result or {})["shown"]["pick"]
    strokes = _("%(strokes)s strokes a round") % {"strokes": rounded(kept["round"], 2)}
    return strokes + ", " + (_("proven under its model and inputs") if kept["optimal"] else _("not proven"))
