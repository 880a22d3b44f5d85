"""What a card leaves to the model, said as questions: usual sizes, and what nobody told."""

from __future__ import annotations

from bagwright.course.asking import Asked
from bagwright.course.card import Card
from bagwright.course.ground import MARGIN_M
from bagwright.course.model import (
    EDGE_M,
    FAIRWAY_FROM_M,
    FAIRWAY_WIDTH_M,
    GREEN_DEPTH_M,
    GREEN_WIDTH_M,
    ROUGH_M,
    TEE_M,
)
from bagwright.course.telling import length_told, size_told
from bagwright.words import join, tell, template

TAKEN = template(
    "{what} of this course are model ones of usual sizes (common practice), as a card does not show them."
)


def ask_model(card: Card, yards: bool, asked: Asked) -> None:
    """Say the sizes that every model hole has, and what no hole of the card has."""
    _sizes(yards, asked)
    asked.ask(
        0,
        "bounds",
        tell("A scorecard does not say where the course ends."),
        tell(
            "Out of bounds is what a hole's words say, and what lies farther than {margin} from its "
            "tees, fairway, bunkers and green.",
            margin=length_told(MARGIN_M, yards),
        ),
        tell('Write "out of bounds left" or the like among a hole\'s words, or add the area in the overlay.'),
    )
    if not any(hole.words for hole in card.holes):
        asked.ask(
            0,
            "words",
            tell("No hole has words about its water, bunkers, trees or bounds."),
            tell("There are none."),
            tell("Add a column `words`, or words under [hole.N.model] in the overlay."),
        )
    without = [str(hole.number) for hole in card.holes if hole.stroke_index is None]
    if without:
        asked.ask(
            0,
            "stroke_index",
            tell("No stroke index on holes {names}.", names=join(", ", without[:36])),
            tell("They have none."),
            tell("Fill it in on the card, or stroke_index under [hole.N] in the overlay."),
        )


def _sizes(yards: bool, asked: Asked) -> None:
    def told(metres: float) -> str:
        return length_told(metres, yards)

    widths = [tell("par {par} {width}", par=par, width=told(w)) for par, w in FAIRWAY_WIDTH_M.items()]
    asked.ask(
        0,
        "fairway",
        tell(TAKEN, what=tell("The fairways")),
        tell(
            "{widths} wide, from {start} after the back tee; none on a par 3.",
            widths=join(", ", widths),
            start=told(FAIRWAY_FROM_M),
        ),
        tell(
            'Write "width 28" among a hole\'s words, or fairway_width_m under [hole.N.model] in the overlay.'
        ),
    )
    asked.ask(
        0,
        "green",
        tell(TAKEN, what=tell("The greens")),
        tell(
            "An oval {wide} wide and {deep} deep, the pin in its middle.",
            wide=told(GREEN_WIDTH_M),
            deep=told(GREEN_DEPTH_M),
        ),
        tell(
            'Write "green 25x30" (width x depth) among a hole\'s words, or green_width_m, '
            "green_depth_m in the overlay."
        ),
    )
    asked.ask(
        0,
        "rough",
        tell(TAKEN, what=tell("The roughs")),
        tell(
            "Light rough for {light} beside the fairway, deep rough from there to {edge}.",
            light=told(ROUGH_M),
            edge=told(EDGE_M),
        ),
        tell('Write "trees both sides" or the like, or rough_width_m in the overlay.'),
    )
    asked.ask(
        0,
        "tees",
        tell(TAKEN, what=tell("The tees")),
        tell("{size} each, on the way, as far from the pin as the card says.", size=size_told(*TEE_M, yards)),
        tell("Move them in the overlay."),
    )
