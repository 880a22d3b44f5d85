"""What is said of a contested slot on a course: its job, who costs least in it, who is not worth hitting."""

from __future__ import annotations

from collections.abc import Sequence

from bagwright.estimate import probability_words
from bagwright.pick.further import Further
from bagwright.pick.slot import BuildOn, SlotOn
from bagwright.report.pick.words import more_words, ranged_words
from bagwright.report.words import chance, counted, joined, number
from bagwright.words import first_upper, join, tell, term

LEAST_WORTH = 5e-4
"""Strokes a round that further balls must be worth to be named."""
_LIES = {"deep": "rough"}
"""Lies of a course by the names that shots have."""


def lies_of(slot: SlotOn) -> dict[str, float]:
    """The lies that the slot is played from, as shots name them, each once with its share."""
    shares: dict[str, float] = {}
    for lie, share in slot.lies:
        name = _LIES.get(lie, lie)
        shares[name] = shares.get(name, 0.0) + share
    return shares


def job_words(slot: SlotOn, where: str) -> str:
    """What the slot does on the course, in a sentence."""
    best = slot.builds[0]
    lies = joined(
        [tell("{lie} {share}", lie=term(lie), share=chance(share)) for lie, share in lies_of(slot).items()]
    )
    return tell(
        "On {where} the slot comes up {times} times a round, {full} of that full shots; from {lies}. "
        "Left empty it costs {empty} strokes a round.",
        where=where, times=number(best.used, 1), full=chance(slot.full), lies=lies or tell("no lie"),
        empty=ranged_words(slot.empty),
    )  # fmt: skip


def build_words(one: BuildOn) -> str:
    """What a build in the slot costs against the best one, and how often it is the best."""
    if one.more.value <= 0.0:
        return tell(
            "the fewest strokes of all; the best in the slot with a chance of {chance}",
            chance=chance(one.chance),
        )
    return tell(
        "{more} strokes a round more ({words}); the best in the slot with a chance of {chance}",
        more=ranged_words(one.more), words=more_words(one.more.value), chance=chance(one.chance),
    )  # fmt: skip


def leaders_words(slot: SlotOn) -> str:
    """Who costs least, never one build as if it stood alone; and who is not worth hitting."""
    worth = sorted((one for one in slot.builds if one.worth_hitting), key=lambda one: -one.chance)
    named = joined([tell("{club} ({chance})", club=one.club, chance=chance(one.chance)) for one in worth])
    told = first_upper(
        tell(
            "{words}, by the chance to cost the fewest strokes there: {named}.",
            words=probability_words(worth[0].chance), named=named,
        )
    )  # fmt: skip
    gone = [one.club for one in slot.builds if not one.worth_hitting]
    if not gone:
        return told
    return join(" ", (told, tell("Not worth hitting: {names}.", names=joined(gone))))


def further_in_strokes(found: Sequence[Further]) -> str:
    """Which further balls would lower the strokes that the choice costs, in a sentence."""
    worth = [one for one in found if one.worth_strokes >= LEAST_WORTH]
    if not worth:
        return tell(
            "On the course no further ball is worth hitting for this choice: it would gain less than {least} "
            "strokes a round.",
            least=number(LEAST_WORTH, 4),
        )  # fmt: skip
    best = worth[0]
    return tell(
        "On the course {balls} with {club} would gain most: {strokes} strokes a round on average, and a "
        "changed choice in {chance} of cases.",
        balls=counted(best.balls, "more ball"), club=best.club, strokes=number(best.worth_strokes, 4),
        chance=chance(best.chance_to_change),
    )  # fmt: skip
