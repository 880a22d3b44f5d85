"""The runner of studies: tasks a second here and through a scheduler, inputs read, memory, bytes on the disk.

    python -m bench.bench_study [--tasks 100000] [--rows 1000000] [--processes 2]

The question is a cheap one of the tests: what is left is what the runner itself takes. Times are of the clock and,
for this process, of the processor. The part with a scheduler needs the extra [cluster] and says so without it.
"""

from __future__ import annotations

import argparse
import resource
import tempfile
import time
from contextlib import ExitStack
from pathlib import Path

from bagwright.study import Counts, Study, run
from bagwright.study.plan import digest_of_tasks
from bagwright.study.pool import Pool
from bagwright.tasks.study_players import players_of
from bench._machine import banner
from tests.unit.study.test_runner import Watched, a_study


class Quiet(Watched):
    """Keeps nothing of what it is told."""

    def reading(self, n: int) -> None:
        pass

    def at(self, counts: Counts, words: str) -> None:
        pass


def memory_mb() -> float:
    """Most memory of this process so far (Linux counts in kilobytes)."""
    return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024


def size_of(folder: Path) -> int:
    return sum(path.stat().st_size for path in folder.rglob("*.jsonl"))


def here(folder: Path, study: Study, tasks: int, processes: int) -> None:
    clock, own = time.monotonic(), time.process_time()
    run(study, folder / "here", lambda start: Pool(start, processes), Quiet())
    seconds = time.monotonic() - clock
    print(
        f"{tasks} tasks that take no time, {processes} workers: {tasks / seconds:.0f} a second, "
        f"{1e6 * (time.process_time() - own) / tasks:.0f} µs of this process each; {memory_mb():.0f} MB"
    )
    print(f"{size_of(folder / 'here') / tasks:.0f} bytes an answer in its chunk")
    clock = time.monotonic()
    run(study, folder / "here", lambda start: Pool(start, processes), Quiet())
    print(f"the same again, nothing left to do: {time.monotonic() - clock:.1f} s")


def scheduled(folder: Path, tasks: int) -> None:
    from bagwright.study.cluster import Cluster
    from bench.bench_study_cluster import scheduler, started, why_not, worker

    reason = why_not(needs_hosts=False)
    if reason:
        print(f"through a scheduler: skipped ({reason})")
        return
    address = "tcp://127.0.0.1:28789"
    with ExitStack() as held:
        held.enter_context(started(scheduler("127.0.0.1", 28789), folder / "s.log"))
        for i in range(2):
            held.enter_context(started(worker(address, "127.0.0.1", folder), folder / f"w{i}.log"))
        run(a_study(100), folder / "warm", lambda start: Cluster(start, address), Quiet())
        for batch in (8, 100):
            clock = time.monotonic()
            made = folder / f"through-{batch}"
            run(a_study(tasks), made, lambda start, n=batch: Cluster(start, address, batch=n), Quiet())  # type: ignore[misc]
            rate = tasks / (time.monotonic() - clock)
            print(f"{tasks} tasks through a scheduler, {batch} to a batch: {rate:.0f} a second")


def table(folder: Path, rows: int) -> None:
    path = folder / "figures.csv"
    with path.open("w", encoding="utf-8") as file:
        file.write("handicap,driver_speed_mph,sex\n")
        file.writelines(f"{i % 540 / 10},{75 + i % 40},{'mf'[i % 2]}\n" for i in range(rows))
    from bagwright.tasks.study_rounds import RoundSpec
    from bagwright.tasks.studying import StudyWish, tasks_of

    clock, own = time.monotonic(), time.process_time()
    players = players_of(path)
    looked = time.process_time() - own
    wish = StudyWish("strokes", players, (RoundSpec(path),), folder)
    common = {"rounds": [{"course": "c", "file": "f", "tees": "t", "wind": "", "weight": 1.0}]}
    digest_of_tasks(tasks_of(wish, common))
    print(
        f"{rows} rows of a table ({path.stat().st_size / 1e6:.0f} MB): looked over in {looked:.1f} s, and with the "
        f"digest {time.process_time() - own:.1f} s of the processor, {time.monotonic() - clock:.1f} s of the clock; "
        f"{memory_mb():.0f} MB"
    )


def main() -> None:
    options = argparse.ArgumentParser(description=__doc__)
    options.add_argument("--tasks", type=int, default=100_000)
    options.add_argument("--rows", type=int, default=1_000_000)
    options.add_argument("--processes", type=int, default=2)
    chosen = options.parse_args()
    banner("distributed")
    with tempfile.TemporaryDirectory(prefix="bagwright-bench-") as made:
        folder = Path(made)
        table(folder, chosen.rows)
        here(folder, a_study(chosen.tasks), chosen.tasks, chosen.processes)
        scheduled(folder, min(chosen.tasks, 10_000))


if __name__ == "__main__":
    main()
