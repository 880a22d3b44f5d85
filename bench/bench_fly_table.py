"""`bagwright fly --in` on a million launches against reading and writing the same table without flying.

Fresh processes in turn, medians of five. Run from the root: .venv/bin/python -m bench.bench_fly_table [ROWS]
"""

from __future__ import annotations

import statistics
import subprocess
import sys
import tempfile
import time
from pathlib import Path

import numpy as np

from bench._machine import banner

RUNS = 5
GOAL = 2.0
ANSWERS = ("--answer", "positive side=right is positive", "--answer", "club of the table=one unnamed club")


def write_launches(path: Path, rows: int) -> None:
    """Write invented launches from driver to lob wedge, in the units a bay shows them."""
    rng = np.random.default_rng(20261125)
    share = rng.uniform(0, 1, rows)
    columns = np.column_stack(
        [
            (75 - 40 * share) / 0.44704,
            10.5 + 22 * share + 1.5 * rng.standard_normal(rows),
            (2600 + 7000 * share) * (1 + 0.12 * rng.standard_normal(rows)).clip(0.4, 2),
            2 * rng.standard_normal(rows),
            8 * rng.standard_normal(rows),
        ]
    )
    headings = "Ball speed (mph),Launch (deg),Spin (rpm),Direction (deg),Spin axis (deg)"
    np.savetxt(path, columns, fmt="%.1f,%.1f,%.0f,%.1f,%.1f", header=headings, comments="")


def seconds(*words: str) -> float:
    """Whole process of one command, from start to end."""
    start = time.perf_counter()
    subprocess.run([sys.executable, "-m", "bagwright", *words], check=True, capture_output=True)
    return time.perf_counter() - start


def main() -> None:
    rows = int(sys.argv[1]) if len(sys.argv) > 1 else 1_000_000
    banner("numba", "click")
    with tempfile.TemporaryDirectory() as folder:
        room = Path(folder)
        table, out = str(room / "launches.csv"), str(room / "out.csv")
        write_launches(room / "launches.csv", rows)
        fly = ("fly", "--in", table, "--out", out, *ANSWERS)
        read = ("read", table, "--out", out, "--no-ask", *ANSWERS)
        again = ("read", str(room / "flown.csv"), "--out", out, "--no-ask")
        seconds("fly", "--in", table, "--out", str(room / "flown.csv"), *ANSWERS)
        taken = [(seconds(*fly), seconds(*read), seconds(*again)) for _ in range(RUNS)]
    flown, plain, wide = (statistics.median(column) for column in zip(*taken, strict=True))
    ratio = statistics.median(f / p for f, p, _ in taken)
    print(f"{rows} launches, 5 columns in, 9 computed columns more out")
    print(f"read and write, no flight        {plain:6.2f} s")
    print(f"fly --in --out                   {flown:6.2f} s   ratio {ratio:.2f}, goal {GOAL}: ", end="")
    print("met" if ratio <= GOAL else "missed")
    print(f"read the flown table and write   {wide:6.2f} s")


if __name__ == "__main__":
    main()
