"""How long `import bagwright` takes, and what each public name adds when it is first used.

    python -m bench.bench_import [--runs 15]

Every import happens in a fresh interpreter; the time of an interpreter that imports nothing is taken off, and
medians are shown. The promise: under 0.3 s for `import bagwright`.
"""

import argparse
import statistics
import subprocess
import sys
import time

import bagwright
from bench._machine import banner

LIMIT_S = 0.3


def seconds(code: str) -> float:
    """Wall-clock time of one fresh interpreter that runs `code`."""
    started = time.perf_counter()
    subprocess.run([sys.executable, "-c", code], check=True)
    return time.perf_counter() - started


def median(code: str, runs: int) -> float:
    """Median over `runs` interpreters, after one that warms the disk."""
    seconds(code)
    return statistics.median(seconds(code) for _ in range(runs))


def main() -> int:
    """Measure, print and say whether the promise holds."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--runs", type=int, default=15)
    runs = parser.parse_args().runs
    banner()
    bare = median("pass", runs)
    print(f"{'interpreter alone':36s} {bare:6.3f} s")
    package = median("import bagwright", runs) - bare
    print(f"{'import bagwright':36s} {package:6.3f} s   (limit {LIMIT_S} s)")
    for name in sorted(set(bagwright.__all__) - {"__version__"}):
        added = median(f"import bagwright; bagwright.{name}", runs) - bare
        print(f"{'bagwright.' + name:36s} {added:6.3f} s")
    return int(package >= LIMIT_S)


if __name__ == "__main__":
    sys.exit(main())
