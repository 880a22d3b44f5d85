"""Cautions that every paper shows where they apply, and the method in half a page."""

from __future__ import annotations

from bagwright.report.model import BuildClub, PlayerLine, ReportInput
from bagwright.report.safe import clean
from bagwright.words import join, tell

_ALWAYS = (
    (
        "near water",
        tell(
            "Distances are estimates with the stated range. Near water, roads or people play the safe side."
        ),
    ),
    ("stop at any pain", tell("Warm up before every session and stop at any pain.")),
    (
        "model",
        tell(
            "The answer holds for the shots, balls, surface and air of this report, and for the "
            "model behind it."
        ),
    ),
    (
        "4.3a",
        tell(
            "Planning with these numbers before a round is allowed. Advice worked out from where "
            "a ball lies may not be used during a round (Rule 4.3a)."
        ),
    ),
    (
        "committee",
        tell("The governing bodies' lists and the committee decide which clubs and balls are legal."),
    ),
    ("returnable", tell("Clubs built to order can often not be returned. Ask before you order.")),
    (
        "personal data",
        tell("This report holds personal data. Share it only with the player's consent; local law decides."),
    ),
)
"""Each with the words that show that somebody has already given it."""

_PAGE_ONE = (
    "practitioner", "guardian", "interest", "align", "wedge verdict", "in blocks", "too few to judge",
    "near water",
)  # fmt: skip

_WORKSHOP = (
    tell("Measure the club first. Stamped numbers mislead."),
    tell(
        "Stay within the head maker's limits. Bending can break a hosel and void a warranty: "
        "forged heads about 2 degrees, cast ones less and at the risk of cracking, hollow "
        "heads and glued wood hosels mostly not at all (common practice)."
    ),
    tell("Bending changes bounce and offset. Measure loft, lie angle and bounce again afterwards."),
    tell(
        "Grinding dust, epoxy and heat harm: eye protection, mask, gloves, fresh air. Work "
        "for the trained only."
    ),
    tell(
        "Let epoxy cure for its full time, check head, shaft and grip for a firm hold before the first swing."
    ),
)


def player_cautions(player: PlayerLine, given: tuple[str, ...]) -> tuple[str, ...]:
    """Give the cautions for a player's papers, what concerns injury and age first, without repeats."""
    told = join(" ", given).lower()
    first = []
    if (player.injury or player.pain) and "licensed practitioner" not in told:
        injury = tell(" ({injury})", injury=clean(player.injury, 160)) if player.injury else ""
        first.append(
            tell(
                "Injury or pain noted{injury}: ask a licensed practitioner before further tests.",
                injury=injury,
            )
        )
    if player.under_18 and "guardian" not in told:
        first.append(
            tell(
                "A junior: a guardian is informed, and present as local safeguarding requires. Clubs "
                "that are heavy or too long to grow into can harm."
            )
        )
    if player.seller_interest and "seller's interest" not in told:
        first.append(
            tell(
                "The seller's interest: {seller_interest}", seller_interest=clean(player.seller_interest, 220)
            )
        )
    always = (text for words, text in _ALWAYS if words not in told)
    return tuple(dict.fromkeys((*first, *(clean(text, 260) for text in given), *always)))


def first_cautions(cautions: tuple[str, ...]) -> tuple[str, ...]:
    """Pick those that belong on page one: health and age, interests, what weakens the answer, safety."""
    return tuple(text for text in cautions if any(word in text.lower() for word in _PAGE_ONE))[:6]


def workshop_cautions() -> tuple[str, ...]:
    """Give the cautions on every build sheet."""
    return _WORKSHOP


def bending_note(club: BuildClub) -> str:
    """Give what bending this wedge does to its bounce, or "" where no wedge is bent.

    About a degree of bounce goes with a degree of loft taken off (common practice, no source).
    """
    if club.kind != "wedge" or club.loft_deg is None or club.proposed_loft_deg is None:
        return ""
    stronger = club.loft_deg - club.proposed_loft_deg
    if abs(stronger) < 0.05:
        return ""
    turn = tell("stronger") if stronger > 0 else tell("weaker")
    effect = tell("takes away") if stronger > 0 else tell("adds")
    said = tell(
        "Bent {stronger:.1f}° {turn}: this {effect} about {stronger:.1f}° of bounce",
        stronger=abs(stronger),
        turn=turn,
        effect=effect,
    )
    if club.bounce_deg is not None:
        said += tell(
            ", from {bounce_deg:.1f}° to about {bounce_deg_2:.1f}°",
            bounce_deg=club.bounce_deg,
            bounce_deg_2=club.bounce_deg - stronger,
        )
    return said + tell(
        " (common practice; measure it). Check that the sole still suits the player's turf and sand."
    )


METHOD = (
    tell(
        "Every ball counts as one of three things: a solid strike, a mishit or a bad read of "
        "the unit. Solid strikes scatter around the club's own centre. Mishits fall short "
        "and wider; they stay in, because they belong to the club. Bad reads are left out. "
        "Nothing is deleted: each mark has a reason and can be taken back."
    ),
    tell(
        "A few balls say little about one club alone. So the clubs of the bag lend each "
        "other strength: length, side and scatter are shared as far as the shots agree, and "
        "a club's own shots take over as they add up. Warming up, tiring and the day's form "
        "are part of the calculation."
    ),
    tell(
        "Each number comes with a range. In nine cases of ten the true value lies inside it. "
        'A chance above 97 % is written ">97 %", because no bay session can be surer. The '
        'words go with the figures: below 60 % "cannot tell", to 75 % "slight lean", to 90 % '
        '"likely", to 97 % "very likely", above that "almost certain".'
    ),
    tell(
        "The choice is the candidate with the smallest average miss: the mean distance "
        "between where the ball lands and the spot that the slot is for, mishits counted in, "
        "over everything that the shots leave possible. The carry of well struck balls and "
        "the share of mishits are always stated apart."
    ),
)
"""How the numbers come about, for no statistician; the last paragraph says how the choice is made."""

_LONGEST = tell(
    "The choice is the candidate that carries farthest when struck well, over everything "
    "that the shots leave possible. The share of mishits is stated apart."
)


def method_of(report: ReportInput) -> tuple[str, ...]:
    """Give the method's paragraphs: how the choice is made only where there was one to make."""
    if report.answer is None:
        return METHOD[:-1]
    return METHOD if report.answer.measure == "miss" else (*METHOD[:-1], _LONGEST)
