"""The fixed words of the papers' templates, and a paper's data in a language."""

from __future__ import annotations

from typing import Any

from bagwright.errors import InputError
from bagwright.words import LANGUAGES, all_in_language, plain, tell

FIXED: tuple[str, ...] = (
    tell("Build sheet for"),
    tell("What the workshop is asked to do"),
    tell(
        "Changes are marked ► and in bold. All other fields stay as they are. Please measure "
        "before and after, and write both down."
    ),
    tell("Cautions for the workshop"),
    tell("The seller's interest:"),
    tell("Signed off"),
    tell("Field"),
    tell("Present"),
    tell("Proposed"),
    tell("Tolerance"),
    tell("Reason"),
    tell("Measured before"),
    tell("As built"),
    tell("Ordered by"),
    tell("Signature"),
    tell("Date"),
    tell("Built and measured by"),
    tell("Checked against the tested club by"),
    tell("Page {{n}} of {{all}}"),
    tell("Logo of the shop"),
    tell("Club report for"),
    tell("Please note"),
    tell("The candidates from four sides"),
    tell("The four sides in words"),
    tell("The candidates"),
    tell("The candidates from the side"),
    tell("How the ball leaves the face"),
    tell("Where the balls finished"),
    tell("How far each club carries"),
    tell("Carry and side"),
    tell("Shorter wedge swings"),
    tell("Steps between neighbours"),
    tell("What stands out"),
    tell("The bag from the side"),
    tell("How the ball leaves each club"),
    tell("In other air"),
    tell("Carry in other air"),
    tell("Today:"),
    tell("On the course"),
    tell(
        "Strokes expected on each hole with that candidate in the slot; used: how often it is hit there, "
        "a round. Planned before the round (Rule 4.3a)."
    ),
    tell("The bag"),
    tell("What each club is worth"),
    tell("Distances before and after"),
    tell("Holes where the choice shows"),
    tell("Strokes expected each time the hole is played."),
    tell("Bags that do about as well"),
    tell("What more balls would do, and the cheapest way"),
    tell("Ball by ball"),
    tell("The bag as measured"),
    tell("What to test next"),
    tell("Conditions"),
    tell("Cautions"),
    tell("How the numbers come about"),
    tell("Side"),
    tell("Ahead"),
    tell("How sure"),
    tell("What the shots say"),
    tell("Still open"),
    tell("Carry in {{unit}}"),
    tell("Wedges, carry in {{unit}}"),
    tell("Yardage card"),
    tell(
        "*How to read it.* Carry of a well struck ball, no wind, level ground. The small "
        "number beside it: nine times in ten the true carry is within that many either way. "
        "A ≈ in front: not hit, estimated. *Side:* where the balls mostly finish (L left, R "
        "right), and how sure that is."
    ),
    tell("Shorter swings and care"),
    tell(
        "*Take care.* These are estimates for that ball and that surface. Mishits fall short "
        "of them. Near water, roads or people play the safe side. Warm up first and stop at "
        "any pain. The card was planned before the round, which is allowed; advice worked "
        "out from where a ball lies is not (Rule 4.3a)."
    ),
    tell("Landing and run in {{unit}}"),
    tell("{{title}}: carry in {{unit}}"),
    tell("Club"),
    tell("Winter, altitude and wind"),
    tell("*Starts from:* {{today}}. The same strike in other air; the ball and the player's form stay."),
    tell(
        "*Lands at:* degrees below level. *Run* and *total:* on a normal fairway, the range "
        "nine times in ten. *Holds:* balls in 100 that stop on a normal green; firm greens "
        "hold fewer. *↔:* sideways with the wind. The small number: nine times in ten within "
        "that many either way."
    ),
    tell(
        "Run, green and other air are worked out, not measured. Near water, roads or people "
        "play the safe side. Planned before the round (Rule 4.3a)."
    ),
    tell("fold here"),
    tell(
        "*Yardage card for {{player}}.* Print at full size (100 %). Cut along the outer "
        "line. Fold at the dashed lines, back and forth like a map, so that the blue panel "
        "with the name is outside."
    ),
    tell("*Second card for {{player}}: run, winter, altitude and wind.* Print, cut and fold like the first."),
    tell(" "),
    tell("Gripped down"),
    tell("Stock"),
    tell("Flat out"),
    tell("Half"),
    tell("Three-quarter"),
    tell("Lands at"),
    tell("Run"),
    tell("Total"),
    tell("Holds"),
)
"""Every text that a template asks for by `w("...")`; a test holds the two against each other."""


def paper_in(data: dict[str, Any], language: str) -> dict[str, Any]:
    """Give a paper's data with every text of ours in a language, and the template's own words beside it.

    Raises InputError for a language that the program does not write.
    """
    if language not in LANGUAGES:
        raise InputError(
            tell('"{language}" is no language of the papers.', language=language[:20]),
            tell("Choose en or de."),
        )
    words = {plain(text): text for text in FIXED}
    return {**all_in_language({**data, "words": words}, language), "language": language}
