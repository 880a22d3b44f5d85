"""Restating: the same strikes in other air, other wind, with another ball, on other turf.

The strike is what is kept. A measured carry is multiplied by what its own launch flies there over what it
flies here, so the flight law only answers for the change, and there and back gives the carry that was
measured. Public names: docs/restate.md.
"""

from bagwright.restate.bag import BagRow, RestatedBag, restate_bag
from bagwright.restate.card import CARD, Card, CardRow, Place, card
from bagwright.restate.restated import ClubChange, Restated
from bagwright.restate.setting import BALL_FACTORS, Setting
from bagwright.restate.shots import restate_shots
from bagwright.restate.spread import SpreadThere, restate_dispersion

__all__ = [
    "BALL_FACTORS",
    "CARD",
    "BagRow",
    "Card",
    "CardRow",
    "ClubChange",
    "Place",
    "Restated",
    "RestatedBag",
    "Setting",
    "SpreadThere",
    "card",
    "restate_bag",
    "restate_dispersion",
    "restate_shots",
]
