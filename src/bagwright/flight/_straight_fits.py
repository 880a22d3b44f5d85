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
        F(0.969174298)
        + F(-0.401184447) * b
        + F(-0.239111408) * a * e
        + F(3.0014737) * c * c
        + F(-0.829776303) * b * c * c
        + F(4.89087278) * b * b * c
        + F(-1.18004703) * d * d * d
        + F(-0.935547335) * c * c * e
        + F(-0.00196279132) * a * d
        + F(-0.0999666593) * c * e * e
        + F(0.154913894) * b * e * e
        + F(-2.89456783) * c * c * d
        + F(-6.38153926) * b * c
        + F(-2.72654265) * b * b * b
        + F(2.79521648) * b * b
        + F(1.44040238) * c * d
        + F(0.984389286) * c
        + F(-0.972176232) * b * e
        + F(0.391522402) * e
        + F(0.305617419) * a * b * e
        + F(0.494080462) * b * b * e
        + F(-0.0926676129) * e * e
        + F(0.433651155) * b * d * d
        + F(0.00214920374) * a * a * a
    )


def rest_fit(a: Any, b: Any, c: Any) -> Any:
    """Time still to go over that of a fall with the present acceleration."""
    return (
        F(0.165017044)
        + F(3.03123667) * c
        + F(-0.334852221) * a
        + F(-3.55064009) * c * c
        + F(-0.373140867) * a * c * c
        + F(1.36020253) * c * c * c
        + F(-0.0328782234) * a * a * c
        + F(0.863820495) * a * c
        + F(-0.992201943) * b * b * b
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
