"""Run a study: many invented visits a cell, in chunks, on a few processes, resumable, one JSON line a visit.

Results lie outside the repository (`--out`, else the temporary folder), one file for each cell and each
fingerprint of the code that answered, so that figures of different code never mix. A visit's seed depends on
the study's population and the visit's number alone: cells that share a population meet the same golfers.
"""

from __future__ import annotations

import argparse
import hashlib
import json
import multiprocessing
import os
import shutil
import subprocess
import sys
import tempfile
import time
import zlib
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import numpy as np

ROOT = Path(__file__).resolve().parent.parent
ANSWERING = ("src/bagwright/dispersion", "src/bagwright/trial/value.py", "bench/world.py")
"""What the figures depend on; its hash is part of a result file's name."""

Result = dict[str, Any]


@dataclass(frozen=True)
class Cell:
    """One row of a table: its name, the seed's name and what the work function needs to know."""

    name: str
    population: str
    options: dict[str, Any] = field(default_factory=dict)


Work = Callable[[Cell, np.random.Generator], Result]


def rng_for(population: str, visit: int) -> np.random.Generator:
    """Make the generator of one visit of a population; the same on every machine."""
    return np.random.default_rng([20261125, zlib.crc32(population.encode()), visit])


def fingerprint() -> str:
    """Hash the sources that answer, ten hexadecimal digits."""
    digest = hashlib.sha256()
    for name in ANSWERING:
        path = ROOT / name
        files = sorted(path.glob("*.py")) if path.is_dir() else [path]
        for file in files:
            if file.is_file():
                digest.update(file.name.encode() + file.read_bytes())
    return digest.hexdigest()[:10]


def commit() -> str:
    """Name the commit that is checked out, or what BAGWRIGHT_COMMIT says for an exported copy."""
    told = os.environ.get("BAGWRIGHT_COMMIT")
    git = shutil.which("git")
    if told or git is None:
        return told or "unknown"
    found = subprocess.run(
        [git, "rev-parse", "--short", "HEAD"], cwd=ROOT, capture_output=True, text=True, check=False
    )
    return found.stdout.strip() if found.returncode == 0 else "unknown"


def result_file(folder: Path, study: str, cell: Cell, code: str) -> Path:
    """Name the file of a cell's results."""
    safe = "".join(c if c.isalnum() or c in "._=-" else "-" for c in cell.name)
    return folder / f"{study}--{safe}--{code}.jsonl"


def read_results(path: Path) -> dict[int, Result]:
    """Read the finished visits of a cell by number; a line cut off by a stop is dropped and done again."""
    found: dict[int, Result] = {}
    if not path.is_file():
        return found
    for line in path.read_text(encoding="utf-8").splitlines():
        try:
            row = json.loads(line)
        except json.JSONDecodeError:
            continue
        found[int(row["visit"])] = row
    return found


def _chunk(job: tuple[Work, Cell, tuple[int, ...]]) -> tuple[Cell, list[Result]]:
    work, cell, visits = job
    return cell, [{"visit": v, **work(cell, rng_for(cell.population, v))} for v in visits]


def _missing(cells: Iterable[Cell], study: str, folder: Path, code: str, visits: int, size: int) -> list[Any]:
    jobs = []
    for cell in cells:
        done = read_results(result_file(folder, study, cell, code))
        todo = [v for v in range(visits) if v not in done]
        jobs += [(cell, tuple(todo[i : i + size])) for i in range(0, len(todo), size)]
    return jobs


def run_cells(
    study: str, cells: Sequence[Cell], work: Work, options: argparse.Namespace
) -> dict[str, list[Result]]:
    """Run what is missing of every cell and return all results by cell name, in order of visit."""
    folder = Path(options.out)
    folder.mkdir(parents=True, exist_ok=True)
    code = fingerprint()
    jobs = [(work, cell, todo) for cell, todo in _missing(cells, study, folder, code, options.visits, 20)]
    started = time.perf_counter()
    for name in ("OMP_NUM_THREADS", "OPENBLAS_NUM_THREADS", "MKL_NUM_THREADS"):
        os.environ[name] = "1"  # processes, not threads; fresh processes read it when they load numpy
    if jobs:
        with multiprocessing.get_context("spawn").Pool(options.processes) as pool:
            for i, (cell, rows) in enumerate(pool.imap_unordered(_chunk, jobs), 1):
                with result_file(folder, study, cell, code).open("a", encoding="utf-8") as out:
                    out.writelines(json.dumps(row) + "\n" for row in rows)
                spent = time.perf_counter() - started
                left = spent / i * (len(jobs) - i)
                print(f"\r{study}: {i}/{len(jobs)} chunks, {left:.0f} s left ", end="", file=sys.stderr)
        print(file=sys.stderr)
    results = {}
    for cell in cells:
        rows_by_visit = read_results(result_file(folder, study, cell, code))
        results[cell.name] = [rows_by_visit[v] for v in sorted(rows_by_visit) if v < options.visits]
    return results


def arguments(description: str, visits: int = 1000) -> argparse.ArgumentParser:
    """Make the options that every study has."""
    parser = argparse.ArgumentParser(description=description)
    parser.add_argument("--visits", type=int, default=visits, help="visits a cell")
    parser.add_argument("--processes", type=int, default=2)
    parser.add_argument("--out", default=str(Path(tempfile.gettempdir()) / "bagwright-studies"))
    parser.add_argument("--only", default="", help="run only cells whose name holds this text")
    return parser


def chosen(cells: Sequence[Cell], options: argparse.Namespace) -> list[Cell]:
    """Keep the cells that --only names."""
    return [cell for cell in cells if options.only in cell.name]


def table(header: Sequence[str], rows: Iterable[Sequence[object]]) -> str:
    """Write a Markdown table."""
    lines = ["| " + " | ".join(header) + " |", "|" + "--|" * len(header)]
    lines += ["| " + " | ".join(str(value) for value in row) + " |" for row in rows]
    return "\n".join(lines)


def share(hits: int, of: int) -> str:
    """Write a share in percent with one decimal, "-" where there was nothing to count."""
    return f"{100.0 * hits / of:.1f}" if of else "-"
