"""A study over several machines: how long, and whether anything is lost, when one of them goes.

    python -m bench.bench_study_cluster            # a scheduler and two workers here, one killed
    python -m bench.bench_study_cluster --hosts    # three hosts in network namespaces, one cable pulled

Needs the extra [cluster]; with --hosts also root and `ip netns`, and says so where it has not. The question is
a cheap one of the tests; what is measured is the runner: tasks a second, seconds lost with a worker.
"""

from __future__ import annotations

import argparse
import os
import shutil
import signal
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable, Iterator
from contextlib import ExitStack, contextmanager
from pathlib import Path

from bagwright.study import Counts, Kept, run
from bagwright.study.cluster import Cluster
from bench._machine import banner
from tests.unit.study.test_runner import Watched, a_study, rows

ROOT = Path(__file__).parents[1]
SETTINGS = {
    # A host whose cable was pulled says nothing more: without these its tasks wait for minutes.
    "DASK_DISTRIBUTED__COMM__TIMEOUTS__TCP": "12s",
    "DASK_DISTRIBUTED__COMM__TIMEOUTS__CONNECT": "5s",
    "DASK_DISTRIBUTED__SCHEDULER__WORKER_TTL": "10s",
    "DASK_DISTRIBUTED__SCHEDULER__ALLOWED_FAILURES": "1",
}
SWITCH, HOSTS = "bwsw", ("bwh1", "bwh2", "bwh3")


def ip(*words: str) -> None:
    subprocess.run(["ip", *words], check=True, capture_output=True, text=True)


@contextmanager
def hosts() -> Iterator[None]:
    """Three network namespaces on one bridge: 10.78.0.1 to 10.78.0.3."""
    try:
        ip("netns", "add", SWITCH)
        ip("-n", SWITCH, "link", "add", "br0", "type", "bridge")
        ip("-n", SWITCH, "link", "set", "br0", "up")
        for i, host in enumerate(HOSTS, 1):
            ip("netns", "add", host)
            ip(
                "link",
                "add",
                f"bwv{i}",
                "netns",
                host,
                "type",
                "veth",
                "peer",
                "name",
                f"bwp{i}",
                "netns",
                SWITCH,
            )
            ip("-n", SWITCH, "link", "set", f"bwp{i}", "master", "br0", "up")
            ip("-n", host, "addr", "add", f"10.78.0.{i}/24", "dev", f"bwv{i}")
            ip("-n", host, "link", "set", f"bwv{i}", "up")
            ip("-n", host, "link", "set", "lo", "up")
        yield
    finally:
        for name in (*HOSTS, SWITCH):
            subprocess.run(["ip", "netns", "del", name], check=False, capture_output=True)


@contextmanager
def started(words: list[str], log: Path, host: str | None = None) -> Iterator[subprocess.Popen[bytes]]:
    """A process of dask's own, in a host or here; killed at the end."""
    inside = ["ip", "netns", "exec", host] if host else []
    environment = {**os.environ, **SETTINGS, "PYTHONPATH": os.pathsep.join([str(ROOT / "src"), str(ROOT)])}
    with log.open("wb") as file:
        process = subprocess.Popen(
            [*inside, sys.executable, "-m", "dask", *words], stdout=file, stderr=file, env=environment
        )
    try:
        yield process
    finally:
        process.kill()
        process.wait()


def scheduler(address: str, port: int) -> list[str]:
    return ["scheduler", "--host", address, "--port", str(port), "--no-dashboard"]


def worker(to: str, address: str, folder: Path) -> list[str]:
    return ["worker", to, "--host", address, "--nthreads", "1", "--no-nanny", "--no-dashboard",
            "--death-timeout", "20", "--local-directory", str(folder)]  # fmt: skip


class Losing(Watched):
    """Loses a machine when a third is done."""

    def __init__(self, lose: Callable[[], None], tasks: int) -> None:
        super().__init__()
        self._lose, self._at, self.lost = lose, tasks // 3, 0

    def at(self, counts: Counts, words: str) -> None:
        super().at(counts, words)
        if not self.lost and counts.done >= self._at:
            self.lost = counts.done
            self._lose()


def told(what: str, kept: Kept, counts: Counts, seconds: float, wanted: list[float]) -> None:
    same = [one.row["drawn"] for one in rows(kept)] == wanted
    print(
        f"{what}: {counts.done} of {counts.tasks}, {counts.failed} failed, {seconds:.1f} s, as on one machine: {same}"
    )
    assert same
    assert counts.failed == 0


def measured(
    folder: Path, address: str, lose: Callable[[], None], tasks: int, wait_s: float, what: str
) -> None:
    from bagwright.study.pool import Pool

    kept, _ = run(a_study(tasks), folder / "here", lambda start: Pool(start, 2), Watched())
    wanted = [float(str(one.row["drawn"])) for one in rows(kept)]
    started_at = time.monotonic()
    kept, counts = run(a_study(tasks), folder / "plain", lambda start: Cluster(start, address), Watched())
    told("nothing lost, tasks that take no time", kept, counts, time.monotonic() - started_at, wanted)
    watch = Losing(lose, tasks)
    started_at = time.monotonic()
    kept, counts = run(
        a_study(tasks, wait_s=wait_s), folder / "lost", lambda start: Cluster(start, address), watch
    )
    told(f"{what} after {watch.lost}", kept, counts, time.monotonic() - started_at, wanted)


def here(folder: Path, tasks: int, wait_s: float) -> None:
    """A scheduler and two workers of this machine; one worker is killed."""
    address = "tcp://127.0.0.1:28787"
    with ExitStack() as held:
        held.enter_context(started(scheduler("127.0.0.1", 28787), folder / "scheduler.log"))
        processes = [
            held.enter_context(started(worker(address, "127.0.0.1", folder), folder / f"worker{i}.log"))
            for i in range(2)
        ]
        measured(
            folder,
            address,
            lambda: os.kill(processes[0].pid, signal.SIGKILL),
            tasks,
            wait_s,
            "a worker killed",
        )


def ended_by_a_task(folder: Path, tasks: int) -> None:
    """Workers that a watching process of dask's starts again; one task ends every worker that takes it up."""
    address = "tcp://127.0.0.1:28788"
    with ExitStack() as held:
        held.enter_context(started(scheduler("127.0.0.1", 28788), folder / "scheduler2.log"))
        words = [word for word in worker(address, "127.0.0.1", folder) if word != "--no-nanny"]
        for i in range(2):
            held.enter_context(started(words, folder / f"watched{i}.log"))
        began = time.monotonic()
        study = a_study(tasks, {tasks // 2: "die"})
        kept, counts = run(study, folder / "ended", lambda start: Cluster(start, address), Watched())
        seconds = time.monotonic() - began
    (failed,) = [one for one in kept.outcomes() if one.failed]
    print(
        f"a task that ends its workers: {counts.done} of {counts.tasks}, 1 failed ({failed.failed}), {seconds:.1f} s"
    )
    assert failed.number == tasks // 2


def apart(folder: Path, tasks: int, wait_s: float) -> None:
    """The study and the scheduler in the first host, a worker in each of the others; the third's cable is pulled."""
    address = "tcp://10.78.0.1:8786"
    with ExitStack() as held:
        held.enter_context(hosts())
        held.enter_context(started(scheduler("10.78.0.1", 8786), folder / "scheduler.log", HOSTS[0]))
        for i in (2, 3):
            log = folder / f"worker{i}.log"
            held.enter_context(started(worker(address, f"10.78.0.{i}", folder), log, HOSTS[i - 1]))
        words = [
            sys.executable,
            "-m",
            "bench.bench_study_cluster",
            "--inside",
            address,
            str(folder),
            str(tasks),
            str(wait_s),
        ]
        environment = {**os.environ, **SETTINGS}
        subprocess.run(["ip", "netns", "exec", HOSTS[0], *words], check=True, cwd=ROOT, env=environment)


def pull() -> None:
    ip("-n", SWITCH, "link", "set", "bwp3", "down")


def why_not(needs_hosts: bool) -> str:
    """Why this cannot run here; "" where it can."""
    try:
        import distributed  # noqa: F401
    except ImportError:
        return "distributed is not installed: pip install --require-hashes -r requirements-bench.lock"
    if not needs_hosts:
        return ""
    if shutil.which("ip") is None or os.geteuid() != 0:
        return "network namespaces need root and the command ip"
    made = subprocess.run(["ip", "netns", "add", "bwtry"], check=False, capture_output=True, text=True)
    subprocess.run(["ip", "netns", "del", "bwtry"], check=False, capture_output=True)
    return "" if made.returncode == 0 else f"network namespaces are not allowed here ({made.stderr.strip()})"


def main() -> None:
    options = argparse.ArgumentParser(description=__doc__)
    options.add_argument("--hosts", action="store_true")
    options.add_argument("--inside", nargs=4, metavar=("ADDRESS", "FOLDER", "TASKS", "WAIT"))
    options.add_argument("--tasks", type=int, default=250)
    options.add_argument("--wait", type=float, default=0.08)
    chosen = options.parse_args()
    if chosen.inside:
        address, folder, tasks, wait_s = chosen.inside
        measured(Path(folder), address, pull, int(tasks), float(wait_s), "a cable pulled")
        return
    banner("distributed")
    reason = why_not(chosen.hosts)
    if reason:
        print(f"skipped: {reason}")
        return
    with tempfile.TemporaryDirectory(prefix="bagwright-cluster-") as made:
        (apart if chosen.hosts else here)(Path(made), chosen.tasks, chosen.wait)
        if not chosen.hosts:
            ended_by_a_task(Path(made), chosen.tasks)


if __name__ == "__main__":
    main()
