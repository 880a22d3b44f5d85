"""What a player, a build, a club and a bag are."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field
from typing import Literal

Kind = Literal["driver", "wood", "hybrid", "iron", "wedge", "putter"]
Status = Literal["carried", "candidate", "spare", "former"]
Hand = Literal["right", "left"]
Sex = Literal["female", "male"]

KINDS: tuple[Kind, ...] = ("driver", "wood", "hybrid", "iron", "wedge", "putter")
STATUSES: tuple[Status, ...] = ("carried", "candidate", "spare", "former")


@dataclass(frozen=True, slots=True)
class Build:
    """What makes two clubs the same club. A changed setting is a new build; missing is None, never 0.

    Lofts and lie angles are measured ones, in degrees at this door as the workshop's gauge shows them.
    """

    head: str | None = None
    loft_deg: float | None = None
    hosel_setting: str | None = None
    length_m: float | None = None
    lie_angle_deg: float | None = None
    shaft: str | None = None
    shaft_weight_g: float | None = None
    shaft_flex: str | None = None
    swing_weight: str | None = None
    grip: str | None = None


@dataclass(frozen=True, slots=True)
class Club:
    """One club: its unique name in the bag, what is stamped on it, its build and its place.

    `stamped_loft_deg` is what the head says, `build.loft_deg` what was measured. `also` holds other spellings
    that a shot table may use for this very build. Prices in the user's own currency.
    """

    name: str
    kind: Kind
    number: str | None = None
    status: Status = "carried"
    build: Build = field(default_factory=Build)
    stamped_loft_deg: float | None = None
    bounce_deg: float | None = None
    sole: str | None = None
    groove_age_months: float | None = None
    grip_age_months: float | None = None
    head_volume_cm3: float | None = None
    construction: str | None = None
    use: tuple[str, ...] = ()
    also: tuple[str, ...] = ()
    price: float | None = None
    lead_time_days: float | None = None
    note: str | None = None
    proposed: tuple[tuple[str, str, str], ...] = ()
    """Changes proposed for the workshop: (field of the build, proposed value, reason)."""

    @property
    def loft_deg(self) -> float | None:
        """Measured loft where there is one, else the stamped one, in degrees."""
        return self.build.loft_deg if self.build.loft_deg is not None else self.stamped_loft_deg


@dataclass(frozen=True, slots=True)
class Player:
    """Who hits. `driver_speed_mps` is driver head speed; missing is None, never 0."""

    name: str = "Player"
    hand: Hand = "right"
    sex: Sex | None = None
    age: float | None = None
    handicap: float | None = None
    driver_speed_mps: float | None = None
    height_m: float | None = None
    wrist_to_floor_m: float | None = None
    injury: str | None = None
    pain: bool = False
    ball: str | None = None
    goals: str | None = None
    divot: str | None = None
    turf: str | None = None
    sand: str | None = None
    club_limit: int = 14
    currency: str = ""
    seller_interest: str | None = None

    @property
    def halved_limits(self) -> bool:
        """True where ball limits are halved: under 18, 65 and over, or pain (software defaults)."""
        return self.pain or (self.age is not None and (self.age < 18 or self.age >= 65))


@dataclass(frozen=True, slots=True)
class Bag:
    """A player and every club known of them, in bag order (longest first as written in the file)."""

    player: Player = field(default_factory=Player)
    clubs: tuple[Club, ...] = ()
    shot_files: tuple[str, ...] = ()
    source: str | None = None

    def __iter__(self) -> Iterator[Club]:
        return iter(self.clubs)

    def find(self, name: str) -> Club | None:
        """Find the club with exactly this name, or None."""
        return next((club for club in self.clubs if club.name == name), None)

    def with_status(self, *statuses: Status) -> tuple[Club, ...]:
        """List the clubs of one or more statuses, in bag order."""
        return tuple(club for club in self.clubs if club.status in statuses)
