"""How long the commands take as whole processes, from start to the last line, medians of seven.

Run from the root: .venv/bin/python -m bench.bench_commands
"""

from __future__ import annotations

import random
import statistics
import subprocess
import sys
import tempfile
import time
from pathlib import Path

from bagwright.demo import SLOT, copy_demo
from bench._machine import banner

RUNS = 7
GOALS = {"distances, 200 shots": 1.2, "demo, three papers": 5.0}


def write_visit(path: Path, shots: int) -> None:
    """Write an invented visit of thirteen clubs hit in turn."""
    rng = random.Random(20261125)
    clubs = [
        "Driver",
        "3 wood",
        "5 wood",
        "4 hybrid",
        *(f"{n} iron" for n in range(5, 10)),
        "PW",
        "50",
        "54",
        "58",
    ]
    lines = ["Shot,Club,Carry (yd),Side (yd)"]
    for i in range(shots):
        k = i // 4 % len(clubs)
        carry = (220.0 - 11.5 * k) * (1 + 0.045 * rng.gauss(0, 1))
        lines.append(f"{i + 1},{clubs[k]}{' wedge' if k > 9 else ''},{carry:.1f},{rng.gauss(0, 9):.1f}")
    path.write_text("\n".join(lines) + "\n", encoding="utf-8")


def seconds(*words: str) -> float:
    start = time.perf_counter()
    subprocess.run([sys.executable, "-m", "bagwright", *words], check=True, capture_output=True)
    return time.perf_counter() - start


def main() -> None:
    banner("click", "typst", "vl-convert-python")
    with tempfile.TemporaryDirectory() as folder:
        room = Path(folder)
        copy_demo(room)
        bag, visit = str(room / "bag.toml"), str(room / "visit.csv")
        write_visit(room / "visit.csv", 200)
        commands = {
            "distances, 200 shots": [
                "distances",
                visit,
                "--answer",
                "positive side=right is positive",
                "--handicap",
                "12",
            ],
            "read, 200 shots": ["read", visit, "--answer", "positive side=right is positive"],
            "trial, the demo's 137 shots": ["trial", "--slot", SLOT, "--bag", bag],
            "demo, three papers": ["demo", "--out", str(room / "demo")],
        }
        for name, words in commands.items():
            taken = [seconds(*words) for _ in range(RUNS + 1)][1:]
            middle = statistics.median(taken)
            goal = GOALS.get(name)
            met = "" if goal is None else f"   goal {goal} s: {'met' if middle < goal else 'missed'}"
            print(f"{name:30s} {middle:5.2f} s median   {max(taken):5.2f} s most{met}")


if __name__ == "__main__":
    main()
