"""What a trial's judgement holds: plain frozen records in metres, radians and shares, fit for JSON.

Every probability is 0..1 and belongs to the `leader` or `choice` beside it; every `words` comes from the
bands of `estimate.probability_words`. None is "not measured" or "cannot be known from this", never 0.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from bagwright.estimate import Estimate
from bagwright.trial.flown import Flown

Measure = Literal["miss", "carry"]
Answer = Literal["choice", "keep", "close", "open"]
"""Carry another club than now, keep the present one, too close to call, cannot tell yet."""


@dataclass(frozen=True, slots=True)
class LeftOut:
    """A shot of the table that the verdict does not use, by its position in the table, and why."""

    index: int
    reason: str


@dataclass(frozen=True, slots=True)
class Candidate:
    """One candidate of the trial and how it does on the measure.

    `miss_m`: expected distance between ball and spot, mishits included; `added_m`: what the weights add to
    it; `chance`: that it does best of all. `present` marks the club now in the slot.
    """

    name: str
    club: str
    swing: str
    present: bool
    n_shots: int
    carry_m: Estimate
    miss_m: Estimate
    added_m: float
    chance: float


@dataclass(frozen=True, slots=True)
class Rating:
    """The player's own word on one candidate: mean of what was rated 1 (poor) to 5 (very good)."""

    name: str
    mean: float
    look: float | None = None
    feel: float | None = None
    sound: float | None = None
    turf: float | None = None
    confidence: float | None = None


@dataclass(frozen=True, slots=True)
class StrikeLine:
    """How one candidate is struck. `speed_unevenness` is sd over mean of ball speed (or of `uneven_of`)."""

    name: str
    n_shots: int
    mishit_share: Estimate
    speed_ratio: Estimate | None
    speed_unevenness: Estimate | None
    uneven_of: Literal["", "ball speed", "speed ratio"]
    rating: Rating | None


@dataclass(frozen=True, slots=True)
class StrikeSide:
    """First side: who has fewer mishits."""

    lines: tuple[StrikeLine, ...]
    leader: str
    probability: float
    words: str
    sentence: str


@dataclass(frozen=True, slots=True)
class SwingLine:
    """One candidate with one swing, solid strikes; what was not measured is None."""

    swing: str
    n_shots: int
    carry_m: Estimate
    total_m: Estimate | None
    apex_m: Estimate | None
    descent_rad: Estimate | None


@dataclass(frozen=True, slots=True)
class FlightLine:
    """One candidate's flights, its own stock swing first.

    `flown` is the flight of the median solid strike of its own swing, None where too little was measured;
    `flown_words` says it in a sentence, with how sure, or why there is none.
    """

    name: str
    swings: tuple[SwingLine, ...]
    flown: Flown | None = None
    flown_words: str = ""


@dataclass(frozen=True, slots=True)
class FlightSide:
    """Second side: who carries farther. `difference_m`: leader less the next, solid strikes."""

    lines: tuple[FlightLine, ...]
    leader: str
    probability: float
    words: str
    difference_m: Estimate
    sentence: str


@dataclass(frozen=True, slots=True)
class DispersionLine:
    """How wide one candidate lands. `right_probability`: that its centre is right of the target line today.

    `one_sided`: "right", "left" or "" (two-sided): whether four balls in five finish on that side;
    `beyond_share`: share of all balls farther from the line than half the width the user named.
    """

    name: str
    carry_sd_m: Estimate
    offline_sd_m: Estimate
    area90_m2: Estimate
    offline_m: Estimate
    right_probability: float
    right_share: Estimate
    one_sided: Literal["", "right", "left"]
    beyond_share: Estimate | None
    pooled: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class DispersionSide:
    """Third side: who lands tighter. `width_m` is the full width named by the user."""

    lines: tuple[DispersionLine, ...]
    width_m: float | None
    leader: str
    probability: float
    words: str
    sentence: str


@dataclass(frozen=True, slots=True)
class PlaceLine:
    """What one candidate adds to the distances: steps to both neighbours, price, waiting."""

    name: str
    step_to_longer_m: Estimate | None
    step_to_shorter_m: Estimate | None
    from_spot_m: Estimate
    price: float | None
    lead_time_days: float | None


@dataclass(frozen=True, slots=True)
class StandIn:
    """A neighbour that might do the job: `probability` that it lands within `within_m` of the spot."""

    club: str
    swing: str
    carry_m: Estimate
    within_m: float
    probability: float
    measured: bool


@dataclass(frozen=True, slots=True)
class PlaceSide:
    """Fourth side: who lands nearest the slot's spot, and which neighbour could do it."""

    spot_m: float
    spot_from: str
    longer: str | None
    shorter: str | None
    lines: tuple[PlaceLine, ...]
    stand_ins: tuple[StandIn, ...]
    leader: str
    probability: float
    words: str
    sentence: str


@dataclass(frozen=True, slots=True)
class NextBalls:
    """Further balls with one club, hit together with the other lines: their chance to change the choice.

    `chance_to_change` and `worth_m` (metres of expected regret saved) belong to all lines together.
    """

    club: str
    balls: int
    chance_to_change: float
    worth_m: float


@dataclass(frozen=True, slots=True)
class Weighed:
    """What one of the user's weights adds: metres a unit, the unit, and metres a candidate."""

    name: str
    m_per_unit: float
    unit: str
    added_m: tuple[tuple[str, float], ...]


@dataclass(frozen=True, slots=True)
class Verdict:
    """Which candidate earns the slot, how sure that is, and what would make it surer.

    `probability` is the joint-posterior chance that `choice` beats `runner_up` on the measure;
    `gain_over_present` (metres a shot, positive is better than the present club) is None when nothing is
    known of the present club; `within_probability` that the two leaders are within `within_m` of each other.
    """

    choice: str
    probability: float
    words: str
    answer: Answer
    sentence: str
    measure: Measure
    runner_up: str
    present: str | None
    gain_over_present: Estimate | None
    gain_probability: float | None
    close_call: bool
    within_m: float
    within_probability: float
    spot_m: float
    spot_from: str
    candidates: tuple[Candidate, ...]
    strike: StrikeSide
    flight: FlightSide
    dispersion: DispersionSide
    place: PlaceSide
    weights: tuple[Weighed, ...]
    next_balls: tuple[NextBalls, ...]
    next_sentence: str
    blocked: bool
    shots_used: int
    shots_left_out: tuple[LeftOut, ...]
    cautions: tuple[str, ...]
