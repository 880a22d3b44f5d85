"""From the shots to the flights that the papers draw: the clubs of the bag and the candidates of a trial."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING

from bagwright.bag.club import Bag, Club
from bagwright.report.model import FlightRow
from bagwright.report.safe import clean
from bagwright.report.words import joined, number
from bagwright.trial.flown import Flown, flown, path_of
from bagwright.trial.said import Said
from bagwright.units import celsius
from bagwright.words import join, tell

if TYPE_CHECKING:
    from bagwright.dispersion.fit import Dispersions
    from bagwright.shots.record import ShotTable
    from bagwright.trial.result import Verdict


@dataclass(frozen=True, slots=True)
class Flights:
    """Flights by the name of the club or candidate, as worked out and as drawn, and what they rest on."""

    flown: Mapping[str, Flown]
    rows: tuple[FlightRow, ...]
    notes: tuple[str, ...]


def gather_flights(
    table: ShotTable, fits: Dispersions, bag: Bag | None, verdict: Verdict | None, said: Said
) -> Flights:
    """Work out and draw the stock flight of each club that was hit, and of each candidate with its swing."""
    clubs = {club.name: club for club in bag or ()}
    found: dict[str, tuple[Flown, str, Club | None, bool]] = {}
    without: list[str] = []
    for line in verdict.flight.lines if verdict is not None else ():
        candidate = next(one for one in verdict.candidates if one.name == line.name)  # type: ignore[union-attr]
        if line.flown is not None:
            found[line.name] = (line.flown, candidate.swing, clubs.get(candidate.club), False)
    for name, swing in fits:
        if swing != "stock" or name in found or not fits[name, swing].measured:
            continue
        one = flown(table, fits, (name, swing), clubs.get(name), said)
        if one is None:
            without.append(name)
        else:
            found[name] = (one, swing, clubs.get(name), bag is None)
    rows = tuple(_row(name, *entry) for name, entry in found.items())
    return Flights({name: entry[0] for name, entry in found.items()}, rows, _notes(found, without))


def _row(name: str, one: Flown, swing: str, club: Club | None, loose: bool) -> FlightRow:
    return FlightRow(
        club=name,
        swing=swing,
        kind=club.kind if club is not None else "",
        status=club.status if club is not None else "carried" if loose else "",
        n_shots=one.n_shots,
        ball_speed_mps=one.ball_speed_mps,
        launch_rad=one.launch_rad,
        spin_rpm=one.spin_rpm,
        guessed=one.inferred,
        path=path_of(one),
        carry_m=one.carry_m,
        apex_m=one.apex_m,
        descent_rad=one.descent_rad,
        run_m=one.run_m,
        holds=one.holds_green,
        shown_as_measured=tuple(name for name in ("apex", "descent") if name not in one.worked_out),
    )


def _notes(found: Mapping[str, tuple[Flown, str, Club | None, bool]], without: list[str]) -> tuple[str, ...]:
    """Say which air the flights are in, that they end at the player's own carries, and what is missing."""
    said = []
    if found:
        said.append(_air_note([entry[0] for entry in found.values()]))
        said.append(
            tell(
                "Each flight is made to end at the player's own carry, and to reach the measured "
                "height where there is one: drag and lift of the flight law are moved for that, as "
                "no law knows a player's distances."
            )
        )
    doubts = [
        tell("{name}: {doubt}", name=clean(name, 40), doubt=entry[0].doubt)
        for name, entry in found.items()
        if entry[0].doubt
    ]
    said += [tell("{doubt}. Look at its marks and units.", doubt=doubt) for doubt in doubts]
    if without:
        names = joined([clean(name, 40) for name in without])
        said.append(tell("No flight for {names}: nothing but carry and side was measured.", names=names))
    return tuple(said)


def _air_note(flights: list[Flown]) -> str:
    kelvins = {one.air.temperature_k for one in flights if one.air_said and one.air.temperature_k is not None}
    words = joined([tell("{number} °C", number=number(celsius(kelvin))) for kelvin in sorted(kelvins)])
    unsaid = any(not one.air_said for one in flights)
    standard = tell(
        "20 °C at sea level is taken where the air was not said or the unit adjusted its figures."
    )
    rest = standard if unsaid else ""
    told = tell("Air as said for the visits: {words}.", words=words) if words else ""
    return join(" ", (text for text in (told, rest, tell("Wind is taken as none.")) if text))
