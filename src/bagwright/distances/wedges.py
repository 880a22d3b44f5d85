"""What must be said of wedges: bounce, sole and grooves count like loft, and full swings are not enough."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from bagwright.bag.club import Club
from bagwright.bag.finding import Finding, make_finding
from bagwright.distances.rows import Row
from bagwright.distances.table import StepRules


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
    way = "weak" if change > 0 else "strong"
    lofts = f"{club.stamped_loft_deg:g}° and measures {club.build.loft_deg:g}°: {abs(change):g}° {way}"
    text = f"{row.name} is stamped {lofts}."
    if club.bounce_deg is None:
        text += " Its bounce is not given; it changed by about as much (common practice, no source)."
    else:
        now = f"about {club.bounce_deg + change:g}° is {'left' if change < 0 else 'there now'}"
        text += (
            f" If {club.bounce_deg:g}° is the bounce from the maker, {now}: a degree of loft "
            f"{'takes' if change < 0 else 'brings'} about a degree of bounce (common practice, no source)."
        )
    yield make_finding("bent wedge", (row.name,), (text,), ("Measure the bounce, and choose by the turf.",))


def _details(wedges: Sequence[Row]) -> Iterator[Finding]:
    """One finding for what is known of bounce, sole and grooves, one for what is not."""
    known, unknown = [], []
    for row in wedges:
        club = row.club
        facts = [] if club is None else _facts(club)
        if facts:
            known.append(f"{row.name}: {', '.join(facts)}")
        if len(facts) < 3:
            unknown.append(row.name)
    if known:
        text = f"Wedges by more than loft. {'; '.join(known)}."
        yield make_finding("wedge soles", tuple(row.name for row in wedges), (text,))
    if unknown:
        text = f"Bounce, sole or groove age not given: {', '.join(unknown)}."
        step = "Add bounce_deg, sole and groove_age_months: on turf and sand they decide as much as loft."
        yield make_finding("wedge soles", tuple(unknown), (text,), (step,))


def _facts(club: Club) -> list[str]:
    """List what is known of a wedge's bounce, sole and grooves."""
    bounce, age = club.bounce_deg, club.groove_age_months
    facts = [f"bounce {bounce:g}°"] if bounce is not None else []
    facts += [f"{club.sole} sole"] if club.sole else []
    return facts + ([f"grooves {age:g} months old"] if age is not None else [])


def _partial_swings(wedges: Sequence[Row]) -> Iterator[Finding]:
    missing = [row.name for row in wedges if not row.partial_hit]
    if missing:
        names = ", ".join(missing)
        text = (
            f"Known from full swings only, or not at all: {names}. No choice of wedges rests on these alone."
        )
        step = "Hit five three-quarter and five half swings with each, from turf and sand where there is any."
        yield make_finding("wedge swings", tuple(missing), (text,), (step,))
