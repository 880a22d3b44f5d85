"""The kernels are what their writer writes, and the shared arithmetic is the law of docs/flight.md."""

import math
from typing import Any

import numpy as np
import pytest

from bagwright.flight import _straight, _straight_fits
from bagwright.flight.aero import coefficients
from bench import make_kernels


@pytest.mark.parametrize("name", sorted(make_kernels.files()))
def test_written_files_are_up_to_date(name: str) -> None:
    text = (make_kernels.FOLDER / name).read_text(encoding="utf-8")
    assert text == make_kernels.files()[name], "run: python -m bench.make_kernels"


def test_both_kernels_hold_the_shared_functions_word_for_word() -> None:
    for function in (_straight.slope, _straight.time_of_flight, _straight.crest):
        body = [line for line in make_kernels.shared() if line.startswith(f"def {function.__name__}(")]
        assert len(body) == 1
        for name in ("_kernel_lanes.py", "_kernel_cuda.py"):
            assert body[0] in (make_kernels.FOLDER / name).read_text(encoding="utf-8")


def test_the_method_is_of_fifth_order() -> None:
    # Order conditions of trees up to order 5 (Butcher 2008, Numerical Methods for ODEs, table 302).
    a = np.zeros((7, 7))
    for i, row in enumerate(make_kernels.A):
        a[i, : len(row)] = [make_kernels.number(each) for each in row]
    b = np.array([make_kernels.number(each) for each in make_kernels.B])
    c = a.sum(axis=1)
    ones = np.ones(7)
    sums = {
        1: [b @ ones],
        1 / 2: [b @ c],
        1 / 3: [b @ c**2],
        1 / 6: [b @ a @ c],
        1 / 4: [b @ c**3],
        1 / 8: [b @ (c * (a @ c))],
        1 / 12: [b @ a @ c**2],
        1 / 24: [b @ a @ a @ c],
        1 / 5: [b @ c**4],
        1 / 10: [b @ (c**2 * (a @ c))],
        1 / 15: [b @ (c * (a @ c**2))],
        1 / 30: [b @ (c * (a @ a @ c))],
        1 / 20: [b @ (a @ c) ** 2, b @ a @ c**3],
        1 / 40: [b @ a @ (c * (a @ c))],
        1 / 60: [b @ a @ a @ c**2],
        1 / 120: [b @ a @ a @ a @ c],
    }
    for want, found in sums.items():
        assert found == pytest.approx([want] * len(found), abs=1e-14)
    e = np.array([make_kernels.number(each) for each in make_kernels.E])
    for tree in (ones, c, c**2, a @ c, c**3, c * (a @ c), a @ c**2, a @ a @ c):
        assert e @ tree == pytest.approx(0.0, abs=1e-13)
    assert abs(e @ c**4) > 1e-3, "the estimate must see errors of order 5"


@pytest.mark.parametrize("spin_ratio", [0.05, 0.2, 0.6, 1.2])
def test_slope_is_the_default_law(spin_ratio: float) -> None:
    f, speed, k = np.float32, 40.0, 0.0187
    v = np.array([0.9, 0.1, math.sqrt(1 - 0.82)]) * speed
    axis = np.array([0.02, -0.95, 0.3])
    slope: Any = _straight.slope
    got = slope(
        *(f(x) for x in v), f(spin_ratio * speed), f(0.0), f(0.0), f(0.0),
        *(f(x) for x in axis), f(0.207 * k), f(0.34 * k), f(0.56 * k), f(6.56e-4),
    )  # fmt: skip
    drag, lift = coefficients("D1", spin_ratio, 1.2e5)
    force = k * speed * (lift * np.cross(axis, v) - drag * v) + np.array([0, 0, -9.80665])
    assert np.array(got[:3], float) == pytest.approx(force, rel=2e-6, abs=2e-5)
    assert float(got[3]) == pytest.approx(-6.56e-4 * speed * spin_ratio * speed, rel=1e-5)
    assert float(got[4]) == pytest.approx(speed, rel=1e-6)


def test_slope_takes_the_wind_off() -> None:
    f = np.float32
    rest = [f(x) for x in (0.0, -1.0, 0.0, 0.0039, 0.0064, 0.0105, 6.56e-4)]
    slope: Any = _straight.slope
    windy = slope(f(40), f(2), f(10), f(5), f(0.5), f(8), f(-6), *rest)
    calm = slope(f(36), f(5), f(10), f(5), f(0.5), f(0), f(0), *rest)
    assert [float(x) for x in windy] == pytest.approx([float(x) for x in calm], rel=1e-5)


def test_sine_and_cosine() -> None:
    x = np.linspace(-math.pi / 2, math.pi / 2, 1001).astype(np.float32)
    assert np.abs(_straight.sine(x) - np.sin(x.astype(float))).max() < 3e-7
    assert np.abs(_straight.cosine(x) - np.cos(x.astype(float))).max() < 3e-7


def test_crest_of_a_parabola() -> None:
    # z = 3 + 6 t - 5 t², from t = 0 to 1: top at 0.6 s, 4.8 m.
    f = np.float32
    got = _straight.crest(f(3), f(6), f(-10), f(4), f(-4), f(-10), f(1))
    assert float(got) == pytest.approx(4.8, rel=1e-6)


def test_bends_integrate_the_logarithm() -> None:
    # Product integration: the stages' corrected logarithms give the integral of log2(1 + A t) over the step.
    for far in (20.0, 100.0, 700.0):
        d = dict(zip(make_kernels.BENT, _straight_fits.bend_at_start(np.float32(far)), strict=True))
        b = [make_kernels.number(each) for each in make_kernels.B]
        c = [sum(make_kernels.number(a) for a in row) for row in make_kernels.A]
        got = sum(b[i] * (math.log2(1 + far * c[i]) + float(d.get(i, 0.0))) for i in range(7))
        want = ((1 + 1 / far) * math.log1p(far) - 1) / math.log(2)
        assert got == pytest.approx(want, abs=2e-3)
        f0, fh, f1 = (float(each) for each in _straight_fits.bend_at_end(np.float32(far)))
        assert (f0 + 4 * fh + f1) / 6 == pytest.approx(want, abs=2e-3)
