"""Laws of drag and lift of a golf ball, with their sources and the range each was fitted to.

S is the spin ratio r omega / V and Re the Reynolds number V D / nu, both of the velocity relative to the air.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from bagwright.errors import InputError
from bagwright.flight import adaptive
from bagwright.flight._bh76 import GRID as BH76_GRID

DEFAULT = "D1"
"""The law used unless another is named."""


@dataclass(frozen=True, slots=True)
class Law:
    """One published law.

    `spin_decay` is lambda in d omega/dt = -lambda V omega / r, `spin_decay_per_s` a decay by time where the
    source has one. `s_low..s_high` and `re_high` bound the fit; its least Reynolds number is `re_low` up to
    spin ratio `s_turn[0]`, `re_low_spinning` from `s_turn[1]` on, straight between. A law `by_speed` was
    given by the speed in one tunnel: its Reynolds number is that of the same speed there, whatever the air's.
    `usable` says what is known to be wrong with it.
    """

    name: str
    title: str
    source: str
    code: int
    spin_decay: float
    s_low: float
    s_high: float
    re_low: float
    re_high: float
    spin_decay_per_s: float = 0.0
    re_low_spinning: float = 0.0
    s_turn: tuple[float, float] = (0.25, 0.30)
    usable: str = ""
    by_speed: bool = False

    def re_per_mps(self, ball_diameter_m: float, nu_m2_s: Any) -> Any:
        """Reynolds number for each m/s of air speed, as this law takes it; `nu_m2_s` a float or an array."""
        if self.by_speed:
            return adaptive.REFERENCE_DIAMETER_M / adaptive.REFERENCE_NU
        return ball_diameter_m / nu_m2_s

    def limits(self) -> tuple[float, float, float, float]:
        """Spin ratios and least Reynolds numbers as the integrator takes them."""
        return self.s_turn[0], self.re_low, self.s_turn[1], self.re_low_spinning or self.re_low


LAWS: dict[str, Law] = {
    law.name: law
    for law in (
        Law(
            "D1",
            "fit to published coefficients and to the governing bodies' driver conditions",
            "computed for this project from the coefficients listed in docs/flight.md",
            adaptive.D1, 1.4e-5, 0.03, 1.0, 7e4, 2.5e5, re_low_spinning=4e4,
        ),
        Law(
            "pooled",
            "fit to published coefficients alone, no flight in it",
            "computed for this project from the coefficients listed in docs/flight.md",
            adaptive.POOLED, 2.0e-5, 0.03, 1.0, 7e4, 2.5e5, re_low_spinning=4e4,
        ),
        Law(
            "smits-smith-1994",
            "driver shots in a tunnel, with a Reynolds number term",
            "Smits and Smith 1994, Science and Golf II, 340-347 (read second-hand)",
            adaptive.SMITS_SMITH, 2.0e-5, 0.08, 0.2, 7e4, 2.1e5,
            usable="its Reynolds number term is 28 to 33 yards short at a fast driver's speed",
        ),
        Law(
            "smits-smith-1994-no-re",
            "the same without its Reynolds number term",
            "Smits and Smith 1994, Science and Golf II, 340-347 (read second-hand)",
            adaptive.SMITS_SMITH_NO_RE, 2.0e-5, 0.08, 0.2, 7e4, 2.1e5,
            usable="flies too high: a fast drive peaks at 38 m where others peak at 29 m",
        ),
        Law(
            "bearman-harvey-1976",
            "a ball of the 1970s in a tunnel, as a table",
            "Bearman and Harvey 1976, Aeronaut. Q. 27, 112-122 (a third party's table, read second-hand)",
            adaptive.GRID, 2.0e-5, 0.05, 0.98, 3.8e4, 2.5e5,
            by_speed=True,
        ),
        Law(
            "indoor-range-2001",
            "regression of an example ball on a governing body's indoor range",
            "US patent 6,186,002 B1 (2001), example, model 3 (read second-hand)",
            adaptive.INDOOR, 2.0e-5, 0.044, 0.218, 8.1e4, 2.0e5,
        ),
        Law(
            "lyu-2018",
            "one ball in still air, drag without spin in it",
            "Lyu, Kensrud, Smith and Tosaya 2018, Proceedings 2(6), 238 (read second-hand)",
            adaptive.LYU, 0.0, 0.04, 0.32, 5e4, 2.0e5, spin_decay_per_s=0.04,
            usable="far too long: no drag from spin",
        ),
        Law(
            "davies-1949",
            "forces at one speed on a ball of the 1940s",
            "Davies 1949, J. Appl. Phys. 20, 821-828 (from memory)",
            adaptive.DAVIES, 2.0e-5, 0.0, 0.56, 9.0e4, 9.1e4,
            usable="history: measured at 105 ft/s only",
            by_speed=True,
        ),
        Law(
            "textbook",
            "a classroom model: lift the same at any spin",
            "Giordano and Nakanishi, Computational Physics, chapter 2 (from memory)",
            adaptive.TEXTBOOK, 0.0, 0.0, 0.4, 4e4, 2.4e5,
            usable="for teaching only",
            by_speed=True,
        ),
        Law(
            "constant",
            "drag and lift coefficients of 1, to be scaled: for checks against closed forms",
            "definition",
            adaptive.CONSTANT, 0.0, 0.0, 1e9, 1e-9, 1e12,
            usable="for checks only",
        ),
    )
}  # fmt: skip
"""The laws by name."""

SPREAD = ("pooled", "bearman-harvey-1976", "indoor-range-2001", "smits-smith-1994-no-re")
"""The laws beside D1 whose disagreement is shown as its doubt; the others are known to be off."""


def find_law(name: str) -> Law:
    """The law of a name. Raises InputError that lists the names."""
    try:
        return LAWS[name]
    except (KeyError, TypeError):
        raise InputError(
            f'There is no law "{str(name)[:40]}" of drag and lift.', f"Known: {', '.join(LAWS)}."
        ) from None


def coefficients(law: str, S: Any, Re: Any) -> tuple[Any, Any]:
    """Drag and lift coefficient of a law at spin ratio S (>= 0) and Reynolds number Re (> 0).

    Floats give floats, arrays that fit each other arrays. Raises InputError for an unknown law.
    """
    code = find_law(law).code
    if isinstance(S, (int, float)) and isinstance(Re, (int, float)):
        return adaptive.drag_and_lift(code, float(S), float(Re), BH76_GRID)
    import numpy as np

    s, re = np.broadcast_arrays(np.asarray(S, dtype=np.float64), np.asarray(Re, dtype=np.float64))
    pairs = [
        adaptive.drag_and_lift(code, float(a), float(b), BH76_GRID)
        for a, b in zip(s.flat, re.flat, strict=True)
    ]
    both = np.array(pairs, dtype=np.float64).reshape(*s.shape, 2)
    return both[..., 0], both[..., 1]


REASONS = (
    "spin ratio lower than the law was fitted to",
    "spin ratio higher than the law was fitted to",
    "air speed lower than the law was fitted to",
    "air speed higher than the law was fitted to",
)
"""What an `extrapolated` mark can say, in the order of `left_range`."""


def left_range(law: Law, s_low: Any, s_high: Any, re_high: Any, margin: Any) -> tuple[Any, Any, Any, Any]:
    """Whether flights left what a law was fitted to, one answer (or array of answers) for each of REASONS.

    The extremes met on the way: spin ratio, Reynolds number, and the least Reynolds number as a share of the
    least one of the fit at that spin ratio.
    """
    return s_low < law.s_low, s_high > law.s_high, margin < 1.0, re_high > law.re_high


def departures(law: Law, s_low: float, s_high: float, re_high: float, margin: float) -> tuple[str, ...]:
    """Where one flight left what its law was fitted to, in words with figures; arguments as `left_range`."""
    figures = (
        f"{s_low:.3f}, fitted from {law.s_low:g}",
        f"{s_high:.2f}, fitted to {law.s_high:g}",
        f"{100 * margin:.0f} % of the least",
        f"Reynolds number {re_high:.3g}, fitted to {law.re_high:.3g}",
    )
    left = left_range(law, s_low, s_high, re_high, margin)
    return tuple(f"{words} ({told})" for words, told, out in zip(REASONS, figures, left, strict=True) if out)
