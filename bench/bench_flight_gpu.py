"""Flights a second on an NVIDIA card, from the same source as on the processor, and how equal the two are.

    python -m bench.bench_flight_gpu            needs numba-cuda, a card and its driver
    NUMBA_ENABLE_CUDASIM=1 python -m bench.bench_flight_gpu    64 flights in the simulator: the figures only

A card's own peak of multiply-adds is measured in the same run; time is taken by events, of the kernel alone,
with the flights in the card's memory.
"""

from __future__ import annotations

import os
import sys
import time
from importlib import import_module
from typing import Any

import numpy as np

# numba-cuda asks for names that numpy 2.4 and later no longer have.
for _old, _new in (("row_stack", "vstack"), ("in1d", "isin"), ("trapz", "trapezoid")):
    if not hasattr(np, _old):
        setattr(np, _old, getattr(np, _new))

from bagwright.flight import batch  # noqa: E402
from bench._flights import ROUGH, columns_of, domain  # noqa: E402

SIMULATED = os.environ.get("NUMBA_ENABLE_CUDASIM") == "1"


def peak(cuda: Any) -> float:
    """Multiply-adds of the card in flop/s: eight chains a thread, sixteen links a turn."""
    names = "abcdefgh"
    lines = ["def chains(out, n):", "    i = cuda.grid(1)", "    m, s = out[0], out[1]"]
    lines += [f"    {name} = np.float32(i + {k})" for k, name in enumerate(names)]
    lines += ["    for _ in range(n):"] + 16 * [f"        {name} = fma({name}, m, s)" for name in names]
    lines += [f"    out[i] = {' + '.join(names)}"]
    space: dict[str, Any] = {"cuda": cuda, "np": np, "fma": cuda.libdevice.fmaf_rn}
    exec("\n".join(lines), space)  # noqa: S102  128 lines of one kind
    chains = cuda.jit(fastmath=True)(space["chains"])

    blocks, threads, n = 132 * 16, 256, 256
    out = cuda.device_array(blocks * threads, np.float32)
    seconds = timed(cuda, lambda: chains[blocks, threads](out, n))
    return float(blocks * threads * n * 128 * 2 / seconds)


def timed(cuda: Any, job: Any, runs: int = 20) -> float:
    """Median seconds of a job by the card's events, after two runs to warm up."""
    job()
    job()
    cuda.synchronize()
    spent = []
    for _ in range(runs):
        start, end = cuda.event(), cuda.event()
        start.record()
        job()
        end.record()
        end.synchronize()
        spent.append(cuda.event_elapsed_time(start, end) * 1e-3)
    return float(np.median(spent))


def main() -> None:
    cuda: Any = import_module("numba.cuda")
    from bagwright.flight import _kernel_cuda as card

    if SIMULATED:
        cuda.libdevice.rsqrtf = lambda x: np.float32(1) / np.sqrt(x)  # the simulator has none
    n = 64 if SIMULATED else 1 << 23
    few = 64 if SIMULATED else 8192
    launches = domain(few, 20261125)
    own = columns_of(launches)
    one = batch.packed(own, ROUGH, 64)
    inp = np.tile(one, n // few)
    share, again = batch.schedule_of(batch._NODES, batch._REST_AFTER)
    fixed = [cuda.to_device(each) for each in (share, again, batch.setting_of(ROUGH))]
    given = cuda.to_device(inp)
    out = cuda.to_device(np.full((14, n), np.nan, np.float32))
    if not SIMULATED:
        print(cuda.get_current_device().name, "numba-cuda, numpy", np.__version__)
        top = peak(cuda)
        print(f"peak of multiply-adds, measured: {top / 1e12:.1f} TFLOP/s")
    for name, kernel in (("log wind", card.fly_log), ("even wind", card.fly_even)):
        start = time.perf_counter()
        kernel[-(-n // 64), 64](given, out, *fixed)
        cuda.synchronize()
        print(f"{name}: first call {time.perf_counter() - start:.1f} s")
        if name == "log wind":
            compare(out.copy_to_host()[:, :few], launches)
        if SIMULATED:
            continue
        for threads in (64, 128, 256, 512):
            blocks = -(-n // threads)
            seconds = timed(cuda, lambda b=blocks, t=threads, k=kernel: k[b, t](given, out, *fixed))
            print(f"  {threads:4d} threads a block: {n / seconds:.3e} flights/s")
        try:
            for signature, registers in kernel.get_regs_per_thread().items():
                print(f"  registers {registers}, {len(signature)} arguments")
            print("  local memory", kernel.get_local_mem_per_thread())
        except (AttributeError, TypeError) as error:
            print("  registers unknown:", error)
    sys.stdout.flush()


def compare(out: np.ndarray, launches: np.ndarray) -> None:
    """Print how far the card is from the processor's kernel and from the adaptive method."""
    from bench._flights import reference

    yards = 1 / 0.9144
    exact = reference(launches)
    miss = np.hypot(out[0] - exact[0], out[1] - exact[1]) * yards
    print(f"  against the adaptive method: rms {np.sqrt((miss**2).mean()):.1e}, max {miss.max():.1e} yd")
    if SIMULATED:
        return
    from bagwright.flight import _kernel_lanes as lanes

    here = batch.run(
        lanes, batch.packed(columns_of(launches), ROUGH, 64), ROUGH, batch._NODES, batch._REST_AFTER
    )
    apart = np.hypot(out[0] - here[0], out[1] - here[1]) * yards
    apex = np.abs(out[7] - here[7]) * yards
    print(f"  against the processor: landing max {apart.max():.1e} yd, apex max {apex.max():.1e} yd")


if __name__ == "__main__":
    main()
