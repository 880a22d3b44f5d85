"""What must be said of wedges: bounce, sole and grooves count like loft, and full swings are not enough."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from bagwright.bag.club import Club
from bagwright.bag.finding import Finding, make_finding
from bagwright.distances.rows import Row
from bagwright.distances.table import StepRules
from bagwright.words import join, tell, term_of


def wedge_findings(rows: Sequence[Row], rules: StepRules) -> Iterator[Finding]:
    """Bent wedges, what is known of each wedge's sole, and which partial swings nobody has hit yet."""
    wedges = [
        row for row in rows if row.kind == "wedge" and row.status in ("carried", "by name", "candidate")
    ]
    for row in wedges:
        yield from _bent(row, rules)
    yield from _details(wedges)
    yield from _partial_swings(wedges)


def _bent(row: Row, rules: StepRules) -> Iterator[Finding]:
    club = row.club
    if club is None or club.build.loft_deg is None or club.stamped_loft_deg is None:
        return
    change = club.build.loft_deg - club.stamped_loft_deg
    if abs(change) < rules.bent_from_deg:
        return
    told = {
        "row": row.name,
        "stamped": club.stamped_loft_deg,
        "measured": club.build.loft_deg,
        "change": abs(change),
    }
    text = (
        tell("{row} is stamped {stamped:g}° and measures {measured:g}°: {change:g}° weak.", **told)
        if change > 0
        else tell("{row} is stamped {stamped:g}° and measures {measured:g}°: {change:g}° strong.", **told)
    )
    if club.bounce_deg is None:
        text += tell(" Its bounce is not given; it changed by about as much (common practice, no source).")
    else:
        bounce = {"bounce": club.bounce_deg, "now": club.bounce_deg + change}
        text += (
            tell(
                " If {bounce:g}° is the bounce from the maker, about {now:g}° is left: a degree of loft "
                "takes about a degree of bounce (common practice, no source).",
                **bounce,
            )
            if change < 0
            else tell(
                " If {bounce:g}° is the bounce from the maker, about {now:g}° is there now: a degree of loft "
                "brings about a degree of bounce (common practice, no source).",
                **bounce,
            )
        )
    yield make_finding(
        "bent wedge", (row.name,), (text,), (tell("Measure the bounce, and choose by the turf."),)
    )


def _details(wedges: Sequence[Row]) -> Iterator[Finding]:
    """One finding for what is known of bounce, sole and grooves, one for what is not."""
    known, unknown = [], []
    for row in wedges:
        club = row.club
        facts = [] if club is None else _facts(club)
        if facts:
            known.append(tell("{row}: {facts}", row=row.name, facts=join(", ", facts)))
        if len(facts) < 3:
            unknown.append(row.name)
    if known:
        text = tell("Wedges by more than loft. {known}.", known=join("; ", known))
        yield make_finding("wedge soles", tuple(row.name for row in wedges), (text,))
    if unknown:
        text = tell("Bounce, sole or groove age not given: {unknown}.", unknown=join(", ", unknown))
        step = tell(
            "Add bounce, sole and the age of the grooves: on turf and sand they decide as much as loft."
        )
        yield make_finding("wedge soles", tuple(unknown), (text,), (step,))


def _facts(club: Club) -> list[str]:
    """List what is known of a wedge's bounce, sole and grooves."""
    bounce, age = club.bounce_deg, club.groove_age_months
    facts = [tell("bounce {bounce:g}°", bounce=bounce)] if bounce is not None else []
    facts += [tell("{sole} sole", sole=term_of(club.sole, "sole"))] if club.sole else []
    return facts + ([tell("grooves {age:g} months old", age=age)] if age is not None else [])


def _partial_swings(wedges: Sequence[Row]) -> Iterator[Finding]:
    missing = [row.name for row in wedges if not row.partial_hit]
    if missing:
        names = join(", ", missing)
        text = tell(
            "Known from full swings only, or not at all: {names}. No choice of wedges rests on these alone.",
            names=names,
        )
        step = tell(
            "Hit five three-quarter and five half swings with each, from turf and sand where there is any."
        )
        yield make_finding("wedge swings", tuple(missing), (text,), (step,))
