"""What is believed of a strike before anything is measured: by club kind, loft and club speed.

The centre comes from the impact of a rigid sphere that rolls off the face: along the face's normal
v_n = V cos(L) (1 + e) / (1 + m/M), along the face v_t = V sin(L) / (1 + m/M + 5/2), spin 2.5 v_t / r,
launch = attack + L - atan(v_t / v_n), L the spin loft (Penner 2003, Rep. Prog. Phys. 66:131, section 3,
form as commonly quoted). Every other figure in this file - how fast and how steeply players swing, what
their clubs deliver, how widely all of it scatters - is JUDGEMENT of the trade, no source; the widths are
meant to be too wide rather than too narrow.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from bagwright.errors import InputError
from bagwright.flight.launch import BALL_RADIUS_M
from bagwright.flight.rolling import HEAD_KG, rolling_exit

Vector = tuple[float, ...]
Matrix = tuple[tuple[float, ...], ...]


@dataclass(frozen=True, slots=True)
class Kind:
    """How one kind of club is usually delivered; every figure is judgement.

    Angles in degrees. `share` is its club speed over the driver's, `attack_deg` the angle of attack,
    `added_deg` delivered less static loft, `spin_share` spin over the rolling sphere's,
    `spring` what a thin face adds to the restitution.
    """

    loft_deg: float
    loft_sd_deg: float
    head_kg: float
    share: float
    attack_deg: float
    added_deg: float
    spin_share: float
    spring: float
    weight: float


KINDS: dict[str, Kind] = {
    "driver": Kind(10.5, 1.0, HEAD_KG["driver"], 1.00, 0.0, 2.5, 0.90, 0.04, 0.20),
    "wood": Kind(17.0, 2.5, HEAD_KG["wood"], 0.94, -2.0, 0.0, 0.95, 0.03, 0.10),
    "hybrid": Kind(21.0, 2.5, HEAD_KG["hybrid"], 0.89, -3.0, -3.0, 1.10, 0.01, 0.10),
    "iron": Kind(31.0, 6.0, HEAD_KG["iron"], 0.81, -4.0, -7.0, 1.25, 0.00, 0.40),
    "wedge": Kind(52.0, 5.0, HEAD_KG["wedge"], 0.72, -5.0, -8.0, 1.20, 0.00, 0.20),
}
"""The five kinds. `weight` is how often a shot of unknown club is of this kind (judgement)."""

DRIVER_SPEED_MPS = 42.0
SPEED_SD = 0.15
MEASURED_SPEED_SD = 0.02
MEASURED_LOFT_SD_DEG = 0.5
ADDED_SD_DEG = 2.5
ATTACK_SD_DEG = 2.5
LN_SMASH_SD = 0.03
LN_SPIN_SD = 0.15
LAUNCH_SD_DEG = 1.0
DIRECTION_SD_DEG = 3.0
AXIS_SD_DEG = 8.0
LOFT_OF_IRON_DEG = 31.0
SHARE_PER_LOFT_DEG = -0.004
"""Share of club speed lost per degree of loft within irons and wedges: about 1.2 mph a club of 4 degrees."""


@dataclass(frozen=True, slots=True)
class Prior:
    """A normal belief about (ln ball speed m/s, launch rad, ln spin rad/s, direction rad, spin axis rad).

    `root` is the lower Cholesky factor of the covariance; `words` say where it comes from.
    """

    mean: Vector
    root: Matrix
    kind: str | None
    words: str

    def sd(self) -> Vector:
        """Standard deviation of each of the five."""
        return tuple(math.sqrt(sum(v * v for v in row)) for row in self.root)


def kind_of_loft(loft_rad: float) -> str:
    """Kind of club by its loft alone (bounds: common practice, no source)."""
    degrees = math.degrees(loft_rad)
    for limit, kind in ((13.5, "driver"), (18.5, "wood"), (22.5, "hybrid"), (43.0, "iron")):
        if degrees < limit:
            return kind
    return "wedge"


def strike_by_rolling(
    club_mps: float, spin_loft: float, attack: float, head_kg: float, spring: float = 0.0
) -> Vector:
    """Ball speed (m/s), launch (rad), spin (rad/s) of a rigid sphere that rolls off the face.

    Restitution falls with the normal speed, 0.85 at 20 m/s and 0.78 at 45 m/s (Penner 2003, p. 144,
    second-hand).
    """
    normal = club_mps * math.cos(spin_loft)
    restitution = min(0.906 - 0.0028 * normal, 0.87) + spring
    out, along = rolling_exit(normal, club_mps * math.sin(spin_loft), head_kg, restitution)
    return math.hypot(out, along), attack + spin_loft - math.atan2(along, out), 2.5 * along / BALL_RADIUS_M


def _of_kind(kind: str, loft_rad: float | None, club_mps: float | None) -> tuple[Vector, list[list[float]]]:
    """Mean and covariance of (ln ball speed, launch, ln spin) for one kind.

    Unscented transform (Julier & Uhlmann 1997, IEEE Proc. AeroSense) over the independent causes.
    """
    k = KINDS[kind]
    loft = math.degrees(loft_rad) if loft_rad is not None else k.loft_deg
    share = k.share
    if kind in ("iron", "wedge"):
        share = KINDS["iron"].share + SHARE_PER_LOFT_DEG * (loft - LOFT_OF_IRON_DEG)
    speed = club_mps if club_mps is not None else DRIVER_SPEED_MPS * share
    speed_sd = MEASURED_SPEED_SD if club_mps is not None else SPEED_SD
    loft_sd = MEASURED_LOFT_SD_DEG if loft_rad is not None else k.loft_sd_deg
    sds = (speed_sd, math.radians(math.hypot(loft_sd, ADDED_SD_DEG)), math.radians(ATTACK_SD_DEG))

    def strike(z: Vector) -> Vector:
        attack = math.radians(k.attack_deg) + sds[2] * z[2]
        delivered = math.radians(loft + k.added_deg) + sds[1] * z[1] + 0.7 * sds[2] * z[2]
        spin_loft = min(max(delivered - attack, math.radians(5.0)), math.radians(75.0))
        v, launch, spin = strike_by_rolling(
            speed * math.exp(sds[0] * z[0]), spin_loft, attack, k.head_kg, k.spring
        )
        return math.log(v), launch, math.log(spin * k.spin_share)

    noise = (LN_SMASH_SD, math.radians(LAUNCH_SD_DEG), LN_SPIN_SD)
    return _moments(strike, noise)


def _moments(strike, noise: Vector) -> tuple[Vector, list[list[float]]]:  # type: ignore[no-untyped-def]
    """Mean and covariance of strike(z), z three independent standard normals, plus independent noise."""
    reach = math.sqrt(3.0)
    centre = strike((0.0, 0.0, 0.0))
    mean = list(centre)
    cov = [[0.0] * 3 for _ in range(3)]
    for cause in range(3):
        z = [0.0, 0.0, 0.0]
        z[cause] = reach
        up = strike(tuple(z))
        z[cause] = -reach
        down = strike(tuple(z))
        slope = [(a - b) / (2.0 * reach) for a, b in zip(up, down, strict=True)]
        bend = [(a + b - 2.0 * c) / 6.0 for a, b, c in zip(up, down, centre, strict=True)]
        for i in range(3):
            mean[i] += bend[i]
            for j in range(3):
                cov[i][j] += slope[i] * slope[j] + 2.0 * bend[i] * bend[j]
    for i in range(3):
        cov[i][i] += noise[i] ** 2
    return tuple(mean), cov


def _mixed(loft_rad: float | None, club_mps: float | None) -> tuple[Vector, list[list[float]]]:
    """Mean and covariance over all kinds by their weights: the belief when the club is unknown."""
    parts = [(k.weight, *_of_kind(name, loft_rad, club_mps)) for name, k in KINDS.items()]
    mean = tuple(sum(w * m[i] for w, m, _ in parts) for i in range(3))
    cov = [
        [sum(w * (c[i][j] + (m[i] - mean[i]) * (m[j] - mean[j])) for w, m, c in parts) for j in range(3)]
        for i in range(3)
    ]
    return mean, cov


def prior(
    club_kind: str | None = None, loft_rad: float | None = None, club_speed_mps: float | None = None
) -> Prior:
    """Return the belief about a strike given what is known of the club and its speed.

    A loft without a kind chooses the kind by loft. Without either, the whole bag is mixed and the range is
    wide. Raises InputError for an unknown kind, and for a loft or club speed that no club has.
    """
    if club_kind is not None and club_kind not in KINDS:
        raise InputError(
            f"club kind {club_kind!r} is not known.", f"Write one of {', '.join(KINDS)}, or leave it out."
        )
    kind = club_kind
    if kind is None and loft_rad is not None:
        kind = kind_of_loft(loft_rad)
    mean, cov = _mixed(loft_rad, club_speed_mps) if kind is None else _of_kind(kind, loft_rad, club_speed_mps)
    side = (math.radians(DIRECTION_SD_DEG), math.radians(AXIS_SD_DEG))
    root = [[*row, 0.0, 0.0] for row in cholesky(cov)]
    root += [[0.0, 0.0, 0.0, side[0], 0.0], [0.0, 0.0, 0.0, 0.0, side[1]]]
    return Prior(
        (*mean, 0.0, 0.0), tuple(tuple(r) for r in root), kind, _words(kind, loft_rad, club_speed_mps)
    )


def _words(kind: str | None, loft_rad: float | None, club_mps: float | None) -> str:
    known = [f"club kind {kind}" if kind else "any club in the bag"]
    if loft_rad is not None:
        known.append(f"loft {math.degrees(loft_rad):.1f} deg")
    if club_mps is not None:
        known.append(f"club speed {club_mps:.1f} m/s")
    return "beforehand (judgement, widths on the wide side): " + ", ".join(known)


def cholesky(a: list[list[float]]) -> list[list[float]]:
    """Lower factor of a positive definite matrix (lists of rows)."""
    n = len(a)
    low = [[0.0] * n for _ in range(n)]
    for i in range(n):
        for j in range(i + 1):
            rest = a[i][j] - sum(low[i][m] * low[j][m] for m in range(j))
            low[i][j] = math.sqrt(rest) if i == j else rest / low[j][j]
    return low


DOUBT_LOW_SPIN = 0.03
DOUBT_HIGH_SPIN = 0.10


def doubt_of_law(spin_ratio: float) -> float:
    """Standard deviation of ln drag and of ln lift of a published law that no shots have levelled.

    Published laws agree to about 2 % of carry for drivers (spin ratio near 0.1) and differ by 14-22 % for mid
    irons and wedges (0.3 and more); between the two the doubt grows evenly. Judgement, sized to that spread.
    """
    share = min(max((spin_ratio - 0.10) / 0.20, 0.0), 1.0)
    return DOUBT_LOW_SPIN + share * (DOUBT_HIGH_SPIN - DOUBT_LOW_SPIN)
