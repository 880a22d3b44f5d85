"""Drag and lift of a law with their derivatives by spin ratio and Reynolds number."""

from __future__ import annotations

from collections.abc import Callable

Law6 = Callable[[float, float], tuple[float, float, float, float, float, float]]


def d1(s: float, re: float) -> tuple[float, float, float, float, float, float]:
    """The default law: CD = 0.207 + 0.34 S^2/(S^2 + 0.162), CL = 0.56 S/(S + 0.245).

    Gives CD, CL, dCD/dS, dCD/dRe, dCL/dS, dCL/dRe.
    """
    a = s * s + 0.162
    b = s + 0.245
    return (
        0.207 + 0.34 * s * s / a,
        0.56 * s / b,
        0.34 * 0.324 * s / (a * a),
        0.0,
        0.56 * 0.245 / (b * b),
        0.0,
    )


D1_DECAY = 1.4e-5


def law_with_slopes(name: str) -> tuple[Law6, float, float]:
    """Law, spin decay along the path and spin decay per second, by name.

    For the default the slopes are exact; any other law is a formula or table of two numbers, whose slopes
    are taken by central differences of one part in 10^5.
    """
    if name == "D1":
        return d1, D1_DECAY, 0.0
    from bagwright.flight.aero import coefficients, find_law

    found = find_law(name)

    def sloped(s: float, re: float) -> tuple[float, float, float, float, float, float]:
        es, er = 1e-5 * (s + 1e-3), 1e-5 * re
        cd, cl = coefficients(name, s, re)
        sp, sm = coefficients(name, s + es, re), coefficients(name, max(s - es, 0.0), re)
        rp, rm = coefficients(name, s, re + er), coefficients(name, s, re - er)
        ws = es + min(es, s)
        return (
            float(cd), float(cl), float(sp[0] - sm[0]) / ws, float(rp[0] - rm[0]) / (2 * er),
            float(sp[1] - sm[1]) / ws, float(rp[1] - rm[1]) / (2 * er),
        )  # fmt: skip

    return sloped, found.spin_decay, found.spin_decay_per_s
