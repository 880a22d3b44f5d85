"""Players made of figures: handicap, head speed, sex and hand, with the spread that published players have.

Nobody hit a ball for such a player: patterns are known, as those of the published players are (`reference`),
between and beyond them by handicap. How far they hit comes from head speed, else from handicap and sex
(dispersion room). To the left or right makes no difference to them: their patterns have no side.
"""

from __future__ import annotations

from collections.abc import Sequence

from bagwright.air import STANDARD, Wind
from bagwright.bag.club import Bag, Club, Player
from bagwright.dispersion import prior as p
from bagwright.errors import InputError
from bagwright.strokes import putting
from bagwright.strokes.flown_shots import Place
from bagwright.strokes.ground import Grounds
from bagwright.strokes.patterns import PatternTable
from bagwright.strokes.reference import known_kernels, usual_clubs
from bagwright.strokes.table import Who, table_of, with_wind
from bagwright.turf import FAIRWAY
from bagwright.words import tell


def bag_of_figures(player: Player, clubs: Sequence[Club] = ()) -> Bag:
    """The player with these clubs, or with the thirteen usual ones."""
    return Bag(player, tuple(clubs) or usual_clubs())


def table_of_figures(bag: Bag, wind: Wind | None = None) -> PatternTable:
    """Where the shots of a bag's carried clubs and candidates come down, by published figures.

    `wind.from_rad` counts clockwise from north, None is calm. Raises InputError without a handicap, and for a
    bag without a club to hit.
    """
    handicap = bag.player.handicap
    if handicap is None:
        raise InputError(tell("This player has no handicap."), tell("Spread goes by handicap: state one."))
    known = p.player_prior(bag.player)
    driver_m = known.length_m * p.DRIVER_RATIO
    clubs = [club for club in bag.with_status("carried", "candidate") if club.kind != "putter"]
    if not clubs:
        raise InputError(
            tell("The bag holds no club to hit."), tell('Give a club the status "carried" or "candidate".')
        )
    said = (tell("A player made of published figures: nobody's own shots."), *known.said)
    who = Who(handicap, putting.skill_of(handicap), said=said)
    kernels = known_kernels(clubs, driver_m, handicap)
    calm, strikes = table_of(kernels, who, Place(STANDARD, STANDARD, Grounds(FAIRWAY, None)))
    return with_wind(calm, strikes, STANDARD, wind)
