"""Fit the numbers of the fast schedule and write `bench/kernel_numbers.py`; some ten seconds.

    .venv/bin/python -m bench.fit_kernels [FILE]

Three kinds: times to the ground (from the launch, and from the node near the crest), the corrections of the
logarithms at launch and landing, and polynomials for the elementary functions. Run `bench.make_kernels`
afterwards, then the tests and `bench.bench_flight`: the limits of `flight/batch.py` were set for these.
"""

from __future__ import annotations

import itertools
import math
import sys
from collections.abc import Callable, Sequence
from pathlib import Path

import numpy as np
from numpy.polynomial.legendre import leggauss

from bagwright.flight import batch
from bench import make_kernels
from bench._flights import K_PER_M, RADIUS_M, domain, hostile

G = 9.80665
ROUGH_M, AT_M = 0.03, 10.0
GOLF_WEIGHT = 3.0
"""How much more a launch of golf counts than an absurd one."""
LAUNCH_COUNT, REST_COUNT, DEGREE = 24, 9, 3

Table = tuple[np.ndarray, np.ndarray, np.ndarray]
Terms = list[tuple[tuple[int, ...], float]]


# --- corrections of the logarithm ------------------------------------------------------------------------


def method() -> Table:
    """Bogacki and Shampine's fifth-order method: A, b, c."""
    a = np.zeros((7, 7))
    for i, row in enumerate(make_kernels.A):
        a[i, : len(row)] = [make_kernels.number(each) for each in row]
    return a, np.array([make_kernels.number(each) for each in make_kernels.B]), a.sum(axis=1)


def classical() -> Table:
    """The classical fourth-order method."""
    a = np.zeros((4, 4))
    a[1, 0] = a[2, 1] = 0.5
    a[3, 2] = 1.0
    return a, np.array([1, 2, 2, 1]) / 6, np.array([0, 0.5, 0.5, 1])


def integral(values: Callable[[np.ndarray], np.ndarray]) -> float:
    """Integrate from 0 to 1 what is nearly singular at 0: Gauss's rule in t = u^6."""
    x, w = leggauss(400)
    u = (x + 1) / 2
    return float(np.sum(w / 2 * 6 * u**5 * values(u**6)))


def corrections(table: Table, far: float, at_end: bool, degree: int, inner: int) -> np.ndarray:
    """Least changes of the stages' ln(1 + far t) that make the method integrate it exactly.

    Exact against t^n, n up to `degree`, and, once and more through the method's own stages, (1-t)^m/m! t^n
    with m + n up to `inner`: the conditions of linear response. `at_end` puts the singular point at t = 1.
    """
    a, b, c = table
    here = np.log1p(far * ((1 - c) if at_end else c))
    rows, wanted, weights = [], [], b.copy()
    for m in range(4):
        for n in range(degree + 1):
            if m and m + n > inner:
                continue
            rows.append(weights * c**n)

            def moment(t: np.ndarray, m: int = m, n: int = n) -> np.ndarray:
                first, second = (1 - t, t) if at_end else (t, 1 - t)
                return np.log1p(far * t) * second**m / math.factorial(m) * first**n

            wanted.append(integral(moment))
        weights = weights @ a
    system = np.array(rows)
    return np.linalg.lstsq(system, np.array(wanted) - system @ here, rcond=1e-10)[0]


def bends() -> tuple[np.ndarray, list[np.ndarray], list[np.ndarray]]:
    """Fit the corrections as functions of far: first stage, other stages, last leg; in logs to base 2."""
    far = np.expm1(np.linspace(0, np.log(2e5), 160))
    start = np.array([corrections(method(), each, False, 4, 2) for each in far]).T / math.log(2)
    end = np.array([corrections(classical(), each, True, 3, 1) for each in far]).T / math.log(2)
    log, r, part = np.log2(1 + far), 1 / (1 + far), far / (far + 8)
    basis = np.array([np.ones_like(r), r, r * log, r * r, r * r * log, r**3]).T
    powers = np.vander(part, 5, increasing=True)[:, 1:]
    weight = np.where(far > 8, 1.0, 0.1)

    def fit(matrix: np.ndarray, values: np.ndarray) -> np.ndarray:
        return np.asarray(np.linalg.lstsq(matrix * weight[:, None], values * weight, rcond=None)[0])

    last = [fit(basis, np.log2(1 + far * (1 - c)) + end[i] - log) for i, c in ((0, 0.0), (1, 0.5), (3, 1.0))]
    return fit(basis, start[0] - log), [fit(powers, start[i]) for i in make_kernels.BENT[1:]], last


# --- times -----------------------------------------------------------------------------------------------


def launches() -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Golf's launches in many airs and at many levels, and absurd ones: rows, k times drag, k times lift."""
    n, rng = 6000, np.random.default_rng(11)
    rows = np.vstack([domain(n, 11), hostile(n, 11)])
    density = np.r_[rng.uniform(0.9, 1.35, n) / 1.2, np.ones(n)]
    drag = np.r_[rng.uniform(0.85, 1.15, n), np.ones(n)]
    lift = np.r_[rng.uniform(0.8, 1.2, n), np.ones(n)]
    return rows, K_PER_M * density * drag, K_PER_M * density * lift


def slopes(state: np.ndarray, own: dict[str, np.ndarray]) -> np.ndarray:
    """Rates by time of vx, vy, vz, z, s, law "D1", log wind, all flights at once."""
    vx, vy, vz, z, s = state
    share = np.log1p(np.maximum(z, -0.5 * ROUGH_M) / ROUGH_M) / math.log1p(AT_M / ROUGH_M)
    u = np.array([vx - own["wx"] * share, vy - own["wy"] * share, vz])
    q = np.sqrt((u**2).sum(axis=0))
    ratio = s / q
    drag = own["kd"] * q * (0.207 + 0.34 * ratio**2 / (ratio**2 + 0.162))
    lift = own["kl"] * q * 0.56 * ratio / (ratio + 0.245)
    force = lift * np.cross(own["axis"], u, axis=0) - drag * u
    return np.array([force[0], force[1], force[2] - G, vz, -1.4e-5 / RADIUS_M * q * s])


def follow(state: np.ndarray, own: dict[str, np.ndarray], lengths: Sequence[np.ndarray]) -> np.ndarray:
    """Follow all flights over steps of their own lengths."""
    a, b, _ = method()
    for h in lengths:
        k: list[np.ndarray] = []
        for row in a:
            at = state + h * sum((w * each for w, each in zip(row, k, strict=False)), 0 * state)
            k.append(slopes(at, own))
        state = state + h * sum(w * each for w, each in zip(b, k, strict=True))
    return state


def products(variables: Sequence[np.ndarray]) -> tuple[np.ndarray, list[tuple[int, ...]]]:
    """All products of the variables up to a degree."""
    which: list[tuple[int, ...]] = [()]
    for degree in range(1, DEGREE + 1):
        which += itertools.combinations_with_replacement(range(len(variables)), degree)
    ones = np.ones_like(variables[0])
    columns = [np.prod([variables[i] for i in each], axis=0) if each else ones for each in which]
    return np.nan_to_num(np.array(columns).T), which


def chosen(variables: Sequence[np.ndarray], wanted: np.ndarray, weight: np.ndarray, count: int) -> Terms:
    """The products that explain most, one after another (orthogonal matching), fitted together."""
    columns, which = products(variables)
    matrix, target = columns * weight[:, None], wanted * weight
    matrix, target = matrix[::2], target[::2]
    taken = [0]
    for _ in range(count - 1):
        basis, _ = np.linalg.qr(matrix[:, taken])
        left = target - basis @ (basis.T @ target)
        others = matrix - basis @ (basis.T @ matrix)
        gain = np.abs(others.T @ left) / (np.linalg.norm(others, axis=0) + 1e-9)
        gain[taken] = 0.0
        taken.append(int(np.argmax(gain)))
    coefficients = np.linalg.lstsq(matrix[:, taken], target, rcond=None)[0]
    return [(which[i], float(c)) for i, c in zip(taken, coefficients, strict=True)]


def value(terms: Terms, variables: Sequence[np.ndarray]) -> np.ndarray:
    """Evaluate a sum of products."""
    return np.asarray(
        sum(c * np.prod([variables[i] for i in which], axis=0) if which else c for which, c in terms)
    )


def times() -> tuple[Terms, Terms]:
    """Fit the time of flight from the launch, and the time still to go from the node near the crest."""
    rows, kd, kl = launches()
    speed, up, side, rpm, tilt, wx, wy = rows.T
    s = rpm * (math.pi / 30 * RADIUS_M)
    columns = batch.Columns(speed, up, side, s, tilt, wx, wy, kd, kl, np.ones_like(s))
    shared = batch.Shared(ROUGH_M, AT_M, 1.4e-5 / RADIUS_M, (0.25, 7e4, 0.3, 4e4))
    time = _exact_times(columns, shared)
    golf = np.arange(len(rows)) < len(rows) // 2
    mean = math.log1p(batch._MEAN_HEIGHT_M / ROUGH_M) / math.log1p(AT_M / ROUGH_M)
    v = np.array([speed * np.cos(up) * np.cos(side), speed * np.cos(up) * np.sin(side), speed * np.sin(up)])
    q2 = (v[0] - mean * wx) ** 2 + (v[1] - mean * wy) ** 2 + v[2] ** 2
    ratio = s / np.sqrt(q2)
    over = kl * 0.56 * ratio / (ratio + 0.245) * np.cos(tilt) * np.cos(up) * q2 / G
    back = kd * (0.207 + 0.34 * ratio**2 / (ratio**2 + 0.162)) * q2 / G
    at_launch = [
        speed * np.sqrt(kd / G), np.sin(up), over / (1 + over), back / (1 + back), mean * wx / speed
    ]  # fmt: skip
    without = 2 * v[2] / G
    wanted = np.sqrt(time / without)
    first = chosen(at_launch, wanted, np.where(golf, GOLF_WEIGHT, 1.0) / wanted, LAUNCH_COUNT)
    guess = value(first, at_launch) ** 2 * without
    axis = np.array([np.cos(tilt) * np.sin(side), -np.cos(tilt) * np.cos(side), np.sin(tilt)])
    own = {"wx": wx, "wy": wy, "kd": kd, "kl": kl, "axis": axis}
    nodes = (0.0, *batch._NODES[: batch._REST_AFTER])
    lengths = [(b - a) * guess for a, b in itertools.pairwise(nodes)]
    state = follow(np.array([*v, 0 * s, s]), own, lengths)
    return first, _rest(state, own, time - nodes[-1] * guess, golf)


def _exact_times(columns: batch.Columns, shared: batch.Shared) -> np.ndarray:
    """Times of flight by the adaptive method: what the fits are to."""
    from bagwright.air import Wind
    from bagwright.flight.fly import fly_many
    from bagwright.flight.launch import Launches, Scale

    rpm = columns.surface_mps / (math.pi / 30 * RADIUS_M)
    flights = fly_many(
        Launches.of(columns.speed_mps, columns.launch_rad, rpm, columns.direction_rad, columns.axis_rad),
        wind=Wind(5.0, 0.0, at_height_m=shared.at_height_m, roughness_m=shared.roughness_m),
        wind_xy_mps=(columns.wind_x_mps, columns.wind_y_mps),
        density_kg_m3=1.2,
        scale=Scale(columns.drag_per_m / K_PER_M, columns.lift_per_m / K_PER_M),
        tolerance=1e-8,
        fast=False,
    )
    return np.asarray(flights.time_s)


def _rest(state: np.ndarray, own: dict[str, np.ndarray], left: np.ndarray, golf: np.ndarray) -> Terms:
    """Fit the time still to go over that of a fall with the present acceleration."""
    z, vz, gz = state[3], state[2], slopes(state, own)[2]
    usable = (left > 0) & (z > 0) & (gz < -1.0)
    with np.errstate(invalid="ignore"):
        fall = (vz + np.sqrt(np.maximum(vz * vz - 2 * gz * z, 0.0))) / np.maximum(-gz, 1e-3)
    wanted = np.where(usable, left / np.where(usable, fall, 1.0), 1.0)
    weight = np.where(golf, GOLF_WEIGHT, 1.0) * usable / np.maximum(wanted, 0.2)
    variables = [own["kd"] * z, vz * np.sqrt(own["kd"] / G), -gz / G]
    return chosen([np.where(usable, each, 0.0) for each in variables], wanted, weight, REST_COUNT)


# --- elementary functions and the file -------------------------------------------------------------------


def near(function: Callable[[np.ndarray], np.ndarray], low: float, high: float, degree: int) -> np.ndarray:
    """Fit a polynomial at Chebyshev's points, which is close to the best one."""
    x = (1 - np.cos(np.linspace(0, np.pi, 4001))) / 2 * (high - low) + low
    matrix = np.vander(x, degree + 1, increasing=True)
    return np.asarray(np.linalg.lstsq(matrix, function(x), rcond=None)[0])


def told(coefficients: np.ndarray) -> str:
    """Write numbers to nine digits."""
    return "(" + ", ".join(f"{each:.9g}" for each in coefficients) + ")"


def main() -> None:
    """Fit and write."""
    first, rest = times()
    start, others, end = bends()
    quarter = (math.pi / 2 * 1.01) ** 2
    lines = [
        '"""Fitted numbers of the fast schedule, made by bench/fit_kernels.py for bench/make_kernels.py."""\n'
    ]
    for name, terms in (("LAUNCH_TERMS", first), ("REST_TERMS", rest)):
        rows = [f"    ({which!r}, {c:.9g})," for which, c in terms]
        lines += [f"{name} = (", *rows, ")"]
    lines += [
        f"SINE = {told(near(lambda u: np.sinc(np.sqrt(u) / np.pi), 0, quarter, 4))}",
        f"COSINE = {told(near(lambda u: np.cos(np.sqrt(u)), 0, quarter, 4))}",
        f"LOG2 = {told(near(lambda m: np.log2(m) - (m - 1), 1, 2, 6))}",
        f"START_FIRST = {told(start)}",
        *("START_OTHERS = (", *(f"    {told(each)}," for each in others), ")"),
        *("END = (", *(f"    {told(each)}," for each in end), ")"),
    ]
    target = Path(sys.argv[1]) if len(sys.argv) > 1 else Path(__file__).with_name("kernel_numbers.py")
    target.write_text("\n".join(lines) + "\n", encoding="utf-8")


if __name__ == "__main__":
    main()
