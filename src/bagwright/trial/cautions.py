"""The cautions of the trade, where they apply, in plain words."""

from __future__ import annotations

from bagwright.bag.club import Player

ORDER_OF_PLAY = (
    "Warm up first; stop at any pain.",
    "Check demo heads, sleeves, shafts and grips before use.",
    "Nobody inside the swing's reach, in line with a shank, or down range; the range's own rules rule.",
)


def injury(player: Player | None) -> tuple[str, ...]:
    """The injury note and pain, always shown before anything else."""
    if player is None:
        return ()
    found = []
    if player.injury:
        found.append(
            f"Injury note: {player.injury}. With an injury or a medical condition, ask a licensed practitioner first."
        )
    if player.pain:
        found.append("The player reports pain: stop, and ask a licensed practitioner before hitting on.")
    return tuple(found)


def people(player: Player | None) -> tuple[str, ...]:
    """Cautions that follow from who the player is."""
    if player is None:
        return ()
    found = []
    if player.halved_limits:
        found.append("Ball limits are halved (under 18, 65 and over, or pain).")
    if player.age is not None and player.age < 18:
        found.append("Junior: a guardian is informed, and present as local safeguarding requires; no heavy or long clubs to grow into.")
    if player.hand == "left":
        found.append("Left-hander: move the unit and the people to the other side.")
    return tuple(found)


def before_hitting(player: Player | None, flat_out: bool, mat: bool = True) -> tuple[str, ...]:
    """Cautions of a plan, the injury note first."""
    found = [*injury(player), *people(player), *ORDER_OF_PLAY]
    if flat_out:
        found.append("Flat-out swings only after the warm-up, and spread out; leave them out at the first twinge.")
    if mat:
        found.append("Mats load wrists and elbows, and flatter heavy strikes.")
    return tuple(found)


def before_buying(player: Player | None, currency_known: bool) -> tuple[str, ...]:
    """Cautions that go with the advice to carry another club."""
    found = [
        "Custom builds are often not returnable; try the built club against the tested one at delivery.",
        "Whether a club may be played is decided by the governing bodies' lists and the committee.",
    ]
    if currency_known and player is not None and player.seller_interest:
        found.append(f"Seller's interest: {player.seller_interest}")
    if player is not None and player.age is not None and player.age < 18:
        found.append("Junior: heavy or long clubs to grow into can harm.")
    return tuple(found)
