"""Write the demo's files: one invented player, one bag, two visits. Run by maintainers, not by users.

    .venv/bin/python demo/make_demo.py

Nobody real hit these shots. The player, the clubs and every number are a scenario of our own: a left-handed
player of handicap 14 whose gap wedge has been bent strong over the years, so that it crowds the pitching
wedge and leaves a hole above the 54. Visit one maps the whole bag in two mirrored passes; visit two puts the
present wedge against two others. Each ball flies and runs by the program's own flight and turf, in the air that
the tables state, so that speed, height, descent, carry and total of one line belong together.
"""

from __future__ import annotations

import csv
import math
from collections.abc import Callable, Iterable
from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np

from bagwright.air import Air, air
from bagwright.flight.fly import fly
from bagwright.flight.launch import Launch
from bagwright.turf import run
from bagwright.units import M_PER_FT, M_PER_YD, MPS_PER_MPH

OUT = Path(__file__).resolve().parent.parent / "src" / "bagwright" / "demo"
SEED = 20260418


@dataclass(frozen=True)
class Strike:
    """One solid strike of one club: club speed, ball speed, launch, spin and where it starts."""

    club_mph: float
    ball_mph: float
    launch_deg: float
    spin_rpm: float
    start_deg: float = 0.0
    axis_deg: float = 0.0


@dataclass(frozen=True)
class Truth:
    """What the scenario holds of one build: its mean strike and how this player varies with it."""

    club: str
    strike: Strike
    speed_sd: float = 0.030
    start_sd_deg: float = 3.1
    mishit_share: float = 0.10


def flight_of(strike: Strike, here: Air) -> dict[str, float]:
    """Carry, side, apex and total [m], descent [deg] of one strike in still air on the bay's normal turf."""
    launch = Launch(
        strike.ball_mph * MPS_PER_MPH,
        math.radians(strike.launch_deg),
        strike.spin_rpm,
        math.radians(strike.start_deg),
        math.radians(strike.axis_deg),
    )
    flight = fly(launch, here)
    ran = run(flight.landing_speed_mps, flight.descent_rad, flight.landing_spin_rpm).run_m.value
    return {
        "carry_m": flight.carry_m,
        "side_m": flight.offline_m,
        "apex_m": flight.apex_m,
        "descent_deg": math.degrees(flight.descent_rad),
        "total_m": flight.carry_m + ran,
    }


MISHITS = (
    ("heavy", 0.80, 0.82, 3.0),
    ("thin", 0.93, 0.70, -4.0),
    ("toe", 0.90, 0.95, 0.0),
    ("heel", 0.89, 1.05, 0.0),
)


class Hitter:
    """Draws shots of the invented player, one after another, with a little warming up and tiring."""

    def __init__(self, seed: int, here: Air) -> None:
        self.rng = np.random.default_rng(seed)
        self.here = here
        self.ball = 0

    def hit(self, truth: Truth, swing: str) -> dict[str, object]:
        """One shot: all measured columns in the units a bay shows them, and a note where it was a mishit."""
        self.ball += 1
        mean = swung(truth.strike, swing)
        form = 1 - 0.03 * math.exp(-self.ball / 6) - 0.006 * self.ball / 50
        wide = 1.25 if swing == "flat-out" else 1.1 if swing == "three-quarter" else 1.0
        speed = mean.ball_mph * form * (1 + truth.speed_sd * wide * self.rng.standard_normal())
        start = mean.start_deg + 0.75 * truth.start_sd_deg * wide * self.rng.standard_normal()
        axis = mean.axis_deg + 2.6 * wide * self.rng.standard_normal()
        spin = mean.spin_rpm * (1 + 0.06 * self.rng.standard_normal())
        launch = mean.launch_deg + 0.9 * self.rng.standard_normal()
        note, share = "", truth.mishit_share * (1.6 if swing == "flat-out" else 1.0)
        if self.rng.random() < share:
            note, speed_by, spin_by, launch_by = MISHITS[int(self.rng.integers(len(MISHITS)))]
            speed, spin, launch = speed * speed_by, spin * spin_by, max(6.0, launch + launch_by)
            start += {"toe": 3.0, "heel": -3.0}.get(note, 0.0) + 2.0 * self.rng.standard_normal()
        club_mph = mean.club_mph * form * (1 + 0.011 * self.rng.standard_normal())
        flown = flight_of(Strike(club_mph, speed, launch, spin, start, axis), self.here)
        return {
            "no": self.ball, "club": truth.club, "swing": swing, "club_mph": club_mph, "ball_mph": speed,
            "launch": launch, "spin": spin, "note": note, **flown,
        }  # fmt: skip


def swung(strike: Strike, swing: str) -> Strike:
    """The mean strike of another swing than stock."""
    by = {"stock": 1.0, "gripped-down": 0.955, "flat-out": 1.032, "three-quarter": 0.90, "half": 0.75}[swing]
    return replace(
        strike,
        club_mph=strike.club_mph * by,
        ball_mph=strike.ball_mph * by,
        launch_deg=strike.launch_deg - (0.0 if by > 0.94 else 1.0),
        spin_rpm=strike.spin_rpm * by,
    )


BAG_TRUTH = (
    Truth("Driver", Strike(92.0, 133.0, 13.0, 2850, -1.0, -2.0), 0.026, 3.6, 0.12),
    Truth("3 wood", Strike(89.5, 127.5, 12.2, 3500, -0.8, -1.5), 0.027, 3.5, 0.12),
    Truth("5 wood", Strike(87.5, 122.5, 13.6, 4200, -0.6, -1.2), 0.027, 3.3, 0.11),
    Truth("4 hybrid", Strike(85.0, 118.0, 14.2, 4500, -0.3, -0.6), 0.028, 3.2, 0.11),
    Truth("5 iron", Strike(82.0, 112.5, 14.6, 5000, -0.3, -0.3), 0.029, 3.2, 0.12),
    Truth("6 iron", Strike(80.5, 108.5, 16.2, 5600, -0.2, -0.2), 0.029, 3.1, 0.11),
    Truth("7 iron", Strike(79.0, 104.0, 18.3, 6300, -0.2, 0.0), 0.029, 3.1, 0.10),
    Truth("8 iron", Strike(77.0, 98.5, 20.8, 7100, 0.0, 0.0), 0.030, 3.1, 0.10),
    Truth("9 iron", Strike(75.5, 92.5, 23.6, 7800, 0.0, 0.0), 0.030, 3.1, 0.09),
    Truth("Pitching wedge", Strike(74.5, 86.8, 26.6, 8300, 0.0, 0.0), 0.030, 3.1, 0.09),
    Truth("Gap wedge", Strike(74.0, 83.4, 28.4, 8500, 0.0, 0.0), 0.031, 3.2, 0.10),
    Truth("54 wedge", Strike(72.5, 72.2, 32.0, 9100, 0.0, 0.0), 0.032, 3.2, 0.10),
    Truth("58 wedge", Strike(71.5, 66.0, 34.8, 9300, 0.0, 0.0), 0.034, 3.3, 0.11),
)
WEDGE_TRUTH = (
    Truth("Gap wedge", Strike(74.0, 83.4, 28.4, 8500, 0.0, 0.0), 0.031, 3.2, 0.11),
    Truth("50 cavity", Strike(73.6, 79.4, 29.6, 8700, 0.2, 0.0), 0.028, 3.0, 0.07),
    Truth("51 blade", Strike(73.4, 77.0, 30.4, 9000, -0.2, 0.0), 0.034, 3.2, 0.13),
)


def whole_bag(hitter: Hitter) -> list[dict[str, object]]:
    """Visit one: twelve balls to warm up, then two mirrored passes through thirteen clubs (3 and 2 balls)."""
    shots = []
    for club, balls in (("58 wedge", 4), ("Pitching wedge", 3), ("7 iron", 3), ("Driver", 2)):
        truth = next(t for t in BAG_TRUTH if t.club == club)
        for _ in range(balls):
            shots.append({**hitter.hit(truth, "stock"), "note": "warm-up"})
    for truth in reversed(BAG_TRUTH):
        shots += [hitter.hit(truth, "stock") for _ in range(3)]
    for truth in BAG_TRUTH:
        shots += [hitter.hit(truth, "stock") for _ in range(2)]
    return shots


def wedge_trial(hitter: Hitter) -> list[dict[str, object]]:
    """Visit two: the present gap wedge against two builds, mirrored blocks of three, three swings."""
    a, b, c = WEDGE_TRUTH
    shots = [{**hitter.hit(t, "three-quarter"), "note": "warm-up"} for t in (a, b, c) for _ in range(4)]
    stock = ((a, b, c), (c, b, a), (b, a, c))
    for row in stock:
        for truth in row:
            shots += [hitter.hit(truth, "stock") for _ in range(3)]
    for truth in (a, b, c, c, b, a):
        shots += [hitter.hit(truth, "gripped-down")]
    for truth in (b, c, a, a, c, b):
        shots += [hitter.hit(truth, "three-quarter") for _ in range(2)]
    for truth in (c, a, b):
        shots += [hitter.hit(truth, "flat-out")]
    return shots


def spoil(shots: list[dict[str, object]]) -> None:
    """Two bad reads, as a bay unit makes them: it loses one ball early and doubles the speed of another."""
    lost, doubled = shots[19], shots[31]
    lost.update(carry_m=28.3, total_m=29.1, apex_m=3.4, descent_deg=20.5, note="lost by unit")
    doubled.update(ball_mph=float(str(doubled["ball_mph"])) * 1.72, note="")


def side_word(side_m: float, unit_m: float) -> str:
    """Side as figures and a letter: "12.3 R"."""
    return f"{abs(side_m) / unit_m:.1f} {'R' if side_m >= 0 else 'L'}"


def num(shot: dict[str, object], key: str) -> float:
    """A measured value of a shot."""
    return float(str(shot[key]))


def write_rows(path: Path, rows: Iterable[Iterable[object]], delimiter: str = ",") -> None:
    """Write a table with plain line ends, the same bytes on every system."""
    with path.open("w", newline="", encoding="utf-8") as file:
        csv.writer(file, delimiter=delimiter, lineterminator="\n").writerows(rows)


def preamble(air: str) -> list[list[object]]:
    """What was written down of the visit, above the headings."""
    said = (
        "Ball: urethane three-piece",
        "Surface: turf",
        f"Air: {air}",
        "Figures: as measured",
        "Spin: measured",
        "Aligned: checked",
    )
    return [[line] for line in said]


def tidy_table(shots: list[dict[str, object]], visit: str) -> list[list[object]]:
    """Visit one: units in the headings."""
    head = ["Visit", "Shot", "Club", "Swing", "Club speed (mph)", "Ball speed (mph)", "Launch (deg)", "Spin (rpm)",
            "Carry (yd)", "Side (yd)", "Total (yd)", "Height (ft)", "Descent (deg)", "Note"]  # fmt: skip
    return [head] + [
        [visit, s["no"], s["club"], s["swing"], f"{num(s, 'club_mph'):.1f}", f"{num(s, 'ball_mph'):.1f}",
         f"{num(s, 'launch'):.1f}", f"{num(s, 'spin'):.0f}", f"{num(s, 'carry_m') / M_PER_YD:.1f}",
         side_word(num(s, "side_m"), M_PER_YD), f"{num(s, 'total_m') / M_PER_YD:.1f}",
         f"{num(s, 'apex_m') / M_PER_FT:.0f}", f"{num(s, 'descent_deg'):.1f}", s["note"]]
        for s in shots
    ]  # fmt: skip


def units_row_table(shots: list[dict[str, object]], visit: str) -> list[list[object]]:
    """Visit two, from the bay's unit: a row of units under the headings."""
    tidy = tidy_table(shots, visit)
    names = [str(h).split(" (")[0] for h in tidy[0]]
    units = [str(h).split("(")[1].rstrip(")") if "(" in str(h) else "" for h in tidy[0]]
    return [names, units, *tidy[1:]]


def sloppy_table(shots: list[dict[str, object]], visit: str) -> list[list[object]]:
    """Visit two, second half, typed by hand in metres with decimal commas, a blank line and an average row."""
    spelling: dict[str, str] = {"Gap wedge": "gap", "50 cavity": "50 cavity", "51 blade": "51 blade "}
    head = ["Visit", "No.", "club", "swing", "carry m", "left/right", "remarks"]

    def comma(value: float) -> str:
        return f"{value:.1f}".replace(".", ",")

    rows: list[list[object]] = [["wedge trial, second half, written down by hand"], [], head]
    for i, s in enumerate(shots):
        if i == 9:
            rows += [["", "", "", "", "", "", ""], head]
        side = comma(abs(num(s, "side_m"))) + (" R" if num(s, "side_m") >= 0 else " L")
        rows.append(
            [visit, s["no"], spelling[str(s["club"])], s["swing"], comma(num(s, "carry_m")), side, s["note"]]
        )
    mean = sum(num(s, "carry_m") for s in shots) / len(shots)
    rows.append(["", "average", "", "", comma(mean), "", ""])
    return rows


def main() -> None:
    """Write all three tables; the bag file beside them is written by hand."""
    OUT.mkdir(exist_ok=True)
    spring, may = air(temperature_k=285.15), air(temperature_k=290.15)
    first = whole_bag(Hitter(SEED, spring))
    second = wedge_trial(Hitter(SEED + 1, may))
    spoil(second)
    write_rows(OUT / "visit-1-whole-bag.csv", preamble("12 C, still") + tidy_table(first, "2026-04-18"))
    write_rows(
        OUT / "visit-2-wedges.csv", preamble("17 C, still") + units_row_table(second[:45], "2026-05-09")
    )
    write_rows(OUT / "visit-2-by-hand.csv", sloppy_table(second[45:], "2026-05-09"), ";")
    report: Callable[[str], None] = print
    report(f"{len(first)} and {len(second)} balls")
    for truth in (*BAG_TRUTH, *WEDGE_TRUTH[1:]):
        flown = flight_of(truth.strike, spring)
        report(
            f"{truth.club:16s} {flown['carry_m'] / M_PER_YD:6.1f} yd  {flown['descent_deg']:.0f} deg  {flown['apex_m']:.0f} m"
        )


if __name__ == "__main__":
    main()
