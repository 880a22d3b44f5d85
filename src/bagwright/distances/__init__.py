"""The bag by carry: distances with ranges, steps, gaps and overlaps, and what to do about them.

    table = distances(fits, bag)

What is called even, too narrow or too wide is in `StepRules` and is the user's own to change. Everything
holds for solid strikes of the day, the ball and the surface that the shots were hit with.
"""

from __future__ import annotations

from bagwright.bag.club import Bag
from bagwright.bag.finding import Finding, make_finding
from bagwright.distances.findings import bunched_long_end, off_line_findings, step_findings
from bagwright.distances.line import loft_line
from bagwright.distances.rows import Row, club_row, table_rows
from bagwright.distances.setsize import set_size_findings, slot_findings, slots_free
from bagwright.distances.steps import bag_steps
from bagwright.distances.table import (
    ClubDistance,
    DistanceTable,
    Fits,
    LoftLine,
    Step,
    StepRules,
    SwingDistance,
)
from bagwright.distances.wedges import wedge_findings
from bagwright.words import join, tell

__all__ = [
    "ClubDistance", "DistanceTable", "LoftLine", "Step", "StepRules", "SwingDistance", "distances",
]  # fmt: skip


def distances(fits: Fits, bag: Bag | None = None, rules: StepRules | None = None) -> DistanceTable:
    """Put the bag in order of carry and say what stands out.

    With a bag, its carried clubs make the steps: those never hit are predicted from the rest and marked so;
    hit candidates and spares are listed. Without one, every build that was hit is taken as carried. All
    metres and radians; every carry with its 90 % range, every finding with its probability where one was
    computed.
    """
    rules = rules or StepRules()
    rows = table_rows(fits, bag)
    player = bag.player if bag else None
    steps = bag_steps(rows, fits, rules)
    line = loft_line(rows, rules)
    bunches = bunched_long_end(rows, player, rules)
    bunched = frozenset(name for finding in bunches for name in finding.clubs)
    n_carried = len(bag.with_status("carried")) if bag else None
    findings = [
        *step_findings(steps, rows, bunched),
        *bunches,
        *off_line_findings(line, bunched, rules),
        *(slot_findings(bag, steps) if bag else ()),
        *set_size_findings(rows, steps, player, n_carried, rules),
        *wedge_findings(rows, rules),
        *_not_hit(rows),
    ]
    return DistanceTable(
        tuple(club_row(row, fits) for row in rows),
        steps,
        tuple(findings),
        line,
        slots_free(bag) if bag else None,
    )


def _not_hit(rows: tuple[Row, ...]) -> tuple[Finding, ...]:
    """Say which carried clubs are only predicted, and which names the bag does not know."""
    out = []
    predicted = tuple(row.name for row in rows if row.used == "predicted")
    if predicted:
        text = tell(
            "Not hit, so predicted from the other clubs and wide: {predicted}.",
            predicted=join(", ", predicted),
        )
        out.append(make_finding("not hit", predicted, (text,), (tell("Hit a few balls with each."),)))
    strangers = tuple(row.name for row in rows if row.status == "not in the bag")
    if strangers:
        text = tell("Hit, but not in the bag, so in no step: {strangers}.", strangers=join(", ", strangers))
        step = tell("Add each to the bag, or its name to the other spellings of a club that is there.")
        out.append(make_finding("not in the bag", strangers, (text,), (step,)))
    return tuple(out)
