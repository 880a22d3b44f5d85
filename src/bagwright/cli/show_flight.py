"""What a person reads after `fly`, `infer` and `restate`."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from bagwright.cli.layout import NOTHING, Ruler, bullet, degrees, heading, paragraph, table
from bagwright.estimate import Estimate, percent
from bagwright.units import RAD_PER_DEG, System, celsius, fahrenheit, speed_unit, spoken

if TYPE_CHECKING:
    from bagwright.air import Air, Wind
    from bagwright.tasks import Flown, FlownTable, Struck, StruckTable
    from bagwright.turf import Turf

_MOST_ROWS = 12


def air_words(air: Air, system: System) -> str:
    """The air in words, with what was taken because nobody said it."""
    parts = []
    if air.temperature_k is not None:
        warm = f"{celsius(air.temperature_k):.0f} °C"
        parts.append(warm if system == "metres" else f"{fahrenheit(air.temperature_k):.0f} °F")
    if air.pressure_pa is not None:
        parts.append(f"{air.pressure_pa / 100.0:.0f} hPa")
    if air.humidity is not None:
        parts.append(f"{100 * air.humidity:.0f} % humidity")
    parts.append(f"density {air.density_kg_m3:.4f} kg/m³")
    said = "" if air.said else " (standard: nothing was said)"
    return f"Air: {', '.join(parts)}{said}."


def wind_words(wind: Wind, system: System) -> str:
    """The wind in words: speed, where it comes from, at which height."""
    if wind.speed_mps == 0.0:
        return "Wind: none."
    unit = speed_unit(system)
    turn = round(wind.from_rad / RAD_PER_DEG) % 360
    named = {0: "head wind", 90: "from the right", 180: "tail wind", 270: "from the left"}
    where = named.get(turn, f"from {turn}° clockwise from the target line")
    height = "at every height" if wind.profile == "uniform" else f"at {wind.at_height_m:g} m, less below"
    return f"Wind: {wind.speed_mps / unit.factor:.0f} {spoken(unit)} {where}, {height}."


def turf_words(turf: Turf) -> str:
    """The turf in words."""
    speed = f", green speed {turf.stimp_ft:g} ft" if turf.stimp_ft is not None else ""
    return f"Turf: {turf.firmness} {turf.lie}{speed}."


def flown(result: Flown, system: System) -> None:
    """Show one flight with how sure each number is."""
    ruler = Ruler(system)
    ranges = result.ranges
    unit = speed_unit(system)
    descent = Estimate(
        *(
            x * RAD_PER_DEG
            for x in (ranges["descent_deg"].value, ranges["descent_deg"].low, ranges["descent_deg"].high)
        )
    )
    rows = [
        (f"carry, {ruler.unit}", ruler.range(ranges["carry_m"])),
        (f"run, {ruler.unit}", ruler.range(ranges.get("run_m"))),
        (f"total, {ruler.unit}", ruler.range(ranges.get("total_m"))),
        ("height", ruler.height(ranges["apex_m"])),
        ("descent", degrees(descent)),
        (
            "side at landing",
            ruler.side(Estimate(result.offline_m, result.offline_m, result.offline_m)).partition(" (")[0]
            + f" {ruler.unit}",
        ),
        ("time", f"{result.time_s:.1f} s"),
        (
            "landing",
            f"{result.landing_speed_mps / unit.factor:.0f} {spoken(unit)}, {result.landing_spin_rpm:.0f} rpm",
        ),
        ("stays on a normal green", NOTHING if result.holds_green is None else percent(result.holds_green)),
    ]
    table(("", "with its range"), rows)
    paragraph(air_words(result.air, system))
    paragraph(wind_words(result.wind, system))
    paragraph(turf_words(result.turf))
    paragraph(
        f"Law of drag and lift: {result.law}. The range of carry, height and descent is the span of the published "
        "laws for such a launch, not a probability; that of the run is a 90 % range of what is known of turf; a player's own shots narrow them "
        "(`bagwright restate`)."
    )
    for words in result.extrapolated:
        bullet(f"Outside what was measured: {words}.")


def flown_table(result: FlownTable, system: System, out: Path | None) -> None:
    """Show what became of a table of launches."""
    ruler = Ruler(system)
    flights = result.flights
    click.echo(f"{result.flown} of {len(flights)} launches flown.")
    for words, n in result.not_flown.items():
        bullet(f"{n} not flown: {words}.")
    for words, n in result.taken.items():
        bullet(f"{n} {words}.")
    for words, n in flights.reasons.items():
        bullet(f"{n} outside what was measured: {words}.")
    heading("Flights" if len(flights) <= _MOST_ROWS else f"The first {_MOST_ROWS} flights")
    rows = []
    for i in range(min(len(flights), _MOST_ROWS)):
        shot = result.loaded.table.shot(i)
        values = (flights.carry_m[i], flights.carry_m[i] + result.run_m[i])
        cells = [NOTHING if v != v else ruler.length(float(v), 1) for v in values]
        side = float(flights.offline_m[i])
        cells.append(NOTHING if side != side else ruler.side(Estimate(side, side, side)).partition(" (")[0])
        descent = float(flights.descent_rad[i]) / RAD_PER_DEG
        rows.append(
            (f"{shot.source_row}", shot.club, *cells, NOTHING if descent != descent else f"{descent:.1f}°")
        )
    unit = ruler.unit
    table(("row", "club", f"carry, {unit}", f"total, {unit}", f"side, {unit}", "descent"), rows)
    paragraph(air_words(result.place.air, system))
    paragraph(wind_words(result.place.wind, system))
    paragraph(turf_words(result.place.turf))
    paragraph(f"Law of drag and lift: {flights.law}. {DOUBT}")
    if out is not None:
        click.echo(f"\nWritten: {out}")


DOUBT = (
    "Published laws differ by 4 to 14 % of carry for irons and wedges, 2 % for drivers: only a player's own shots "
    "set the level (`bagwright restate`). A run is known to about 5 yards at best."
)


def struck(result: Struck, system: System) -> None:
    """Show how a shot was struck, as far as the figures tell."""
    ruler = Ruler(system)
    rows = [
        (
            "ball speed",
            *_plain_range(result.ball_speed_mps, speed_unit(system).factor, 0, spoken(speed_unit(system))),
        ),
        ("launch angle", *_plain_range(result.launch_deg, 1.0, 1, "°")),
        ("spin", *_plain_range(result.spin_rpm, 1.0, -2, "rpm")),
        ("start direction", *_sided(result.direction_deg)),
        ("spin axis", *_sided(result.spin_axis_deg)),
    ]
    fixed = {"ball_speed_mps", "launch_rad", "spin_rpm", "direction_rad", "spin_axis_rad"} & set(result.fixed)
    names = ("ball_speed_mps", "launch_rad", "spin_rpm", "direction_rad", "spin_axis_rad")
    told = ["narrowed by the figures" if name in fixed else "open: only what is usual" for name in names]
    table(
        ("how it was struck", "", "90 % range", ""),
        [(*row, word) for row, word in zip(rows, told, strict=True)],
    )
    flight = [
        (f"carry, {ruler.unit}", ruler.range(result.carry_m)),
        (f"total, {ruler.unit}", ruler.range(result.total_m)),
        ("height", ruler.height(result.apex_m)),
        ("descent", degrees(result.descent_deg.scaled(RAD_PER_DEG))),
        (f"side, {ruler.unit}", ruler.side(result.offline_m)),
        ("time, s", f"{result.time_s.value:.1f} ({result.time_s.low:.1f} to {result.time_s.high:.1f})"),
    ]
    table(("the flight that follows", "with its 90 % range"), flight)
    for words in result.words:
        paragraph(words)
    paragraph(air_words(result.air, system))
    paragraph(wind_words(result.wind, system))


def _sided(degrees_right: Estimate) -> tuple[str, str]:
    """An angle to the side in words: "6.4° L", "12.0 L to 0.8 R"."""

    def side(value: float) -> str:
        text = f"{abs(value):.1f}"
        return text if float(text) == 0.0 else f"{text} {'R' if value > 0 else 'L'}"

    value, _, letter = side(degrees_right.value).partition(" ")
    return f"{value}° {letter}".strip(), f"{side(degrees_right.low)} to {side(degrees_right.high)}"


def _plain_range(estimate: Estimate, factor: float, digits: int, unit: str) -> tuple[str, str]:
    value, low, high = (x / factor for x in (estimate.value, estimate.low, estimate.high))
    if digits < 0:
        value, low, high = (round(x, digits) for x in (value, low, high))
    shown = max(digits, 0)
    space = "" if unit.startswith("°") else " "
    return f"{value:,.{shown}f}{space}{unit}", f"{low:,.{shown}f} to {high:,.{shown}f}"


def struck_table(result: StruckTable, system: System, out: Path | None) -> None:
    """Show what became of a table whose launches were looked for."""
    table_read = result.loaded.table
    click.echo(f"{table_read.n - result.nothing_seen} of {table_read.n} shots explained.")
    for words, n in result.left_aside.items():
        bullet(f"{n} left aside: {words}.")
    if result.contradicting:
        bullet(f"{result.contradicting} whose figures contradict each other (misfit above 3 sd): check them.")
    if result.unsettled:
        bullet(f"{result.unsettled} where the search did not settle.")
    heading("Launches" if table_read.n <= _MOST_ROWS else f"The first {_MOST_ROWS} launches")
    speed = speed_unit(system)
    shown = (("ball_speed_mps", speed.factor, 0), ("launch_rad", RAD_PER_DEG, 1), ("spin_rpm", 1.0, -2))
    rows = []
    for i in range(min(table_read.n, _MOST_ROWS)):
        shot = table_read.shot(i)
        cells = [
            _cell(
                Estimate(*(float(side[name][i]) for side in (result.value, result.low, result.high))),
                f,
                digits,
            )
            for name, f, digits in shown
        ]
        rows.append((f"{shot.source_row}", shot.club, *cells, f"{result.misfit_sd[i]:.1f}"))
    table(("row", "club", f"ball speed, {spoken(speed)}", "launch, °", "spin, rpm", "misfit, sd"), rows)
    paragraph(
        "Ranges are 90 % ranges; what the figures leave open stays as wide as it was believed beforehand."
    )
    paragraph(air_words(result.place.air, system))
    if out is not None:
        click.echo(f"\nWritten: {out}")


def _cell(estimate: Estimate, factor: float, digits: int) -> str:
    if estimate.value != estimate.value:
        return NOTHING
    value, between = _plain_range(estimate, factor, digits, "")
    return f"{value.strip()} ({between})"
