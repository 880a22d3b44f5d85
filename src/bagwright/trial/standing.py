"""Fourth side of a verdict, place in the bag: steps, who else could do it, price, waiting."""

from __future__ import annotations

import numpy as np

from bagwright.estimate import percent, probability_words
from bagwright.trial import say
from bagwright.trial.case import Case
from bagwright.trial.compare import lead, range_of
from bagwright.trial.place import difference, stand_ins
from bagwright.trial.result import PlaceLine, PlaceSide, StandIn
from bagwright.words import join, tell, term

_WORTH_NAMING = 0.25
"""A neighbour is named as a stand-in from this chance on."""


def place_side(case: Case) -> PlaceSide:
    """Judge whose solid strikes land nearest the slot's spot, and what each does to the distances."""
    spot = case.spot
    found = lead(np.abs(case.pattern.carry_m - spot.carry_m))
    lines = tuple(_line(case, i) for i in range(len(case.names)))
    others = stand_ins(spot, case.fits)
    first = case.names[found.first]
    head = tell(
        "The slot is for {distance} ({source})",
        distance=say.distance(spot.carry_m, case.system),
        source=spot.source,
    )
    if found.probability < 0.6:
        sentence = tell("{head}; {sure} who lands nearer.", head=head, sure=say.sure(found.probability))
    else:
        sentence = tell(
            "{head}; {first} lands nearest: {sure}.", head=head, first=first, sure=say.sure(found.probability)
        )
    return PlaceSide(
        spot.carry_m,
        spot.source,
        spot.longer.club.name if spot.longer is not None else None,
        spot.shorter.club.name if spot.shorter is not None else None,
        lines,
        others,
        first,
        found.probability,
        probability_words(found.probability),
        sentence + _stand_in_words(others) + _costs(lines, case),
    )


def _line(case: Case, i: int) -> PlaceLine:
    carry = range_of(case.pattern.carry_m[:, i])
    longer, shorter, club = case.spot.longer, case.spot.shorter, case.club(i)
    return PlaceLine(
        case.names[i],
        difference(longer.carry_m, carry) if longer is not None else None,
        difference(carry, shorter.carry_m) if shorter is not None else None,
        carry.shifted(-case.spot.carry_m),
        club.price if club is not None else None,
        club.lead_time_days if club is not None else None,
    )


def _stand_in_words(others: tuple[StandIn, ...]) -> str:
    named = [
        tell(
            "{other_club} {swing} ({percent}{hit})",
            other_club=other.club,
            swing=term(other.swing),
            percent=percent(other.probability),
            hit="" if other.measured else tell(", not hit: estimated"),
        )
        for other in others
        if other.probability >= _WORTH_NAMING
    ]
    return tell(" Might do it too: {listed}.", listed=say.listed(named)) if named else ""


def _costs(lines: tuple[PlaceLine, ...], case: Case) -> str:
    currency = (
        tell(" {currency}", currency=case.bag.player.currency)
        if case.bag is not None and case.bag.player.currency
        else ""
    )
    told = []
    for line in lines:
        price = (
            tell("{price:g}{currency}", price=line.price, currency=currency) if line.price is not None else ""
        )
        wait = (
            tell("{lead_time_days:g} days' wait", lead_time_days=line.lead_time_days)
            if line.lead_time_days is not None
            else ""
        )
        if price or wait:
            told.append(
                tell(
                    "{line} {part}", line=line.name, part=join(", ", (part for part in (price, wait) if part))
                )
            )
    return tell(" Costs: {told}.", told=join("; ", told)) if told else ""
