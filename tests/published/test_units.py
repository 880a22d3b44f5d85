"""Unit factors against tables that we did not write.

1. scipy.constants (CODATA and the international units, as an independent table).
2.
NIST Special Publication 811 (2008), appendix B.8: factors printed to seven figures, exact ones in full;
   typed from memory of the printed table.
"""

import math

import pytest
from scipy import constants

from bagwright import units
from bagwright.units import find_unit

BY_SCIPY = {
    "m": 1.0, "cm": constants.centi, "mm": constants.milli, "yd": constants.yard, "ft": constants.foot,
    "in": constants.inch, "mps": 1.0, "kmh": constants.kmh, "mph": constants.mph, "kn": constants.knot,
    "fps": constants.foot, "rad": 1.0, "deg": constants.degree, "rpm": 1.0, "rps": constants.minute, "s": 1.0,
    "ms": constants.milli,
}  # fmt: skip


@pytest.mark.parametrize("name", sorted(BY_SCIPY))
def test_factor_against_scipy_constants_both_ways(name: str) -> None:
    unit = find_unit(name)
    assert unit is not None
    assert unit.factor == pytest.approx(BY_SCIPY[name], rel=1e-15)
    assert (12.34 * unit.factor) / BY_SCIPY[name] == pytest.approx(12.34, rel=1e-12)
    assert (12.34 * BY_SCIPY[name]) / unit.factor == pytest.approx(12.34, rel=1e-12)


NIST_SP_811 = {
    "foot (ft) to metre, B.8": (units.M_PER_FT, 3.048e-01, True),
    "inch (in) to metre, B.8": (units.M_PER_IN, 2.54e-02, True),
    "yard (yd) to metre, B.8": (units.M_PER_YD, 9.144e-01, True),
    "mile (mi) to metre, B.8": (units.M_PER_MILE, 1.609344e03, True),
    "mile per hour to metre per second, B.8": (units.MPS_PER_MPH, 4.4704e-01, True),
    "foot per second to metre per second, B.8": (units.MPS_PER_FPS, 3.048e-01, True),
    "kilometre per hour to metre per second, B.8": (units.MPS_PER_KMH, 2.777778e-01, False),
    "knot to metre per second, B.8": (units.MPS_PER_KNOT, 5.144444e-01, False),
    "degree (angle) to radian, B.8": (units.RAD_PER_DEG, 1.745329e-02, False),
    "ounce (avoirdupois) to gram, B.8": (units.G_PER_OZ, 2.834952e01, False),
}


@pytest.mark.parametrize("row", sorted(NIST_SP_811))
def test_factor_against_nist_sp_811(row: str) -> None:
    ours, printed, exact = NIST_SP_811[row]
    assert ours == pytest.approx(printed, rel=1e-15 if exact else 3e-7)


def test_definitions_of_1959_and_1929() -> None:
    """Agreement of 1959: 1 yd = 0.9144 m, 1 lb = 0.45359237 kg; nautical mile of 1929: 1852 m."""
    assert units.M_PER_YD == 0.9144
    assert pytest.approx(0.9144, rel=1e-15) == 3 * units.M_PER_FT
    assert pytest.approx(0.9144, rel=1e-15) == 36 * units.M_PER_IN
    assert pytest.approx(units.M_PER_MILE, rel=1e-15) == 1760 * units.M_PER_YD
    assert pytest.approx(453.59237, rel=1e-15) == 16 * units.G_PER_OZ
    assert pytest.approx(1852, rel=1e-15) == units.MPS_PER_KNOT * 3600
    assert pytest.approx(math.pi, rel=1e-15) == 180 * units.RAD_PER_DEG
