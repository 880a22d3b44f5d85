"""From what was seen of a shot back to how it was struck: one shot, or a table of them."""

from __future__ import annotations

from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING

from bagwright.errors import InputError
from bagwright.estimate import Estimate
from bagwright.shots.beside import Computed, write_beside
from bagwright.tasks.flying import SHOWN, UNNAMED, Place
from bagwright.tasks.source import Ask, Loaded, Progress, Source, load, refuse_same_file, rows_in_words
from bagwright.units import RAD_PER_DEG, System, speed_unit

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    from bagwright.air import Air, Wind
    from bagwright.flight.posterior import Ground
    from bagwright.flight.seen import Seen
    from bagwright.turf import Turf

    Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Struck:
    """Launch conditions that explain what was seen, and the flight that follows; 90 % ranges throughout.

    `fixed` and `open` name the launch values that the figures do and do not fix; `words` say it, and whether
    the figures contradict each other.
    """

    ball_speed_mps: Estimate
    launch_deg: Estimate
    spin_rpm: Estimate
    direction_deg: Estimate
    spin_axis_deg: Estimate
    carry_m: Estimate
    total_m: Estimate
    apex_m: Estimate
    time_s: Estimate
    descent_deg: Estimate
    offline_m: Estimate
    curve_m: Estimate
    fixed: tuple[str, ...]
    open: tuple[str, ...]
    contradicts: bool
    misfit_sd: float
    worst: str | None
    words: tuple[str, ...]
    law: str
    air: Air
    wind: Wind
    turf: Turf


def infer_one(seen: Seen, place: Place, system: System = "yards") -> Struck:
    """Find the launch that explains one shot. Raises InputError for nothing seen or impossible figures."""
    from bagwright.flight.infer import infer

    ground = ground_of(place)
    found = infer(seen, place.air, place.wind, place.law, ground=ground, units=system)
    degrees = 1.0 / RAD_PER_DEG
    total = found.total_m
    if total is None:
        raise RuntimeError("a total comes with every ground")
    return Struck(
        ball_speed_mps=found.ball_speed_mps,
        launch_deg=found.launch_rad.scaled(degrees),
        spin_rpm=found.spin_rpm,
        direction_deg=found.direction_rad.scaled(degrees),
        spin_axis_deg=found.spin_axis_rad.scaled(degrees),
        carry_m=found.carry_m,
        total_m=total,
        apex_m=found.apex_m,
        time_s=found.time_s,
        descent_deg=found.descent_rad.scaled(degrees),
        offline_m=found.offline_m,
        curve_m=found.curve_m,
        fixed=found.fixed,
        open=found.open,
        contradicts=found.contradicts,
        misfit_sd=found.misfit_sd,
        worst=found.worst,
        words=found.words,
        law=found.law,
        air=place.air,
        wind=place.wind,
        turf=place.turf,
    )


def ground_of(place: Place) -> Ground:
    """How far a ball runs on the place's turf, as `infer` asks for it."""
    from bagwright.turf import run

    def ground(landing_speed_mps: float, descent_rad: float, landing_spin_rpm: float) -> Estimate:
        return run(landing_speed_mps, descent_rad, landing_spin_rpm, place.turf).run_m

    return ground


FIGURES = (
    "carry_m", "apex_m", "descent_rad", "time_s", "offline_m", "ball_speed_mps", "club_speed_mps", "launch_rad",
    "spin_rpm", "direction_rad", "spin_axis_rad",
)  # fmt: skip
"""Measured columns that say something of the launch."""
LAUNCH = ("ball_speed_mps", "launch_rad", "spin_rpm", "direction_rad", "spin_axis_rad", "descent_rad")
"""What a table gets behind it."""
_CHUNK = 10_000


@dataclass(frozen=True, slots=True)
class StruckTable:
    """A table with the launches that explain it; arrays by figure (n,), NaN where nothing was seen."""

    loaded: Loaded
    value: dict[str, Floats]
    low: dict[str, Floats]
    high: dict[str, Floats]
    misfit_sd: Floats
    unsettled: int
    nothing_seen: int
    left_aside: dict[str, int]
    """Figures that were not used, with how many and why."""
    place: Place

    @property
    def contradicting(self) -> int:
        """Shots whose figures contradict each other."""
        from bagwright.flight.infer import CONTRADICTION_SD

        return int((self.misfit_sd > CONTRADICTION_SD).sum())


def infer_table(
    source: Source, place: Place, ask: Ask | None = None, progress: Progress | None = None
) -> StruckTable:
    """Find the launch behind every shot of a table. Raises QuestionError while a unit is open."""
    import numpy as np

    from bagwright.flight.infer_many import infer_many

    if place.law != "D1":
        raise InputError(
            f"Tables are explained by the law D1 only, not by {place.law}.", "Leave --model away."
        )
    loaded = load(replace(source, answers={"club of the table": UNNAMED, **source.answers}), ask)
    loaded.result.require_answers()
    columns, left_aside = _seen_columns(loaded)
    if not columns:
        raise InputError(
            "No figure of this table says anything of the launch.",
            "It needs carry, height or ball speed at least.",
        )
    kinds = _kinds_of(loaded)
    parts = []
    for start in range(0, loaded.table.n, _CHUNK):
        part = slice(start, start + _CHUNK)
        chunk = {name: column[part] for name, column in columns.items()}
        parts.append(infer_many(chunk, kinds[part], place.air, place.wind))
        if progress is not None:
            progress(min(start + _CHUNK, loaded.table.n), loaded.table.n)

    def joined(side: str) -> dict[str, Floats]:
        return {name: np.concatenate([getattr(p, side)[name] for p in parts]) for name in LAUNCH}

    misfit = np.concatenate([p.misfit_sd for p in parts])
    value = joined("value")
    nothing = int(np.isnan(value["ball_speed_mps"]).sum())
    unsettled = int((~np.concatenate([p.settled for p in parts])).sum())
    return StruckTable(
        loaded, value, joined("low"), joined("high"), misfit, unsettled, nothing, left_aside, place
    )  # fmt: skip


def _seen_columns(loaded: Loaded) -> tuple[dict[str, Floats], dict[str, int]]:
    """The figures of a table that can be used, and what was left aside."""
    import numpy as np

    from bagwright.flight.seen import RANGES

    table = loaded.table
    aside: dict[str, int] = {}
    columns: dict[str, Floats] = {}
    for name in FIGURES:
        if name not in table.measures:
            continue
        column = table.measure(name).copy()
        if name == "carry_m" and table.carry_at_least is not None and table.carry_at_least.any():
            aside[f"carry that is only a lower bound ({rows_in_words(loaded, table.carry_at_least)})"] = int(
                table.carry_at_least.sum()
            )
            column[table.carry_at_least] = np.nan
        low, high, _ = RANGES[name]
        with np.errstate(invalid="ignore"):
            outside = (column < low) | (column > high)
        if outside.any():
            words = name.rpartition("_")[0].replace("_", " ")
            aside[f"{words} that no golf shot has ({rows_in_words(loaded, outside)})"] = int(outside.sum())
            column[outside] = np.nan
        columns[name] = column
    if table.n and not any(np.isfinite(column).any() for column in columns.values()):
        return {}, aside
    return columns, aside


def _kinds_of(loaded: Loaded) -> list[str | None]:
    """The kind of club of every shot, as the bag or the name says it."""
    from bagwright.bag.names import parse_club_name
    from bagwright.flight.prior import KINDS

    known: dict[str, str | None] = {}
    for name in set(loaded.table.text("club")):
        club = loaded.bag.find(name) if loaded.bag is not None else None
        parsed = parse_club_name(name)
        kind = club.kind if club is not None else parsed.kind if parsed is not None else None
        known[name] = kind if kind in KINDS else None
    return [known[name] for name in loaded.table.text("club")]


def write_struck(struck: StruckTable, path: Path, system: System) -> None:
    """Write the table that was read with the launches behind it. Raises MachineError."""
    refuse_same_file(path, struck.loaded.paths)
    speed = speed_unit(system)
    units = {"ball_speed_mps": (speed.name, speed.factor, 1), "spin_rpm": ("rpm", 1.0, 0)}
    computed: list[Computed] = []
    for name in LAUNCH:
        unit, factor, digits = units.get(name, ("deg", RAD_PER_DEG, 2))
        stem = name.rpartition("_")[0]
        for end, values in (("", struck.value), ("_low", struck.low), ("_high", struck.high)):
            computed.append(Computed(f"inferred_{stem}{end}_{unit}", values[name] / factor, digits))
    computed.append(Computed("misfit_sd", struck.misfit_sd, 2))
    write_beside(struck.loaded.table, computed, path, system)


def struck_account(struck: StruckTable, out: Path | None) -> dict[str, object]:
    """What became of a table, for a JSON document; the launches themselves up to 50 rows."""
    table = struck.loaded.table
    account: dict[str, object] = {
        "shots": table.n,
        "nothing_seen": struck.nothing_seen,
        "contradicting": struck.contradicting,
        "unsettled": struck.unsettled,
        "left_aside": struck.left_aside,
        "air": struck.place.air,
        "wind": struck.place.wind,
        "files": [] if out is None else [out],
    }
    if table.n <= SHOWN:
        account["launches"] = [_struck_row(struck, i) for i in range(table.n)]
    return account


def _struck_row(struck: StruckTable, i: int) -> dict[str, object]:
    shot = struck.loaded.table.shot(i)
    row: dict[str, object] = {"file": shot.source_file, "row": shot.source_row, "club": shot.club}
    for name in LAUNCH:
        factor = RAD_PER_DEG if name.endswith("_rad") else 1.0
        key = name.replace("_rad", "_deg")
        sides = (struck.value, struck.low, struck.high)
        row[key] = Estimate(*(float(side[name][i]) / factor for side in sides))
    row["misfit_sd"] = float(struck.misfit_sd[i])
    return row
