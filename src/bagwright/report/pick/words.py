"""What is said of a pick: differences in words, the proof line, the way to it, where the choice shows."""

from __future__ import annotations

from bagwright.estimate import Estimate, percent, probability_words
from bagwright.pick.result import TIE_STROKES, Pick, RunnerUp, Worth, proof_words
from bagwright.pick.route import REACH_STROKES, Route
from bagwright.pick.wish import WITHIN_STROKES
from bagwright.report.pick.shown import HoleChange, PickShown
from bagwright.report.words import NONE, chance, counted, joined, number
from bagwright.units import System
from bagwright.words import first_upper, join, tell

LEAST_SHOWN = 0.005
"""A hole that changes by less is not said to show the choice (judgement)."""
FEW_HIT = 0.25
"""Where no more than this share of the picked clubs was hit, balls are asked for first (judgement)."""


def proof_line(pick: Pick) -> str:
    """What is proven, in the reader's language, under this model and these inputs."""
    every = pick.method == "every bag"
    return proof_words(pick.optimal, pick.bags, every, pick.gap, max(0.0, pick.round - pick.likely_bound))


def unhit_words(shown: PickShown) -> str:
    """How many clubs of the pick were never hit, and what their figures come from; "" where all were."""
    clubs = shown.pick.clubs
    hit = {one.club for one in shown.carries.clubs if one.n_shots}
    unhit = [club for club in clubs if club not in hit]
    if not unhit:
        return ""
    if not hit:
        return tell(
            "None of these clubs has been hit yet: everything here comes from handicap, speed and loft. Hit "
            "some balls before buying."
        )
    said = tell(
        "Not hit yet: {n} of the {all} clubs. Their figures come from handicap, speed, loft and the balls of "
        "other clubs.",
        n=len(unhit), all=len(clubs),
    )  # fmt: skip
    few = len(clubs) - len(unhit) <= FEW_HIT * len(clubs)
    return join(" ", (said, tell("Hit some balls before buying."))) if few else said


def more_words(more: float) -> str:
    """What a difference in strokes a round means, beside its figure; `more` above 0 costs strokes."""
    size = abs(more)
    if size <= TIE_STROKES:
        return tell("a tie: the model settles no such difference")
    if size <= WITHIN_STROKES:
        return tell("as good: nobody can feel it")
    if size <= REACH_STROKES:
        return tell("about as well: a stroke in {n} rounds", n=f"{1 / size:.0f}")
    if size < 1.0:
        return tell("a stroke in {n} rounds", n=f"{max(2.0, 1 / size):.0f}")
    return tell("{strokes:.1f} strokes every round", strokes=size)


def ranged_words(strokes: Estimate) -> str:
    """Strokes with their 90 % range: "0.220 (0.120 to 0.310)"."""
    return tell(
        "{value} ({low} to {high})", value=number(strokes.value, 3), low=number(strokes.low, 3),
        high=number(strokes.high, 3),
    )  # fmt: skip


def worth_figure(one: Worth) -> str:
    """What a club saves, with its 90 % range where that is known."""
    return number(one.strokes, 3) if one.range is None else ranged_words(one.range)


def worth_words(one: Worth) -> str:
    """What a club saves, how sure, and what that means: "0.220 (0.120 to 0.310): a stroke in 5 rounds"."""
    return tell("{figure}: {words}", figure=worth_figure(one), words=more_words(one.strokes))


def runner_words(one: RunnerUp) -> str:
    """A bag near the picked one: what is swapped."""
    if not one.instead:
        return tell("without {out}", out=joined(one.without))
    if not one.without:
        return tell("{into} as well", into=joined(one.instead))
    return tell("{into} for {out}", into=joined(one.instead), out=joined(one.without))


def holes_that_show(shown: PickShown, most: int = 5) -> tuple[HoleChange, ...]:
    """Holes where the picked bag differs most from today's, either way; each played once."""
    found = sorted(shown.holes, key=lambda one: -abs(one.saves))
    return tuple(one for one in found[:most] if abs(one.saves) >= LEAST_SHOWN)


def tee_words(one: HoleChange, system: System) -> str:
    """What is played from a tee with today's bag and with the picked one."""
    then, now = ((NONE if shot is None else shot.said(system)) for shot in (one.tee_today, one.tee_picked))
    return now if then == now else tell("{then}, now {now}", then=then, now=now)


def keep_words(shown: PickShown) -> str:
    """Whether today's bag may stay, in a sentence; "" where today's clubs are no bag to compare with."""
    today = shown.pick.today
    if today is None:
        return ""
    more = today - shown.pick.round
    if shown.keeps:
        return tell(
            "Keeping today's bag is as good: it costs {more} strokes a round more ({words}).",
            more=number(max(more, 0.0), 3), words=more_words(more),
        )  # fmt: skip
    if more < 0.0:
        return tell(
            "Today's clubs cost {less} strokes a round fewer, but they are more than may be carried.",
            less=number(-more, 3),
        )
    return tell(
        "Against today's bag the picked one saves {more} strokes a round ({words}).",
        more=number(more, 3), words=more_words(more),
    )  # fmt: skip


def route_words(route: Route, currency: str) -> str:
    """The cheapest way to a bag that does about as well, its price and when it is there."""
    more = number(route.more, 3)
    if not route.buys:
        return tell(
            "Buy nothing: the clubs that are carried today make a bag that costs {more} strokes a round more "
            "than the picked one ({words}).",
            more=more, words=more_words(route.more),
        )  # fmt: skip
    days = (
        tell("when it would be there is not known")
        if route.lead_time_days is None
        else tell("there in {days:.0f} days", days=route.lead_time_days)
    )
    amount = number(route.price, 0 if route.price == int(route.price) else 2)
    told = tell(
        "{buys} for {price}, {days}: that bag costs {more} strokes a round more than the picked one.",
        buys=joined(route.buys), days=days, more=more,
        price=tell("{price} {currency}", price=amount, currency=currency) if currency.strip() else amount,
    )  # fmt: skip
    if route.nothing_more is None:
        return told
    return join(
        " ",
        (told, _nothing_words(route.nothing_more, route.nothing_chance)),
    )


def _nothing_words(more: float, chance_of: float | None) -> str:
    told = tell("Buying nothing costs {more} strokes a round.", more=number(more, 3))
    if chance_of is None:
        return told
    as_good = tell(
        "Buying nothing does as well in {chance} of what the shots leave open.", chance=chance(chance_of)
    )
    return join(" ", (told, as_good))


def left_out_words(route: Route) -> str:
    """Which clubs the cheapest way could not count; "" where none."""
    if not route.no_price:
        return ""
    return tell("Left out, as nobody gave a price: {names}.", names=joined(route.no_price))


def _crowd(pick: Pick) -> str:
    """More bags come near than are kept: fewer strokes count as near, and none where they all tie."""
    if pick.within < 0.0:
        return tell("Very many bags tie with it, so that none of them is listed.")
    return tell(
        "Very many bags come near it: only those within {within:.5f} strokes are listed.", within=pick.within
    )


def near_words(shown: PickShown) -> str:
    """How many bags do about as well, ties counted apart. Never one bag as if it stood alone."""
    pick = shown.pick
    if pick.within < shown.within:
        return _crowd(pick)
    ties = sum(1 for one in pick.runners_up if one.tie)
    if not pick.near:
        told = tell(
            "No other allowed bag comes within {within} strokes a round.", within=number(shown.within, 2)
        )
        return (
            told
            if pick.optimal
            else tell(
                "No other bag within {within} strokes a round was found.", within=number(shown.within, 2)
            )
        )
    told = tell(
        "{bags} within {within} strokes a round of it: choose among them by price, feel and look.",
        bags=counted(pick.near, "other bag"), within=number(shown.within, 2),
    )  # fmt: skip
    return join(" ", (told, tell("{ties} of them tie with it.", ties=ties))) if ties else told


def shots_words(pick: Pick) -> str:
    """How sure the shots are that it is the best of those near it; that it was not asked, else."""
    sure_of = pick.how_sure
    if sure_of.chance is None:
        return tell("How well the shots know the player is not in these figures.")
    if not pick.runners_up:
        return tell(
            "No other bag comes near it under this model; what the shots leave open may still move it."
        )
    return first_upper(
        tell(
            "{words}: over what the shots leave open, this bag is the best of the {bags} listed in {share} "
            "of the draws.",
            words=probability_words(sure_of.chance), bags=len(pick.runners_up) + 1,
            share=percent(sure_of.chance),
        )
    )  # fmt: skip


def further_words(pick: Pick) -> tuple[str, ...]:
    """What more balls would do for the choice, a sentence for each club; else that none is worth it."""
    if pick.how_sure.chance is None:
        return ()
    found = tuple(
        tell(
            "{balls} with the {club}: the choice gains {strokes} strokes a round on average, and changes in "
            "{chance} of cases.",
            balls=counted(one.balls, "more ball"), club=one.club, strokes=number(one.worth_strokes, 4),
            chance=chance(one.chance_to_change),
        )
        for one in pick.how_sure.further
    )  # fmt: skip
    return found or (
        tell("More balls would not move this choice by anything that counts: hit them for another reason."),
    )
