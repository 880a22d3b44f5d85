"""Second side of a verdict, flight: swings, carry, height, landing, run, and whether a green is held."""

from __future__ import annotations

from typing import TYPE_CHECKING

from bagwright.estimate import Estimate, probability_words
from bagwright.shots.record import SWINGS
from bagwright.trial import say
from bagwright.trial.case import Case
from bagwright.trial.compare import lead, range_of
from bagwright.trial.result import FlightLine, FlightSide, SwingLine
from bagwright.units import RAD_PER_DEG
from bagwright.words import join, tell, term

if TYPE_CHECKING:
    from bagwright.trial.flown import Flown


def flight_side(case: Case) -> FlightSide:
    """Judge who carries farther with solid strikes, and list every swing that was hit."""
    carry = case.pattern.carry_m
    found = lead(-carry)
    probability, difference = found.probability, range_of(carry[:, found.first] - carry[:, found.second])
    first, second = case.names[found.first], case.names[found.second]
    entries = case.slot.entries
    exact = case.fits.contrast(entries[found.first].key, entries[found.second].key, case.blocked)
    if exact.mean_m >= 0.0:
        probability = exact.probability
        difference = Estimate(exact.mean_m, exact.low_m, exact.high_m)
    balls = case.fit(found.first).n_shots + case.fit(found.second).n_shots
    figures = tell(
        "about {distance}, 90 % range {span}, {balls}",
        distance=say.distance(difference.value, case.system),
        span=say.span(difference, case.system),
        balls=say.balls(balls),
    )
    if probability < 0.6:
        sentence = tell(
            "Carry: {sure} whether {first} or {second} carries farther ({figures}).",
            sure=say.sure(probability),
            first=first,
            second=second,
            figures=figures,
        )
    else:
        sentence = tell(
            "{first} carries farther than {second}: {sure}, {figures}.",
            first=first,
            second=second,
            sure=say.sure(probability),
            figures=figures,
        )
    lines = tuple(_line(case, i) for i in range(len(case.names)))
    words = probability_words(probability)
    sentence = tell(
        "{sentence}{landing}{not_hit}", sentence=sentence, landing=_landing(lines), not_hit=_not_hit(lines)
    )
    return FlightSide(lines, first, probability, words, difference, sentence)


def _line(case: Case, i: int) -> FlightLine:
    from bagwright.trial.flown import flown

    entry = case.slot.entries[i]
    found = flown(case.table, case.fits, entry.key, case.club(i), case.said)
    if found is None:
        words = tell(
            "{entry}: landing and run are not known, as only carry and side were measured.", entry=entry.name
        )
    else:
        words = flown_words(entry.name, found)
    return FlightLine(entry.name, _swings(case, i), found, words)


def flown_words(name: str, found: Flown) -> str:
    """Say how a ball lands and whether it stops, each with how sure, and what of it was not measured."""
    said = tell(
        "{name} lands at {descent} and {green}", name=name, descent=_descent(found), green=_green(found)
    )
    return tell("{said}{doubts}.", said=said, doubts=_doubts(found))


def _landing(lines: tuple[FlightLine, ...]) -> str:
    """Say the same of all candidates in a row, what holds for all of them once."""
    known = [(line.name, line.flown) for line in lines if line.flown is not None]
    if not known:
        return tell(" How they land is not known, as only carry and side were measured.") if lines else ""
    said = tell(
        " Lands at: {value}.",
        value=join(
            ", ", (tell("{name} {descent}", name=name, descent=_descent(found)) for name, found in known)
        ),
    )
    greens = {name: _green(found) for name, found in known}
    if len(set(greens.values())) == 1 and len(known) > 1:
        said += tell(" Each of them {iter}.", iter=next(iter(greens.values())))
    else:
        said += join("", (tell(" {name} {green}.", name=name, green=green) for name, green in greens.items()))
    said += join(
        "",
        (
            tell(" {name}{removeprefix}.", name=name, removeprefix=_doubts(found).removeprefix(";"))
            for name, found in known
            if _doubts(found)
        ),
    )
    missing = [line.name for line in lines if line.flown is None]
    return (
        tell("{said} Landing not known of {listed}.", said=said, listed=say.listed(missing))
        if missing
        else said
    )


def _descent(found: Flown) -> str:
    shown = found.descent_rad.scaled(1.0 / RAD_PER_DEG)
    about = tell("about ") if "descent" in found.worked_out else ""
    return tell(
        "{about}{shown_value:.0f}° ({shown_low:.0f} to {shown_high:.0f})",
        about=about,
        shown_value=shown.value,
        shown_low=shown.low,
        shown_high=shown.high,
    )


def _green(found: Flown) -> str:
    held = found.holds_green.value
    does = tell("holds a normal green") if held >= 0.5 else tell("runs off a normal green")
    return tell("{does}: {sure}", does=does, sure=say.sure(max(held, 1.0 - held)))


def _doubts(found: Flown) -> str:
    """Say what was not measured and what does not fit together, each after a semicolon."""
    said = (
        tell("; {listed} inferred, not measured", listed=say.listed(found.inferred)) if found.inferred else ""
    )
    return tell("{said}; {doubt}", said=said, doubt=found.doubt) if found.doubt else said


def _swings(case: Case, i: int) -> tuple[SwingLine, ...]:
    """Give the candidate's own swing first, then the other swings of its build, in the usual order."""
    own = case.slot.entries[i]
    keys = [key for key in case.fits if key[0] == own.key[0] and key != own.key]
    usual = {swing: rank for rank, swing in enumerate(SWINGS)}
    keys.sort(key=lambda key: (usual.get(key[1], len(usual)), key[1]))
    lines = []
    for key in (own.key, *keys):
        fit = case.fits[key]
        lines.append(SwingLine(key[1], fit.n_shots, fit.carry_m, fit.total_m, fit.apex_m, fit.descent_rad))
    return tuple(lines)


def _not_hit(lines: tuple[FlightLine, ...]) -> str:
    hit = {swing.swing for line in lines for swing in line.swings}
    missing = [swing for swing in ("gripped-down", "flat-out") if swing not in hit]
    return (
        tell(
            " Not known, because not hit: {listed} carries.",
            listed=say.listed([term(swing) for swing in missing]),
        )
        if missing
        else ""
    )
