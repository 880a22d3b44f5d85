"""Launches a second from carry, apex and side on an NVIDIA card, from the processor's own source.

    python -m bench.bench_inverse_gpu            needs numba-cuda, a card and its driver
    NUMBA_ENABLE_CUDASIM=1 python -m bench.bench_inverse_gpu    64 shots in the simulator: the figures only

The functions of `_inverse_lanes.py` are compiled for the card as they stand, with one lane a block of numbers
and a thread a shot; only the exponential and the trigonometry are the card's. Flights are the card's kernel.
Seconds by events, everything in the card's memory.
"""

from __future__ import annotations

import inspect
import math
import os
import re
from importlib import import_module
from typing import Any

import numpy as np

# numba-cuda asks for names that numpy 2.4 and later no longer have.
for _old, _new in (("row_stack", "vstack"), ("in1d", "isin"), ("trapz", "trapezoid")):
    if not hasattr(np, _old):
        setattr(np, _old, getattr(np, _new))

from bagwright.air import STANDARD  # noqa: E402
from bagwright.flight import batch, explain  # noqa: E402
from bagwright.flight.launch import BALL_RADIUS_M  # noqa: E402
from bench.bench_flight_gpu import timed  # noqa: E402

SIMULATED = os.environ.get("NUMBA_ENABLE_CUDASIM") == "1"
cuda: Any = import_module("numba.cuda")
SHARED = ("polynomials", "figures", "step", "launches")
F = np.float32


def on_card(card: Any) -> tuple[Any, Any]:  # noqa: C901  two kernels that close over the same four functions
    """The kernels `start` and `correct` for one shot a thread, made of the processor's functions."""
    path = inspect.getsourcefile(explain)
    assert path is not None
    with open(os.path.join(os.path.dirname(path), "_inverse_lanes.py"), encoding="utf-8") as file:  # noqa: PTH118, PTH120, PTH123
        source = file.read()
    space: dict[str, Any] = {
        "np": np, "math": math, "F": F, "Any": Any, "LANES": 1, "N_TERMS": 56, "N_SUMS": 14, "N_SLOPES": 13,
        "wide": cuda.jit(device=True)(lambda: None), "sine": card.sine, "cosine": card.cosine,
        "exponential": cuda.jit(device=True)(lambda x: math.exp(x)), "cuda": cuda,
    }  # fmt: skip
    for name in SHARED:
        text = re.search(rf"^def {name}\(.*?(?=^@njit|\Z)", source, re.M | re.S)
        assert text is not None
        exec(text.group(0), space)  # noqa: S102
        space[name] = cuda.jit(device=True, fastmath=True)(space[name])
    polynomials, figures, step, launches = (space[name] for name in SHARED)
    f32 = cuda.float32 if hasattr(cuda, "float32") else import_module("numba").float32

    def start(prior, q, seen, turn, tree, coefs, var, rounds, radius, g, moved, inp):  # type: ignore[no-untyped-def]
        i = cuda.grid(1)
        if i < q.shape[1]:
            p, x, y = cuda.local.array(13, f32), cuda.local.array(5, f32), cuda.local.array(3, f32)
            h, s, m, w = (
                cuda.local.array(3, f32), cuda.local.array(13, f32), cuda.local.array(1, f32),
                cuda.local.array(73, f32),
            )  # fmt: skip
            for k in range(13):
                p[k] = prior[k, i]
            for k in range(5):
                x[k] = F(0.0)
            for k in range(3):
                y[k] = seen[k, i]
            for _ in range(rounds):
                polynomials(p, x, turn, tree, coefs, w)
                figures(p, x, turn, w, h, s)
                step(x, y, h, s, var, m)
            launches(
                p, x, radius, inp[0, i : i + 1], inp[1, i : i + 1], inp[2, i : i + 1], inp[3, i : i + 1],
                inp[4, i : i + 1],
            )  # fmt: skip
            for k in range(5):
                q[k, i] = x[k]
            for k in range(13):
                g[k, i] = s[k]
            moved[i] = m[0]

    def correct(prior, q, seen, var, radius, out, g, moved, inp):  # type: ignore[no-untyped-def]
        i = cuda.grid(1)
        if i < q.shape[1]:
            p, x, y = cuda.local.array(13, f32), cuda.local.array(5, f32), cuda.local.array(3, f32)
            h, s, m = cuda.local.array(3, f32), cuda.local.array(13, f32), cuda.local.array(1, f32)
            for k in range(13):
                p[k] = prior[k, i]
                s[k] = g[k, i]
            for k in range(5):
                x[k] = q[k, i]
            for k in range(3):
                y[k] = seen[k, i]
            h[0] = math.sqrt(out[0, i] * out[0, i] + out[1, i] * out[1, i])
            h[1] = out[7, i]
            h[2] = out[1, i]
            step(x, y, h, s, var, m)
            launches(
                p, x, radius, inp[0, i : i + 1], inp[1, i : i + 1], inp[2, i : i + 1], inp[3, i : i + 1],
                inp[4, i : i + 1],
            )  # fmt: skip
            for k in range(5):
                q[k, i] = x[k]
            moved[i] = m[0]

    return cuda.jit(fastmath=True)(start), cuda.jit(fastmath=True)(correct)


def main() -> None:
    from bagwright.flight import _kernel_cuda as card

    if SIMULATED:
        cuda.libdevice.rsqrtf = lambda x: F(1) / np.sqrt(x)  # the simulator has none
    few = 64 if SIMULATED else 8192
    n = 64 if SIMULATED else 1 << 22
    mean, root, seen = invented(few)
    begin = explain.fit_start(mean, root, STANDARD.density_kg_m3, STANDARD.viscosity_pa_s, 1.0, 1.0)
    start, correct = on_card(card)
    prior = cuda.to_device(np.tile(explain._packed(mean, root), n // few))
    given = cuda.to_device(np.tile(seen.astype(F), n // few))
    q, g = cuda.to_device(np.zeros((5, n), F)), cuda.to_device(np.zeros((13, n), F))
    moved, out = cuda.to_device(np.zeros(n, F)), cuda.to_device(np.zeros((14, n), F))
    inp = np.zeros((10, n), F)
    inp[7], inp[8] = begin.drag_per_m, begin.lift_per_m
    inp = cuda.to_device(inp)
    share, again = batch.schedule_of(batch._NODES, batch._REST_AFTER)
    flight = [cuda.to_device(each) for each in (share, again, batch.setting_of(begin.shared))]
    tables = [cuda.to_device(each) for each in (begin.turn, explain.TREE, begin.coefs)]
    loose, tight = cuda.to_device(np.full(3, 1e-4, F)), cuda.to_device(np.full(3, explain.SD_M**2, F))
    radius = F(BALL_RADIUS_M)

    def job(threads: int) -> None:
        b = -(-n // threads)
        start[b, threads](prior, q, given, *tables, loose, explain.ROUNDS, radius, g, moved, inp)
        for _ in range(explain.CORRECTIONS):
            card.fly_even[b, threads](inp, out, *flight)
            correct[b, threads](prior, q, given, tight, radius, out, g, moved, inp)

    job(64)
    cuda.synchronize()
    compare(mean, root, seen, q.copy_to_host()[:, :few], moved.copy_to_host()[:few], begin)
    if SIMULATED:
        return
    print(cuda.get_current_device().name, "numpy", np.__version__)
    for threads in (64, 128, 256):
        seconds = timed(cuda, lambda t=threads: job(t))
        print(f"  {threads:4d} threads a block: {n / seconds:.3e} inverses/s")


def invented(n: int) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Beliefs and exact figures (3, n) of invented shots."""
    from bagwright.flight.fly import fly_many
    from bench.bench_inverse import launches, problem

    mean, root, true = problem(n)
    flown = fly_many(launches(true), fast=False)
    return mean, root, np.stack([flown.carry_m, flown.apex_m, flown.offline_m])


def compare(
    mean: np.ndarray,
    root: np.ndarray,
    seen: np.ndarray,
    q: np.ndarray,
    moved: np.ndarray,
    begin: explain.Start,
) -> None:
    """Card against processor, in standard deviations of the belief."""
    n = len(mean)
    prior = explain._packed(mean, root)
    here, far, sure = np.zeros((5, n), F), np.zeros(n, F), np.zeros(n, bool)
    for a in range(0, n, explain.CHUNK):
        explain._chunk(
            prior, seen.astype(F), begin, here, far, sure, a, n, (explain.ROUNDS, explain.CORRECTIONS)
        )
    good = (far < explain.MOVED_M) & sure
    apart = np.abs(q - here)[:, good]
    rms, most = math.sqrt(float((apart**2).mean())), apart.max()
    card_met, here_met = float(np.mean(moved < explain.MOVED_M)), float(np.mean(far < explain.MOVED_M))
    print(f"{n} shots: card against processor {most:.1e} sd of the belief at most, rms {rms:.1e}")
    print(f"last correction below 5 mm: card {card_met:.4f}, processor {here_met:.4f}")


if __name__ == "__main__":
    main()
