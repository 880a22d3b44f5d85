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
    figures = (
        f"about {say.distance(difference.value, case.system)}, "
        f"90 % range {say.span(difference, case.system)}, {say.balls(balls)}"
    )
    if probability < 0.6:
        sentence = f"Carry: {say.sure(probability)} whether {first} or {second} carries farther ({figures})."
    else:
        sentence = f"{first} carries farther than {second}: {say.sure(probability)}, {figures}."
    lines = tuple(_line(case, i) for i in range(len(case.names)))
    words = probability_words(probability)
    sentence = f"{sentence}{_landing(lines)}{_not_hit(lines)}"
    return FlightSide(lines, first, probability, words, difference, sentence)


def _line(case: Case, i: int) -> FlightLine:
    from bagwright.trial.flown import flown

    entry = case.slot.entries[i]
    found = flown(case.table, case.fits, entry.key, case.club(i), case.said)
    if found is None:
        words = f"{entry.name}: landing and run are not known, as only carry and side were measured."
    else:
        words = flown_words(entry.name, found)
    return FlightLine(entry.name, _swings(case, i), found, words)


def flown_words(name: str, found: Flown) -> str:
    """Say how a ball lands and whether it stops, each with how sure, and what of it was not measured."""
    said = f"{name} lands at {_descent(found)} and {_green(found)}"
    return f"{said}{_doubts(found)}."


def _landing(lines: tuple[FlightLine, ...]) -> str:
    """Say the same of all candidates in a row, what holds for all of them once."""
    known = [(line.name, line.flown) for line in lines if line.flown is not None]
    if not known:
        return " How they land is not known, as only carry and side were measured." if lines else ""
    said = f" Lands at: {', '.join(f'{name} {_descent(found)}' for name, found in known)}."
    greens = {name: _green(found) for name, found in known}
    if len(set(greens.values())) == 1 and len(known) > 1:
        said += f" Each of them {next(iter(greens.values()))}."
    else:
        said += "".join(f" {name} {green}." for name, green in greens.items())
    said += "".join(f" {name}{_doubts(found).removeprefix(';')}." for name, found in known if _doubts(found))
    missing = [line.name for line in lines if line.flown is None]
    return f"{said} Landing not known of {say.listed(missing)}." if missing else said


def _descent(found: Flown) -> str:
    shown = found.descent_rad.scaled(1.0 / RAD_PER_DEG)
    about = "about " if "descent" in found.worked_out else ""
    return f"{about}{shown.value:.0f}° ({shown.low:.0f} to {shown.high:.0f})"


def _green(found: Flown) -> str:
    held = found.holds_green.value
    does = "holds a normal green" if held >= 0.5 else "runs off a normal green"
    return f"{does}: {say.sure(max(held, 1.0 - held))}"


def _doubts(found: Flown) -> str:
    """Say what was not measured and what does not fit together, each after a semicolon."""
    said = f"; {say.listed(found.inferred)} inferred, not measured" if found.inferred else ""
    return f"{said}; {found.doubt}" if found.doubt else said


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
    return f" Not known, because not hit: {say.listed(missing)} carries." if missing else ""
