"""What the distances are: a row for each club, one for each step between neighbours, the rules for both."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal, Protocol

from bagwright.bag.club import Club
from bagwright.bag.finding import Finding
from bagwright.estimate import Estimate
from bagwright.units import M_PER_YD, MPS_PER_MPH
from bagwright.words import tell

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]

Used = Literal["measured", "predicted"]
SameJob = Literal["yes", "no", "not known"]


class DrawsLike(Protocol):
    """Joint posterior draws, arrays of shape (n, k): carries and depth spreads in metres."""

    @property
    def carry_m(self) -> Floats: ...  # noqa: D102
    @property
    def carry_sd_m(self) -> Floats: ...  # noqa: D102


class Fitted(Protocol):
    """What the distances read of one dispersion; see `bagwright.dispersion` for the meaning of each."""

    @property
    def measured(self) -> bool: ...  # noqa: D102
    @property
    def n_shots(self) -> int: ...  # noqa: D102
    @property
    def carry_m(self) -> Estimate: ...  # noqa: D102
    @property
    def carry_sd_m(self) -> Estimate: ...  # noqa: D102
    @property
    def offline_m(self) -> Estimate: ...  # noqa: D102
    @property
    def offline_sd_m(self) -> Estimate: ...  # noqa: D102
    @property
    def right_probability(self) -> float: ...  # noqa: D102
    @property
    def mishit_share(self) -> Estimate: ...  # noqa: D102
    @property
    def total_m(self) -> Estimate | None: ...  # noqa: D102
    @property
    def apex_m(self) -> Estimate | None: ...  # noqa: D102
    @property
    def descent_rad(self) -> Estimate | None: ...  # noqa: D102
    @property
    def quality(self) -> str: ...  # noqa: D102


class Fits(Protocol):
    """What the distances need of the fitted dispersions."""

    def __iter__(self) -> Iterator[tuple[str, str]]: ...
    def __contains__(self, key: object, /) -> bool: ...
    def __getitem__(self, key: tuple[str, str], /) -> Fitted: ...
    def predict(self, club: Club, swing: str = "stock") -> Fitted: ...  # noqa: D102
    def draws(self, keys: Sequence[tuple[str, str]], n: int = 2048) -> DrawsLike: ...  # noqa: D102


@dataclass(frozen=True, slots=True)
class StepRules:
    """When a step is even, too narrow or too wide; every number is the user's own to change.

    The even band is `even_low` to `even_high` of the carry midway between the neighbours (7 to 10 %: common
    practice, no source), times `short_end_factor` below `short_end_m`: tighter at the short end. A step is
    an overlap below `overlap_factor` of the band's low end or below `overlap_spreads` depth spreads,
    whichever is more: at half a spread the longer club out-carries the shorter in 64 % of solid strikes,
    barely more than a coin. It is a gap above `gap_factor` of the band's high end or above `gap_spreads`
    depth spreads, whichever is more: at two spreads the middle of the gap is one spread away from both
    clubs. It is wide above the band where it is also above `wide_spreads` depth spreads, and narrow below
    the band. These factors are the program's own working judgement.
    """

    even_low: float = 0.07
    even_high: float = 0.10
    short_end_m: float = 110.0 * M_PER_YD
    short_end_factor: float = 0.9
    overlap_factor: float = 0.5
    overlap_spreads: float = 0.5
    wide_spreads: float = 1.5
    gap_factor: float = 1.3
    gap_spreads: float = 2.0
    report_from: float = 0.75
    """Findings are told from this probability on ("likely"), always with it."""
    filled_from: float = 0.50
    """A swing counts as filling a gap from this probability on; said with it, and to be hit if it was not."""
    bunch_from: float = 0.90
    """A bunched long end of a player who is not slow needs this much: there it is rare, and often chance."""
    descent_apart_deg: float = 4.0
    apex_apart_share: float = 0.15
    """Flights differ when descent differs by more than the one or height by more than the other."""
    long_end_loft_deg: float = 30.0
    slow_below_mps: float = 85.0 * MPS_PER_MPH
    """Driver head speed under which fewer clubs and a bunched long end are talked about."""
    beginner_handicap: float = 28.0
    bent_from_deg: float = 0.75
    """A wedge measured this far from its stamp counts as bent."""

    def __post_init__(self) -> None:
        """Refuse rules that contradict themselves."""
        from bagwright.errors import InputError

        if not 0.0 < self.even_low <= self.even_high < 0.5:
            raise InputError(
                tell(
                    "Steps of {even_low:.3g} to {even_high:.3g} of carry are no band.",
                    even_low=self.even_low,
                    even_high=self.even_high,
                ),
                tell("Give two shares between 0 and 0.5, the lower first."),
            )
        if not 0.5 <= self.report_from < 1.0:
            raise InputError(
                tell("report_from is {report_from:.3g}.", report_from=self.report_from),
                tell("Give a probability from 0.5 to below 1."),
            )

    def band(self, carry: Floats) -> tuple[Floats, Floats]:
        """Low and high end of an even step, metres, at carries in metres (any shape)."""
        import numpy as np

        tighter = np.where(carry < self.short_end_m, self.short_end_factor, 1.0)
        return self.even_low * tighter * carry, self.even_high * tighter * carry

    def overlap_below(self, carry: Floats, spread: Floats) -> Floats:
        """Step in metres below which two clubs overlap, at a carry and a depth spread in metres."""
        import numpy as np

        return np.maximum(self.overlap_factor * self.band(carry)[0], self.overlap_spreads * spread)

    def gap_above(self, carry: Floats, spread: Floats) -> Floats:
        """Step in metres above which there is a gap, at a carry and a depth spread in metres."""
        import numpy as np

        return np.maximum(self.gap_factor * self.band(carry)[1], self.gap_spreads * spread)


@dataclass(frozen=True, slots=True)
class SwingDistance:
    """One more swing of a club: its carry, and whether it was hit or follows from the stock swing."""

    swing: str
    carry_m: Estimate
    n_shots: int
    used: Used


@dataclass(frozen=True, slots=True)
class ClubDistance:
    """One club of the table: carry of solid stock swings with its range, other swings, side, spread, build.

    `status` is the club's own, "by name" without a bag, or "not in the bag". `used` says whether the numbers
    come from this club's own balls or are predicted from the rest of the bag.
    `right_probability` is the chance that its balls centre right of the target line.
    """

    club: str
    kind: str
    number: str | None
    status: str
    loft_deg: float | None
    carry_m: Estimate
    carry_sd_m: Estimate
    offline_m: Estimate
    offline_sd_m: Estimate
    right_probability: float
    mishit_share: Estimate
    total_m: Estimate | None
    apex_m: Estimate | None
    descent_rad: Estimate | None
    n_shots: int
    used: Used
    swings: tuple[SwingDistance, ...] = ()
    bounce_deg: float | None = None
    sole: str | None = None
    groove_age_months: float | None = None
    quality: str = ""


@dataclass(frozen=True, slots=True)
class Step:
    """The step between two neighbours by carry, in metres, with the limits it is held against.

    `p_overlap` and `p_gap` are the chances that it is too narrow or too wide; `word` is "even", "narrow",
    "wide", "overlap", "same carry" (narrow, but not the same job), or "gap". `filled_by` names a swing that
    fills a gap, (club, swing, probability that it does, "measured" or "predicted").
    """

    longer: str
    shorter: str
    step_m: Estimate
    share: float
    even_low_m: float
    even_high_m: float
    overlap_below_m: float
    gap_above_m: float
    p_overlap: float
    p_gap: float
    word: str
    same_job: SameJob
    same_job_reason: str
    filled_by: tuple[str, str, float, Used] | None = None


@dataclass(frozen=True, slots=True)
class LoftLine:
    """The player's own loft line through the measured clubs without the driver: metres of carry a degree.

    `off_m` holds for each club how far its carry lies above (+) or below (−) the line, with its range, and
    the chance that this is more than half an even step.
    """

    clubs: tuple[str, ...]
    carry_m_per_deg: Estimate
    at_loft_deg: float
    carry_m: Estimate
    scatter_m: float
    off_m: tuple[tuple[str, Estimate, float], ...]


@dataclass(frozen=True, slots=True)
class DistanceTable:
    """The bag by carry, longest first, its steps, the loft line if one can be drawn, and what stands out."""

    clubs: tuple[ClubDistance, ...]
    steps: tuple[Step, ...]
    findings: tuple[Finding, ...]
    loft_line: LoftLine | None = None
    slots_free: int | None = None
