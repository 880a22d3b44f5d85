"""What the papers show: plain records of strings, numbers and estimates, in metres and radians.

`gather.py` fills them from a verdict, dispersions, distances and a bag; charts and papers read nothing else,
so that a paper can be made, looked at and tested from a handful of typed lines. Missing is None or "", never
0.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Literal

from bagwright.estimate import Estimate

if TYPE_CHECKING:
    from bagwright.report.pick.shown import PickShown
    from bagwright.report.strokes.compare import OnCourse

AnswerKind = Literal["choice", "keep", "close", "open"]
"""Carry another club, keep the present one, too close to call, cannot tell yet."""

SideName = Literal["strike", "flight", "dispersion", "place in the bag"]
SIDES: tuple[SideName, ...] = ("strike", "flight", "dispersion", "place in the bag")


@dataclass(frozen=True, slots=True)
class PlayerLine:
    """Who the papers are for; every text as the player's file has it."""

    name: str
    hand: str = "right"
    handicap: float | None = None
    goals: str = ""
    injury: str = ""
    pain: bool = False
    under_18: bool = False
    seller_interest: str = ""
    currency: str = ""


@dataclass(frozen=True, slots=True)
class VisitLine:
    """One visit's conditions, each "" where nobody said so, and how many balls it had."""

    visit: str = ""
    date: str = ""
    place: str = ""
    surface: str = ""
    ball: str = ""
    air: str = ""
    adjusted: str = ""
    spin: str = ""
    aligned: str = ""
    balls: int | None = None


@dataclass(frozen=True, slots=True)
class NextTest:
    """What to hit next: how many balls, which clubs, the chance (0..1) that they change the choice."""

    text: str
    clubs: tuple[str, ...] = ()
    balls: int | None = None
    chance_of_change: float | None = None


@dataclass(frozen=True, slots=True)
class Answer:
    """The verdict on one slot.

    `probability` (0..1) is the chance that `choice` beats the next candidate on the measure. `gain_m` is what
    the choice gains over the present club, positive is good: metres of average miss saved (`measure` "miss")
    or metres of carry won ("carry"). `spot_m` is the carry that the slot is for.
    """

    slot: str
    kind: AnswerKind
    choice: str | None = None
    present: str | None = None
    runner_up: str | None = None
    probability: float | None = None
    gain_m: Estimate | None = None
    gain_probability: float | None = None
    measure: Literal["miss", "carry"] = "miss"
    spot_m: float | None = None
    within_m: float | None = None
    within_probability: float | None = None
    blocked: bool = False
    still_open: tuple[str, ...] = ()
    next_tests: tuple[NextTest, ...] = ()
    weights: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class SideLine:
    """One of the four sides of a verdict: who leads on it, how sure (0..1), and what is still open."""

    side: SideName
    leader: str | None = None
    probability: float | None = None
    said: str = ""
    still_open: str = ""


@dataclass(frozen=True, slots=True)
class CandidateRow:
    """One candidate of the trial on its four sides; None where it was not measured."""

    name: str
    build: str = ""
    present: bool = False
    n_shots: int = 0
    mishit_share: Estimate | None = None
    speed_ratio: Estimate | None = None
    ratings: str = ""
    carry_m: Estimate | None = None
    gripped_down_m: Estimate | None = None
    flat_out_m: Estimate | None = None
    total_m: Estimate | None = None
    apex_m: Estimate | None = None
    descent_rad: Estimate | None = None
    offline_m: Estimate | None = None
    right_probability: float | None = None
    carry_sd_m: Estimate | None = None
    offline_sd_m: Estimate | None = None
    beyond_share: Estimate | None = None
    beyond_m: float | None = None
    miss_m: Estimate | None = None
    price: float | None = None
    lead_time_days: float | None = None
    note: str = ""


@dataclass(frozen=True, slots=True)
class CarryRow:
    """One club with one swing: where its solid strikes land, and how often it is struck badly."""

    club: str
    swing: str = "stock"
    kind: str = ""
    loft_deg: float | None = None
    status: str = "carried"
    measured: bool = True
    n_shots: int = 0
    carry_m: Estimate | None = None
    total_m: Estimate | None = None
    offline_m: Estimate | None = None
    right_probability: float | None = None
    mishit_share: Estimate | None = None
    apex_m: Estimate | None = None
    descent_rad: Estimate | None = None


@dataclass(frozen=True, slots=True)
class FlightRow:
    """The flight of one club's median solid strike, worked out in the air of the day from how it was struck.

    `path` holds (distance, height) in metres from strike to landing, () where it cannot be drawn. `carry_m`
    is the player's own and the path ends there. `run_m` is the run on a normal fairway, `holds` the chance
    (0..1) that the ball stops on a normal green. `guessed` names the launch figures that were not measured,
    `shown_as_measured` those of "apex" and "descent" that are the unit's own and not worked out.
    """

    club: str
    swing: str = "stock"
    kind: str = ""
    status: str = "carried"
    n_shots: int = 0
    ball_speed_mps: Estimate | None = None
    launch_rad: Estimate | None = None
    spin_rpm: Estimate | None = None
    guessed: tuple[str, ...] = ()
    path: tuple[tuple[float, float], ...] = ()
    carry_m: Estimate | None = None
    apex_m: Estimate | None = None
    descent_rad: Estimate | None = None
    run_m: Estimate | None = None
    holds: Estimate | None = None
    shown_as_measured: tuple[str, ...] = ()

    @property
    def total_m(self) -> Estimate | None:
        """Carry and run together, their doubts taken as independent; None where either is not known."""
        carry, run = self.carry_m, self.run_m
        if carry is None or run is None:
            return None
        value = carry.value + run.value
        low = math.hypot(carry.value - carry.low, run.value - run.low)
        high = math.hypot(carry.high - carry.value, run.high - run.value)
        return Estimate(value, value - low, value + high)


@dataclass(frozen=True, slots=True)
class AirColumn:
    """One setting of the card for other air: its group ("temperature", "altitude", "wind") and label."""

    group: str
    label: str


@dataclass(frozen=True, slots=True)
class AirRow:
    """One club in other air: carry today, and carry and change of carry in each column's setting.

    `side_m` is how far a setting's cross wind moves the ball off its line, away from where it blows; None
    where there is no cross wind.
    """

    club: str
    kind: str = ""
    measured: bool = True
    today_m: Estimate | None = None
    carry_m: tuple[Estimate | None, ...] = ()
    change_m: tuple[Estimate | None, ...] = ()
    side_m: tuple[Estimate | None, ...] = ()


@dataclass(frozen=True, slots=True)
class AirCard:
    """The winter and altitude card: what it starts from in words, its columns, a row for each club."""

    today: str = ""
    columns: tuple[AirColumn, ...] = ()
    rows: tuple[AirRow, ...] = ()
    said: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class StepLine:
    """The difference in carry between two neighbours of the bag and what is thought of it."""

    longer: str
    shorter: str
    step_m: Estimate | None = None
    word: str = ""
    probability: float | None = None


@dataclass(frozen=True, slots=True)
class Region:
    """An ellipse on the ground: centre, half axes in metres, and the first axis's angle from the target line.

    `side_m` is positive right; `angle_rad` turns the first half axis from the target line to the right.
    """

    level: float
    carry_m: float
    side_m: float
    half_axes_m: tuple[float, float]
    angle_rad: float


@dataclass(frozen=True, slots=True)
class Ball:
    """Where one ball finished. `mark` is "", "mishit", "bad-read" or "warm-up"."""

    order: int
    club: str
    swing: str = "stock"
    visit: str = ""
    carry_m: float | None = None
    side_m: float | None = None
    off_centre_m: float | None = None
    mark: str = ""


@dataclass(frozen=True, slots=True)
class Landing:
    """Where balls of one build and swing finished: regions that hold 50 and 90 % of solid strikes."""

    club: str
    swing: str = "stock"
    regions: tuple[Region, ...] = ()


@dataclass(frozen=True, slots=True)
class DriftLine:
    """How carry moved through a visit: (ball number, metres) of the fitted drift with its 90 % range."""

    visit: str
    balls: tuple[int, ...]
    drift_m: tuple[Estimate, ...]
    said: str = ""


@dataclass(frozen=True, slots=True)
class BagRow:
    """One club of the bag as measured, for the bag list."""

    name: str
    kind: str = ""
    status: str = "carried"
    loft_deg: float | None = None
    stamped_loft_deg: float | None = None
    length_m: float | None = None
    lie_angle_deg: float | None = None
    shaft: str = ""
    grip: str = ""
    swing_weight: str = ""
    bounce_deg: float | None = None
    sole: str = ""
    groove_age_months: float | None = None
    note: str = ""


@dataclass(frozen=True, slots=True)
class Counts:
    """Every ball accounted for: used, and left out with the reasons."""

    used: int = 0
    left_out: tuple[tuple[str, int], ...] = ()
    mishits: int = 0


@dataclass(frozen=True, slots=True)
class BuildField:
    """One line of the build sheet. `proposed` "" keeps the present value; a change needs a `reason`."""

    name: str
    present: str = ""
    proposed: str = ""
    reason: str = ""
    tolerance: str = ""


@dataclass(frozen=True, slots=True)
class BuildClub:
    """One club of the build sheet: what to start from, the fields, and notes for the workshop.

    `per_degree_m` is the carry that a degree less loft gains at this player's own strikes with the club,
    `per_half_inch_m` what half an inch more length gains; None where the strikes were not measured.
    `strike_mps` is the ball speed of those strikes.
    """

    club: str
    kind: str = ""
    starting_from: str = ""
    construction: str = ""
    loft_deg: float | None = None
    bounce_deg: float | None = None
    proposed_loft_deg: float | None = None
    fields: tuple[BuildField, ...] = ()
    note: str = ""
    strike_mps: Estimate | None = None
    per_degree_m: Estimate | None = None
    per_half_inch_m: Estimate | None = None


@dataclass(frozen=True, slots=True)
class ReportInput:
    """Everything that the three papers and the plain-text answer are made of."""

    player: PlayerLine
    visits: tuple[VisitLine, ...] = ()
    answer: Answer | None = None
    sides: tuple[SideLine, ...] = ()
    candidates: tuple[CandidateRow, ...] = ()
    clubs: tuple[CarryRow, ...] = ()
    steps: tuple[StepLine, ...] = ()
    findings: tuple[str, ...] = ()
    limits: tuple[str, ...] = ()
    landings: tuple[Landing, ...] = ()
    balls: tuple[Ball, ...] = ()
    drift: tuple[DriftLine, ...] = ()
    flights: tuple[FlightRow, ...] = ()
    """A flight for each club of the bag and each candidate that one can be drawn for."""
    flight_notes: tuple[str, ...] = ()
    """What the flights rest on: air, turf, level, and which clubs have none and why."""
    air_card: AirCard | None = None
    bag: tuple[BagRow, ...] = ()
    build: tuple[BuildClub, ...] = ()
    counts: Counts = field(default_factory=Counts)
    cautions: tuple[str, ...] = ()
    notes: tuple[str, ...] = ()
    """What the fit says of itself: what was pooled, and how well the shots fix the numbers."""
    converged: bool = True
    on_course: OnCourse | None = None
    """The candidates on a course of the player's; None where none was chosen."""
    picked: PickShown | None = None
    """The best bag for the player's courses; None where none was chosen."""
    decided: tuple[str, ...] = ()
    """What was decided, why, and the player's own word; () where nothing is decided yet."""
