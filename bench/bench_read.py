"""How long reading a million rows takes, against a bare loop of csv.reader and four float() a row.

Whole processes, each fresh, medians of five; both read the same file of our own invention. Run from the root:
python -m bench.bench_read [rows]
"""

from __future__ import annotations

import random
import resource
import statistics
import subprocess
import sys
import tempfile
import time
from pathlib import Path

from bench._machine import banner

BARE = """
import csv, sys
rows = []
with open(sys.argv[1], newline="", encoding="utf-8") as stream:
    reader = csv.reader(stream)
    next(reader)
    for row in reader:
        rows.append((row[0], float(row[1]), float(row[2]), float(row[3]), float(row[4]), row[5]))
print(len(rows))
"""
OURS = """
import sys
from bagwright.shots.read import read_shots
print(read_shots(sys.argv[1]).accepted)
"""
OURS_WITH_PROGRESS = """
import sys
from bagwright.shots.read import read_shots
calls = []
result = read_shots(sys.argv[1], progress=lambda done, total: calls.append(done / total))
assert calls == sorted(calls) and len(calls) >= 3
print(result.accepted)
"""
RUNS = 5


def write_table(path: Path, rows: int) -> None:
    rng = random.Random(20261125)
    clubs = ("Driver", "7 iron", "Gap wedge", "56 wedge")
    with path.open("w", encoding="utf-8", newline="") as stream:
        stream.write("Club,Carry (yd),Offline (yd),Ball speed (mph),Spin (rpm),Note\n")
        for i in range(rows):
            ball = min(max(rng.gauss(120, 15), 70), 180)
            stream.write(
                f"{clubs[i // 5 % 4]},{1.35 * ball + rng.gauss(0, 5):.1f},{rng.gauss(0, 9):.1f},"
                f"{ball:.1f},{max(rng.gauss(6000, 900), 1500):.0f},\n"
            )


def timed(code: str, path: Path, expected: int) -> float:
    start = time.perf_counter()
    done = subprocess.run([sys.executable, "-c", code, str(path)], capture_output=True, text=True, check=True)
    seconds = time.perf_counter() - start
    assert int(done.stdout) == expected, done.stdout
    return seconds


def peak_mib(code: str, path: Path) -> float:
    wrapped = f"{code}\nimport resource\nprint(resource.getrusage(resource.RUSAGE_SELF).ru_maxrss)"
    done = subprocess.run(
        [sys.executable, "-c", wrapped, str(path)], capture_output=True, text=True, check=True
    )
    return int(done.stdout.split()[-1]) / 1024


def main() -> None:
    banner("python-calamine")
    rows = int(sys.argv[1]) if len(sys.argv) > 1 else 1_000_000
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "visit.csv"
        write_table(path, rows)
        print(f"{rows:,} rows of 6 columns, {path.stat().st_size / 1e6:.1f} MB; whole process, medians of 5")
        bare, ours = [], []
        for _ in range(RUNS):
            bare.append(timed(BARE, path, rows))
            ours.append(timed(OURS, path, rows))
        b, o = statistics.median(bare), statistics.median(ours)
        print(f"csv.reader and four float()   {b:6.2f} s   {peak_mib(BARE, path):5.0f} MiB")
        print(
            f"read_shots                    {o:6.2f} s   {peak_mib(OURS, path):5.0f} MiB   ratio {o / b:.2f}"
        )
        small = Path(folder) / "hundred-thousand.csv"
        write_table(small, 100_000)
        seconds = statistics.median(timed(OURS_WITH_PROGRESS, small, 100_000) for _ in range(RUNS))
        print(
            f"100,000 rows with progress    {seconds:6.2f} s   {peak_mib(OURS_WITH_PROGRESS, small):5.0f} MiB"
        )
    assert resource.getrusage(resource.RUSAGE_SELF).ru_maxrss > 0


if __name__ == "__main__":
    main()
