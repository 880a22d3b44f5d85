"""Fitted functions of the fast schedule. Written by bench/make_kernels.py, to be changed there."""

from __future__ import annotations

from typing import Any

import numpy as np

F = np.float32
ONE, SLOW = F(1.0), F(8.0)
SINE_0 = F(0.999999995)
SINE_1 = F(-0.166666573)
SINE_2 = F(0.00833303348)
SINE_3 = F(-0.000198077618)
SINE_4 = F(2.60221997e-06)
COSINE_0 = F(0.999999948)
COSINE_1 = F(-0.499998973)
COSINE_2 = F(0.0416633922)
COSINE_3 = F(-0.00138522676)
COSINE_4 = F(2.31210766e-05)


def log2(x: Any) -> Any:
    """The logarithm to base 2; each kind of machine has its own."""
    return np.log2(x)


def launch_fit(a: Any, b: Any, c: Any, d: Any, e: Any) -> Any:
    """Root of the time of flight over that without air."""
    return (
        F(0.867709775)
        + F(-0.184779574) * b
        + F(-0.286404059) * a * e
        + F(-1.47899416) * c * c * c
        + F(-1.36866321) * b * c * c
        + F(3.53420235) * c * c
        + F(4.82862721) * b * b * c
        + F(1.00657557) * b * c * d
        + F(-6.52764071) * b * c
        + F(-2.42676875) * c * c * e
        + F(-2.50960369) * b * b * b
        + F(-0.483026034) * c * c * d
        + F(2.49834619) * b * b
        + F(-0.778239205) * c * e * e
        + F(0.108759471) * a * c * c
        + F(0.394030893) * d * e * e
        + F(-1.85775568) * c * d * d
        + F(1.46815674) * c
        + F(1.17906765) * c * d * e
        + F(0.0340833587) * a * e * e
        + F(-1.27560177) * b * e
        + F(0.498046325) * e
        + F(0.338111608) * a * b * e
        + F(0.683188671) * b * b * e
    )


def rest_fit(a: Any, b: Any, c: Any) -> Any:
    """Time still to go over that of a fall with the present acceleration."""
    return (
        F(0.282270606)
        + F(2.58554147) * c
        + F(-0.408470212) * a
        + F(-2.98880659) * c * c
        + F(1.07510926) * a * c
        + F(-0.0281438222) * a * a
        + F(-0.903286669) * b * b * b
        + F(1.12819882) * c * c * c
        + F(-0.522247633) * a * c * c
    )


def bend_at_start(far: Any) -> Any:
    """Corrections of the logarithms in the first step; far = A of log2(1 + A t)."""
    far2 = log2(ONE + far)
    r = ONE / (ONE + far)
    part = far / (far + SLOW)
    d0 = far2 + (F(-5.03332463) + F(-31.9197997) * r + F(12.6306202) * r * far2 + F(19.9161375) * r * r + F(26.4598401) * r * r * far2 + F(17.0952848) * r * r * r)
    d2 = part * (F(-0.0754920241) + part * (F(-1.03396327) + part * (F(1.16910878) + part * F(-0.524734243))))
    d3 = part * (F(0.203668398) + part * (F(0.970359198) + part * (F(-1.2387861) + part * F(0.555935912))))
    d4 = part * (F(0.534942321) + part * (F(-0.405713339) + part * (F(0.852607569) + part * F(-0.525155175))))
    d5 = part * (F(-0.0727007401) + part * (F(-0.123480368) + part * (F(0.177491143) + part * F(-0.0801222306))))
    d6 = part * (F(0.0836683143) + part * (F(0.107276984) + part * (F(-0.176255059) + part * F(0.0840451804))))
    return d0, d2, d3, d4, d5, d6


def bend_at_end(far: Any) -> Any:
    """The logarithms of the last leg: its beginning, its middle, its end."""
    far2 = log2(ONE + far)
    r = ONE / (ONE + far)
    f0 = far2 + (F(0.442865419) + F(-1.6619705) * r + F(-0.0742689877) * r * far2 + F(0.176145365) * r * r + F(1.33695226) * r * r * far2 + F(1.04685446) * r * r * r)
    fh = far2 + (F(-1.29908016) + F(2.82059257) * r + F(0.057159537) * r * far2 + F(-0.58876555) * r * r + F(-1.33996856) * r * r * far2 + F(-0.935918435) * r * r * r)
    f1 = far2 + (F(-3.9114379) + F(-9.13453755) * r + F(5.78748948) * r * far2 + F(8.67692381) * r * r + F(7.86085561) * r * r * far2 + F(4.38182856) * r * r * r)
    return f0, fh, f1
