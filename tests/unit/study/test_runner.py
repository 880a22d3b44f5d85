"""The runner with a cheap question and real processes: nothing is lost, whatever is killed or begun again.

All checks here are properties; the only outside value is numpy's own SeedSequence.
"""

from __future__ import annotations

import os
import signal
import subprocess
import sys
import time
from collections.abc import Callable, Iterator, Mapping
from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np
import pytest

import bagwright
from bagwright.errors import InputError, MachineError
from bagwright.study import Counts, Kept, Start, Stop, Study, Task, run, seed_of
from bagwright.study.kept import held
from bagwright.study.plan import PLAN, chunk_for, digest_of
from bagwright.study.pool import Pool
from bagwright.study.task import Outcome, spawn_key

ROOT = Path(__file__).parents[3]
HERE = "tests.unit.study.questions"


class Watched:
    """Counts what it is told, and stops after so many."""

    def __init__(self, stop_at: int | None = None) -> None:
        self.stop_at = stop_at
        self.seen: list[Counts] = []
        self.read = 0

    def reading(self, n: int) -> None:
        self.read += 1

    def at(self, counts: Counts, words: str) -> None:
        self.seen.append(counts)
        if self.stop_at is not None and counts.done >= self.stop_at:
            raise Stop


def a_study(
    n: int, does: Mapping[int, str] | None = None, *, wait_s: float = 0.0, question: str = "drawn",
    mark: str = "", seed: int = 0, load: Callable[[int], Mapping[str, Any]] | None = None,
) -> Study:  # fmt: skip
    def given(i: int) -> Mapping[str, Any]:
        return {"value": i, "does": (does or {}).get(i, ""), "mark": mark}

    def tasks() -> Iterator[Task]:
        for i in range(n):
            yield Task(i, f"player {i}", {"player": i + 1}, lambda i=i: (load or given)(i))  # type: ignore[misc]

    common = {"wait_s": wait_s}
    parts = {"what all share": digest_of(common)}
    return Study(f"{HERE}:{question}", bagwright.__version__, common, tasks, n, parts, {}, seed)


def workers(processes: int = 1) -> Callable[[Start], Pool]:
    return lambda start: Pool(start, processes)


def rows(kept: Kept) -> list[Outcome]:
    """Outcomes without the time that they took."""
    return [replace(one, processor_s=0.0) for one in kept.outcomes()]


@pytest.fixture(scope="module")
def whole(tmp_path_factory: pytest.TempPathFactory) -> list[Outcome]:
    """The outcomes of a study that nothing happened to."""
    kept, counts = run(a_study(40), tmp_path_factory.mktemp("whole") / "out", workers(2), Watched())
    assert counts == Counts(40, 40, 0, 0)
    return rows(kept)


def test_random_numbers_are_those_of_numpys_spawned_sequence_by_the_tasks_name(whole: list[Outcome]) -> None:
    for outcome in (whole[0], whole[39]):
        key = spawn_key(f"player {outcome.number}")
        wanted = np.random.default_rng(np.random.SeedSequence(0, spawn_key=key)).random()
        assert outcome.row["drawn"] == float(f"{wanted:.12g}")
    assert len({outcome.row["drawn"] for outcome in whole}) == 40
    assert seed_of(1, (2, 3)).spawn_key == (2, 3)


@pytest.mark.parametrize(("processes", "chunk"), [(3, 7)])
def test_processes_and_chunks_do_not_matter(
    whole: list[Outcome], tmp_path: Path, processes: int, chunk: int
) -> None:
    kept, _ = run(a_study(40), tmp_path, workers(processes), Watched(), chunk=chunk)
    assert rows(kept) == whole
    files = sorted((tmp_path / "chunks").rglob("*.jsonl"))
    assert len(files) == -(-40 // chunk)


def test_what_fails_is_said_and_the_others_are_answered(tmp_path: Path) -> None:
    does = {0: "print", 2: "die", 5: "refuse", 6: "surprise", 9: "die once"}
    kept, counts = run(a_study(12, does, mark=str(tmp_path / "mark")), tmp_path / "out", workers(), Watched())
    failed = {outcome.number: outcome.failed for outcome in kept.outcomes() if outcome.failed}
    assert counts == Counts(12, 12, 0, 3)
    assert failed[2].startswith("Two workers were lost over this task; of the second: it was killed")
    assert failed[5] == "This one is refused. Give another."
    assert failed[6].startswith("KeyError: 'surprise' (questions.py:")
    assert [outcome.row["value"] for outcome in kept.outcomes() if not outcome.failed] == [
        0,
        1,
        3,
        4,
        7,
        8,
        9,
        10,
        11,
    ]
    _, again = run(a_study(12, does, mark=str(tmp_path / "mark")), tmp_path / "out", workers(), Watched())
    assert again == Counts(12, 12, 12, 3), "what failed is not tried again by itself"


def test_what_failed_is_taken_up_again_where_that_is_wanted(tmp_path: Path) -> None:
    mark = tmp_path / "mark"
    inputs = a_study(6, {1: "refuse until", 4: "refuse"}, mark=str(mark))
    _, first = run(inputs, tmp_path / "out", workers(), Watched())
    assert first.failed == 2
    mark.touch()
    kept, counts = run(inputs, tmp_path / "out", workers(), Watched(), again=True)
    assert counts == Counts(6, 6, 4, 1)
    assert [outcome.number for outcome in kept.outcomes() if outcome.failed] == [4]


def test_killed_workers_cost_time_and_no_result(whole: list[Outcome], tmp_path: Path) -> None:
    """Real processes, killed while they work."""
    pools: list[Pool] = []
    killed: set[int] = set()

    class Killing(Watched):
        def at(self, counts: Counts, words: str) -> None:
            super().at(counts, words)
            if pools and counts.done in (5, 20):
                for pid in pools[0].pids:
                    if len(killed) < 3 and pid not in killed:
                        killed.add(pid)
                        os.kill(pid, signal.SIGKILL)
                        break

    def made(start: Start) -> Pool:
        pools.append(Pool(start, 2))
        return pools[0]

    kept, counts = run(a_study(40, wait_s=0.02), tmp_path, made, Killing())
    assert len(killed) >= 2
    assert counts.failed == 0
    assert [o.row["drawn"] for o in rows(kept)] == [o.row["drawn"] for o in whole]
    assert pools[0].pids == []


def test_a_stopped_study_goes_on_and_is_then_the_same(whole: list[Outcome], tmp_path: Path) -> None:
    with pytest.raises(Stop):
        run(a_study(40), tmp_path, workers(), Watched(stop_at=11))
    watched = Watched()
    kept, counts = run(a_study(40), tmp_path, workers(), watched)
    assert counts.before >= 11
    assert watched.seen[0].done == counts.before
    assert rows(kept) == whole


RUN = """
import sys
from pathlib import Path
from tests.unit.study.test_runner import Watched, a_study
from bagwright.study import run
from bagwright.study.pool import Pool
pools = []
class Said(Watched):
    def at(self, counts, words):
        print(counts.done, *(pools[0].pids if pools else ()), flush=True)
def engine(start):
    pools.append(Pool(start, 2))
    return pools[0]
run(a_study(40, wait_s=0.03), Path(sys.argv[1]), engine, Said(), chunk=4)
"""


@pytest.mark.parametrize("sign", [signal.SIGKILL, signal.SIGINT])
def test_a_run_that_is_killed_or_stopped_by_hand_leaves_what_it_had(
    whole: list[Outcome], tmp_path: Path, sign: signal.Signals
) -> None:
    """The run itself, not a worker; its workers end by themselves."""
    child = _child(tmp_path)
    _until(child, 15)
    child.send_signal(sign)
    child.communicate(timeout=20)
    _, counts = run(a_study(40, wait_s=0.03), tmp_path, workers(), Watched())
    assert counts.before >= (15 if sign == signal.SIGINT else 8), "whole chunks are on the disk"
    kept, _ = run(a_study(40, wait_s=0.03), tmp_path, workers(), Watched())
    assert [o.row["drawn"] for o in rows(kept)] == [o.row["drawn"] for o in whole]


def test_workers_of_a_run_that_is_gone_end_by_themselves(tmp_path: Path) -> None:
    child = _child(tmp_path)
    workers_then = _until(child, 3)
    child.kill()
    child.communicate()
    assert workers_then
    deadline = time.monotonic() + 10
    while any(_lives(pid) for pid in workers_then) and time.monotonic() < deadline:
        time.sleep(0.05)
    assert not any(_lives(pid) for pid in workers_then)


def _child(folder: Path) -> subprocess.Popen[str]:
    words = [sys.executable, "-c", RUN, str(folder)]
    pipe = subprocess.PIPE
    return subprocess.Popen(words, cwd=ROOT, stdout=pipe, stderr=subprocess.DEVNULL, text=True)


def _until(child: subprocess.Popen[str], done: int) -> list[int]:
    """Wait until so many tasks are done; give the workers of then."""
    assert child.stdout is not None
    while True:
        n, *pids = map(int, child.stdout.readline().split())
        if n >= done:
            return pids


def _lives(pid: int) -> bool:
    """One that has ended, and whose parent is gone, may still be listed as a zombie."""
    status = Path(f"/proc/{pid}/stat")
    return status.exists() and status.read_text().rpartition(")")[2].split()[0] != "Z"


def test_other_inputs_are_refused_and_named(tmp_path: Path) -> None:
    run(a_study(4), tmp_path, workers(1), Watched())
    changed = {
        "the players": a_study(4, {1: "refuse"}),
        "the number of players (4, now 5)": a_study(5),
        "what all share": a_study(4, wait_s=0.5),
        "the seed (0, now 7)": a_study(4, seed=7),
        "the version of the program": replace(a_study(4), program="0.0.1"),
        "the question": replace(a_study(4), question=f"{HERE}:odd"),
    }
    for name, other in changed.items():
        with pytest.raises(InputError) as error:
            run(other, tmp_path, workers(1), Watched())
        assert name in str(error.value)
        assert str(tmp_path) in str(error.value)


def test_inputs_that_change_while_the_study_runs_are_noticed(tmp_path: Path) -> None:
    source = tmp_path / "source"
    source.write_text("a")
    out = tmp_path / "out"

    def load(i: int) -> Mapping[str, Any]:
        return {"value": i, "text": source.read_text()}

    class Changing(Watched):
        def at(self, counts: Counts, words: str) -> None:
            if counts.done == 3:
                source.write_text("b")

    with pytest.raises(InputError, match="changed while they were worked on"):
        run(a_study(6, load=load), out, workers(1), Changing())
    with pytest.raises(InputError, match="begun with other inputs: the players"):
        run(a_study(6, load=load), out, workers(1), Watched())


def test_a_machine_that_fails_ends_the_study_and_keeps_the_rest(tmp_path: Path) -> None:
    with pytest.raises(MachineError, match="The disk is full"):
        run(a_study(30, {20: "machine"}), tmp_path, workers(1), Watched())
    kept = Kept(tmp_path, run_plan(tmp_path))
    assert len(list(kept.outcomes())) == 20


def run_plan(folder: Path) -> Any:
    from bagwright.study.plan import read_plan

    return read_plan(folder)


def test_workers_that_cannot_begin_are_the_machines_fault(tmp_path: Path) -> None:
    with pytest.raises(MachineError, match="No worker could be started: it was killed"):
        run(a_study(3, question="broken"), tmp_path, workers(1), Watched())


@pytest.mark.parametrize("question", ["nothing", "no.such:module", f"{HERE}:missing", f"{HERE}:os"])
def test_a_question_that_is_none_is_refused(tmp_path: Path, question: str) -> None:
    with pytest.raises(InputError, match="The question"):
        run(replace(a_study(3), question=question), tmp_path, workers(1), Watched())


def test_cells_are_plain_and_missing_numbers_stay_missing(tmp_path: Path) -> None:
    kept, counts = run(a_study(2, question="odd"), tmp_path, workers(1), Watched())
    nothing, odd = kept.outcomes()
    assert nothing.row == {"value": None}
    assert "the cell value is a float64" in odd.failed
    assert counts.failed == 1


def test_threads_of_a_worker_are_what_is_said(tmp_path: Path) -> None:
    kept, _ = run(a_study(1), tmp_path, lambda start: Pool(replace(start, threads=3), 1), Watched())
    assert next(kept.outcomes()).row["threads"] == "3"


def test_one_run_holds_a_folder(tmp_path: Path) -> None:
    with held(tmp_path), pytest.raises(InputError, match="Another run is at work"):
        run(a_study(2), tmp_path, workers(1), Watched())
    run(a_study(2), tmp_path, workers(1), Watched())


def test_folders_that_cannot_be_used_are_named(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("")
    with pytest.raises(InputError, match="is a file, not a folder"):
        run(a_study(2), tmp_path / "file", workers(1), Watched())
    (tmp_path / "mine").mkdir()
    (tmp_path / "mine" / "letter.txt").write_text("")
    with pytest.raises(InputError, match=r'files that no study wrote \("letter.txt"\)'):
        run(a_study(2), tmp_path / "mine", workers(1), Watched())
    with pytest.raises(InputError, match="no player"):
        run(a_study(0), tmp_path / "none", workers(1), Watched())


def test_damaged_files_of_the_folder_are_named(tmp_path: Path) -> None:
    run(a_study(9), tmp_path, workers(1), Watched())
    (first, _) = sorted((tmp_path / "chunks").rglob("*.jsonl"))
    first.write_text('{"number": 0, "ro')
    with pytest.raises(InputError, match=r"000000.jsonl is damaged.*Delete it"):
        run(a_study(9), tmp_path, workers(1), Watched())
    first.unlink()
    _, counts = run(a_study(9), tmp_path, workers(1), Watched())
    assert counts == Counts(9, 9, 1, 0)
    (tmp_path / PLAN).write_text('{"form": 99}')
    with pytest.raises(InputError, match="is no plan of a study"):
        run(a_study(9), tmp_path, workers(1), Watched())


def test_digests_tell_inputs_apart() -> None:
    """Whatever could be mistaken for another input has its own digest; the order of keys does not count."""
    several: list[object] = [
        {}, [], "", b"", None, 0, False, 0.0, -0.0, "0", b"0", 1, True, 1.0, ["a", "b"], ["ab"], ["a", ["b"]],
        {"a": "b"}, {"a": None}, [{"a": 1}, {"b": 2}], [{"a": 1, "b": 2}], "None", "int:0",
    ]  # fmt: skip
    assert len({digest_of(one) for one in several}) == len(several)
    assert digest_of({"a": 1, "b": [2.0]}) == digest_of({"b": [2.0], "a": 1})
    with pytest.raises(TypeError):
        digest_of({"a": object()})


def test_chunks_grow_with_the_study_and_stay_small() -> None:
    assert [chunk_for(n) for n in (1, 8000, 100_000, 10**7)] == [8, 8, 100, 1000]
