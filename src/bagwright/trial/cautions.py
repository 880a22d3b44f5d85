"""The cautions of the trade, where they apply, in plain words."""

from __future__ import annotations

from bagwright.bag.club import Player
from bagwright.bag.names import parse_club_name
from bagwright.shots.device import NOISE
from bagwright.trial import say
from bagwright.trial.case import Case
from bagwright.trial.result import Measure
from bagwright.trial.value import MIN_SOLID, solid_missing
from bagwright.words import tell

ORDER_OF_PLAY = (
    tell("Warm up first; stop at any pain."),
    tell("Check demo heads, sleeves, shafts and grips before use."),
    tell("Nobody inside the swing's reach, in line with a shank, or down range; the range's own rules rule."),
)


def injury(player: Player | None) -> tuple[str, ...]:
    """List the injury note and pain, always shown before anything else."""
    if player is None:
        return ()
    found = []
    if player.injury:
        found.append(
            tell(
                "Injury note: {injury}. With an injury or a medical condition, ask a licensed "
                "practitioner first.",
                injury=player.injury,
            )
        )
    if player.pain:
        found.append(
            tell("The player reports pain: stop, and ask a licensed practitioner before hitting on.")
        )
    return tuple(found)


def people(player: Player | None) -> tuple[str, ...]:
    """List cautions that follow from who the player is."""
    if player is None:
        return ()
    found = []
    if player.halved_limits:
        found.append(tell("Ball limits are halved (under 18, 65 and over, or pain)."))
    if player.age is not None and player.age < 18:
        found.append(
            tell(
                "Junior: a guardian is informed, and present as local safeguarding requires; heavy "
                "or long clubs to grow into can harm."
            )
        )
    if player.hand == "left":
        found.append(tell("Left-hander: move the unit and the people to the other side."))
    return tuple(found)


def before_hitting(player: Player | None, flat_out: bool, mat: bool = True) -> tuple[str, ...]:
    """List the cautions of a plan, the injury note first."""
    found = [*injury(player), *people(player), *ORDER_OF_PLAY]
    if flat_out:
        found.append(
            tell(
                "Flat-out swings only after the warm-up, and spread out; leave them out at the first twinge."
            )
        )
    if mat:
        found.append(tell("Mats load wrists and elbows, and flatter heavy strikes."))
    return tuple(found)


def of_the_trial(case: Case, measure: Measure, aligned: bool) -> list[str]:
    """List cautions that follow from how the candidates were hit and how little is known of them."""
    found = []
    if case.blocked:
        found.append(
            tell(
                "{listed} were hit in blocks or in different visits, not alternating: warming up and "
                "tiring mix with the club, so the answer is wider than the balls alone would make it.",
                listed=say.listed(case.names),
            )
        )
    few = [name for i, name in enumerate(case.names) if solid_missing(case.fit(i).n_solid)]
    if few:
        found.append(
            tell(
                "Under {few_solid} solid strikes with {listed}: too few to judge by.",
                few_solid=MIN_SOLID,
                listed=say.listed(few),
            )
        )
    if any(not case.fit(i).converged for i in range(len(case.names))):
        found.append(tell("A check of the arithmetic failed for a candidate; do not rely on this verdict."))
    if not aligned:
        found.append(
            tell("A side bias may be the player's or the set-up's until alignment is said to be checked.")
        )
    return [*found, *_of_the_unit(case), *_of_the_place(case, measure)]


def _of_the_unit(case: Case) -> list[str]:
    """Say how much of the spread along the line is the unit's own reading, where the unit is a coarse one.

    Shares of carry by grade: `shots.device.NOISE`, working judgements about units in general.
    """
    clubs = {entry.club for entry in case.slot.entries}
    visits = zip(case.table.text("club"), case.table.text("visit"), strict=True)
    said = {case.said.grade.get(visit) for club, visit in visits if club in clubs}
    worst = next((grade for grade in ("budget", "mid") if grade in said), None)
    if worst is None:
        return []
    share = NOISE[worst].carry
    return [
        tell(
            "The unit is said to read carry to about {percent:.1f} %: about {own} of the spread along the "
            "line is its own, alike for all candidates.",
            percent=100.0 * share,
            own=say.distance(share * case.spot.carry_m, case.system, 1),
        )
    ]


def _of_the_place(case: Case, measure: Measure) -> list[str]:
    found = []
    if case.spot.source == "midway between the candidates":
        found.append(
            tell(
                "No carry is known for the slot, so its spot lies midway between the candidates; "
                "give the bag or the spot."
            )
        )
    if measure == "miss" and case.bag is not None and case.spot.longer is None and case.bag.clubs:
        found.append(
            tell(
                "The slot is the long end of the bag: farther is not better on this measure. To ask "
                "which carries farther, decide by carry."
            )
        )
    kinds = {club.kind for i in range(len(case.names)) if (club := case.club(i)) is not None}
    parsed = {name.kind for entry in case.slot.entries if (name := parse_club_name(entry.club)) is not None}
    if "wedge" in (kinds or parsed) and not _part_swings(case):
        found.append(
            tell("No wedge verdict rests on full swings alone: hit three-quarter and half swings too.")
        )
    return found


def _part_swings(case: Case) -> bool:
    """Give true when every candidate was hit with a part swing too."""
    cells = {entry.key[0] for entry in case.slot.entries}
    hit = {club for club, swing in case.fits if swing.startswith(("three-quarter", "half"))}
    return cells <= hit


def before_buying(player: Player | None) -> tuple[str, ...]:
    """List cautions that go with the advice to carry another club."""
    found = [
        tell(
            "Custom builds are often not returnable; hit the built club against the tested one at delivery."
        ),
        tell("Whether a club may be played is decided by the governing bodies' lists and the committee."),
    ]
    if player is not None and player.seller_interest:
        found.append(tell("Seller's interest: {seller_interest}", seller_interest=player.seller_interest))
    return tuple(found)
