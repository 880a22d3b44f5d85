"""Flight to launch: how fast and how exact, beside SciPy, and whether 90 % ranges hold nine in ten.

Run: python -m bench.bench_inverse [shots]. Needs nothing but the program's own dependencies.
Problem: carry, apex and side of invented flights, driver to lob wedge; five launch values, a normal belief
about them; figures exact (1 mm). The loop of an engineer: scipy.optimize.least_squares over
scipy.integrate.solve_ivp, one shot after another.
"""

from __future__ import annotations

import math
import sys
import time

import numpy as np
from scipy.integrate import solve_ivp
from scipy.optimize import least_squares

from bagwright.air import STANDARD
from bagwright.flight.explain import explain_many
from bagwright.flight.fly import fly_many
from bagwright.flight.infer_many import infer_many
from bagwright.flight.launch import Launches
from bagwright.flight.prior import KINDS, doubt_of_law, prior
from bagwright.flight.seen import READINGS
from bench._machine import banner

YD = 0.9144
FIGURES = {"carry_m": 0, "apex_m": 1, "descent_rad": 2}


def problem(n: int) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Centres (n, 5), roots (n, 5, 5) and true launches (n, 5) of invented shots."""
    draw = np.random.default_rng(3)
    u = draw.uniform(0, 1, n)
    mean = np.column_stack(
        [
            np.log(75 - 40 * u),
            np.radians(10.5 + 22 * u),
            np.log((2600 + 7000 * u) * math.pi / 30),
            0 * u,
            0 * u,
        ]
    )
    sd = np.tile([0.06, math.radians(2), 0.12, math.radians(2), math.radians(8)], (n, 1))
    root = np.zeros((n, 5, 5))
    root[:, range(5), range(5)] = sd
    return mean, root, mean + sd * draw.standard_normal((n, 5))


def launches(theta: np.ndarray) -> Launches:
    return Launches.of(
        np.exp(theta[:, 0]),
        np.clip(theta[:, 1], 0.01, 1.4),
        np.exp(theta[:, 2]) * 30 / math.pi,
        theta[:, 3],
        theta[:, 4],
    )


def outside_flight(t: np.ndarray) -> np.ndarray:
    """Carry, apex, side by solve_ivp (RK45, 1e-8), written independently of the program."""
    rho, r, m = STANDARD.density_kg_m3, 0.021335, 0.04593
    k = 0.5 * rho * math.pi * r * r / m
    a = np.array([math.cos(t[4]) * math.sin(t[3]), -math.cos(t[4]) * math.cos(t[3]), math.sin(t[4])])

    def rates(_time: float, s: np.ndarray) -> np.ndarray:
        v = s[3:6]
        q = math.sqrt(v @ v)
        ratio = r * s[6] / q
        drag = k * q * (0.207 + 0.34 * ratio**2 / (ratio**2 + 0.162))
        lift = k * q * 0.56 * ratio / (ratio + 0.245)
        push = -drag * v + lift * np.cross(a, v) - np.array([0, 0, 9.80665])
        return np.concatenate([v, push, [-1.4e-5 * q * s[6] / r]])

    def ground(_time: float, s: np.ndarray) -> float:
        return float(s[2])

    def top(_time: float, s: np.ndarray) -> float:
        return float(s[5])

    ground.terminal, ground.direction, top.direction = True, -1, -1  # type: ignore[attr-defined]
    v = math.exp(t[0]) * np.array(
        [math.cos(t[1]) * math.cos(t[3]), math.cos(t[1]) * math.sin(t[3]), math.sin(t[1])]
    )
    done = solve_ivp(
        rates, (0, 30), np.concatenate([np.zeros(3), v, [math.exp(t[2])]]), "RK45", rtol=1e-8, atol=1e-8,
        events=[ground, top],
    )  # fmt: skip
    assert done.y_events is not None
    end, high = done.y_events[0][0], done.y_events[1][0]
    return np.array([math.hypot(end[0], end[1]), high[2], end[1]])


def baseline(mean: np.ndarray, root: np.ndarray, seen: np.ndarray, shots: int) -> tuple[float, np.ndarray]:
    """Shots a second (processor time) of the plain loop, and its launches (shots, 5)."""
    found = []
    begin = time.process_time()
    for i in range(shots):

        def miss(q: np.ndarray, i: int = i) -> np.ndarray:
            return np.concatenate([(outside_flight(mean[i] + root[i] @ q) - seen[i]) / 1e-3, q])

        found.append(mean[i] + root[i] @ least_squares(miss, np.zeros(5)).x)
    return shots / (time.process_time() - begin), np.array(found)


def residuals(found: Launches, seen: np.ndarray) -> np.ndarray:
    """Misfit in yards by the adaptive method (no fast schedule)."""
    flown = fly_many(found, fast=False)
    return np.column_stack([flown.carry_m, flown.apex_m, flown.offline_m]) / YD - seen / YD


def speed(n: int, shots: int) -> None:
    mean, root, true = problem(n)
    flown = fly_many(launches(true))
    seen = np.column_stack([flown.carry_m, flown.apex_m, flown.offline_m])
    explain_many(seen[:256, 0], seen[:256, 1], seen[:256, 2], mean[:256], root[:256], threads=1)
    best = math.inf
    for _ in range(5):
        begin = time.process_time()
        found = explain_many(seen[:, 0], seen[:, 1], seen[:, 2], mean, root, threads=1)
        best = min(best, time.process_time() - begin)
    rate = n / best
    slow, theirs = baseline(mean, root, seen, shots)
    mine = np.column_stack(
        [np.log(found.ball_speed_mps), found.launch_rad, np.log(found.spin_rpm * math.pi / 30),
         found.direction_rad, found.spin_axis_rad]
    )[:shots]  # fmt: skip
    sds = root[0].diagonal()
    print(
        f"{n} shots, one thread, everything counted (fit of the start, packing, second pass, adaptive redo)"
    )
    print(f"explain_many {rate:.3g}/s; scipy {slow:.3g}/s ({shots} shots); ratio {rate / slow:,.0f}")
    redone, left = int(found.redone.sum()), int((~found.settled).sum())
    print(f"done again by the adaptive search {redone}; not settled {left}")
    apart = np.abs((mine - theirs) / sds).max()
    print(f"most probable launch against scipy's: {apart:.1e} sd of the belief at most")
    part = min(n, 20000)
    some = Launches.of(
        *(getattr(found, f)[:part] for f in
          ("ball_speed_mps", "launch_rad", "spin_rpm", "direction_rad", "spin_axis_rad"))
    )  # fmt: skip
    gap = np.abs(residuals(some, seen[:part]))
    rms = math.sqrt(float((gap**2).mean()))
    high = np.quantile(gap, 0.999)
    print(
        f"residual by the adaptive method, {part} shots, yd: "
        f"rms {rms:.1e}, 99.9 % {high:.1e}, max {gap.max():.1e}"
    )


def drawn(kind: str, n: int, draw: np.random.Generator) -> np.ndarray:
    """Launches and factors (n, 7) from the belief about one kind of club."""
    before = prior(kind)
    doubt = doubt_of_law(0.021335 * math.exp(before.mean[2] - before.mean[0]))
    theta = np.zeros((n, 7))
    theta[:, :5] = np.array(before.mean) + draw.standard_normal((n, 5)) @ np.array(before.root).T
    theta[:, 5:] = doubt * draw.standard_normal((n, 2))
    theta[:, 1] = np.maximum(theta[:, 1], 0.03)
    return theta


def coverage(kind: str | None, names: tuple[str, ...], n: int) -> None:
    """Truths from the belief, read with their errors: how often 90 % ranges hold them.

    With kind None truths are of all kinds and the club is not said.
    """
    from bagwright.flight._inverse_many import compiled

    draw = np.random.default_rng(11)
    kinds = [(kind, n)] if kind else [(k, round(v.weight * n)) for k, v in KINDS.items()]
    theta = np.concatenate([drawn(k, m, draw) for k, m in kinds])
    n = len(theta)
    out = np.zeros((n, 8, 8))
    at = np.tile((STANDARD.density_kg_m3, STANDARD.viscosity_pa_s), (n, 1))
    ball = (0.04593, 0.021335, 9.80665, 1.4e-5, 0.0)
    compiled()[0](theta, ball, at, np.tile((0.0, 0.0, 0.0, 10.0), (n, 1)), 1e-6, out)
    truth = {name: out[:, k, 0] for name, k in FIGURES.items()} | {
        "ball_speed_mps": np.exp(theta[:, 0]), "launch_rad": theta[:, 1],
        "spin_rpm": np.exp(theta[:, 2]) * 30 / math.pi,
    }  # fmt: skip
    figures = {}
    for name in names:
        sd = READINGS[name].share * truth[name] + READINGS[name].fixed
        figures[name] = np.maximum(truth[name] + sd * draw.standard_normal(n), 1.0)
    found = infer_many(figures, kind)
    held = {k: float(np.mean((found.low[k] <= t) & (t <= found.high[k]))) for k, t in truth.items()}
    told = ", ".join(f"{k.rsplit('_', 1)[0]} {100 * v:.0f}" for k, v in held.items())
    print(f"{kind or 'unknown club'}, {' + '.join(names)}: {told} % held")


def main() -> None:
    banner("numba")
    n = int(sys.argv[1]) if len(sys.argv) > 1 else 1 << 19
    speed(n, 12)
    print("coverage of 90 % ranges, 1000 invented shots each (noise 1 point):")
    for kind in ("driver", "iron", "wedge", None):
        for names in (
            ("carry_m",),
            ("carry_m", "apex_m"),
            ("carry_m", "ball_speed_mps"),
            ("ball_speed_mps",),
        ):
            coverage(kind, names, 1000)


if __name__ == "__main__":
    main()
