"""What is said beside restated figures."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from typing import TYPE_CHECKING

from bagwright.restate.landing import FIGURES
from bagwright.restate.measured import impossible
from bagwright.restate.setting import BALL_FACTORS, Setting
from bagwright.shots.texts import clean

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    from bagwright.air import Air, Wind
    from bagwright.flight.level import Level
    from bagwright.shots.record import Conditions, ShotTable

    Bools = NDArray[np.bool_]


def say(
    table: ShotTable, here: Setting, there: Setting, level: Level, not_restated: Mapping[str, int],
    inferred: int, beyond: int, told: Mapping[str, Conditions],
) -> tuple[str, ...]:  # fmt: skip
    """Everything a reader of the restated figures must know, a sentence or two each."""
    said = [f"From {in_words(here)} to {in_words(there)}.", *level.words]
    if here.ball != there.ball:
        said.append(_of_balls(here, there))
    if inferred:
        said.append(
            f"The launch of {inferred} of {table.n} shots was not measured: it was inferred from the flight, "
            "and stands in the launch columns; it never sets the level."
        )
    visits = set(table.text("visit"))
    if any(one.spin == "estimated" for visit, one in told.items() if visit in visits):
        said.append("Spin that the unit estimated was flown as it stands, and set no level.")
    odd = impossible(table, FIGURES)
    if odd:
        said.append(f"Figures that no golf shot has, left out: {odd}.")
    if beyond:
        said.append(f"Flights that leave what the law was fitted to: {beyond}. Their changes are less sure.")
    said += _of_airs({visit: one.air for visit, one in told.items() if visit in visits and one.air})
    said += [
        f"Not restated: {n}, {reason}; their figures are left out." for reason, n in not_restated.items()
    ]
    if (here.turf.lie == "sand") != (there.turf.lie == "sand"):
        said.append("A ball does not run in sand, so totals do not come back from there as they were.")
    return tuple(said)


def _of_airs(airs: Mapping[str, str]) -> list[str]:
    """That visits hit in different air were all taken as hit in one."""
    if len(set(airs.values())) < 2:
        return []
    some = "; ".join(f"{clean(visit, 40)}: {clean(text, 40)}" for visit, text in list(airs.items())[:4])
    return [f"Visits were said to be in different air ({some}), but all were taken as hit in one."]


def _of_balls(here: Setting, there: Setting) -> str:
    texts = []
    for setting in (here, there):
        f = BALL_FACTORS[setting.ball]
        if setting.ball != "tour":
            texts.append(f"a {setting.ball} ball carries {f.value:.2f} ({f.low:.2f} to {f.high:.2f})")
    return f"Of a tour ball's carry, {' and '.join(texts)}: common practice, no source. Height stays."


def in_words(setting: Setting) -> str:
    """A setting in a few words: air, wind, ball and turf."""
    turf = setting.turf
    return ", ".join(
        (
            air_in_words(setting.air),
            _wind(setting.wind),
            f"a {setting.ball} ball",
            f"{turf.firmness} {turf.lie}",
        )
    )


def air_in_words(air: Air) -> str:
    """An air in the words that conditions are read from: "12 °C, 850 hPa", or its density."""
    if air.temperature_k is None or air.pressure_pa is None:
        return f"{air.density_kg_m3:.4g} kg/m3"
    words = f"{air.temperature_k - 273.15:.1f} °C, {air.pressure_pa / 100.0:.0f} hPa"
    return words if air.said else f"{words} (not said, so standard air)"


def _wind(wind: Wind) -> str:
    import math

    if wind.speed_mps == 0.0:
        return "still"
    degrees = math.degrees(wind.from_rad) % 360.0
    return f"wind {wind.speed_mps:.1f} m/s from {degrees:.0f}° clockwise of the target line"


def conditions_there(
    table: ShotTable, there: Setting, inferred: Bools, told: Mapping[str, Conditions]
) -> dict[str, Conditions]:
    """The conditions of every visit there: the new air and ball; inferred spin counts as estimated."""
    import numpy as np

    from bagwright.shots.record import Conditions

    visits = table.text("visit")
    guessed = {visits[i] for i in np.flatnonzero(inferred).tolist()}
    found = {}
    for visit in dict.fromkeys(visits):
        one = told.get(visit, Conditions(visit=visit))
        air = air_in_words(there.air).partition(" (")[0]
        spin = "estimated" if visit in guessed else one.spin
        found[visit] = replace(one, air=air, ball=there.ball, spin=spin)
    return found
