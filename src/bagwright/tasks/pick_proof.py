"""The proof of a pick, written beside its problem and checked again."""

from __future__ import annotations

from dataclasses import dataclass, replace
from pathlib import Path

from bagwright.tasks.picking import PickAnswer, made_of
from bagwright.tasks.source import Progress


def keep_proof(answer: PickAnswer, place: Path) -> PickAnswer:
    """Write the proof, and the problem beside it as .npz. Raises MachineError where that cannot be."""
    made = made_of(answer)
    beside = problem_file(place)
    written = made.proof.save(place)
    made.problem.save(beside)
    return replace(answer, files=(*answer.files, written, beside))


def problem_file(proof: Path) -> Path:
    """Where the problem of a proof lies."""
    return proof.with_suffix(".npz")


@dataclass(frozen=True, slots=True)
class ProofChecked:
    """What the check of a proof file found."""

    holds: bool
    clubs: tuple[str, ...]
    strokes: float
    near: int
    within: float
    leaves: int
    bags: int
    faults: tuple[str, ...]
    problem: str
    unfinished: bool
    """The file keeps a search that was stopped, and is right so far: `open` parts are not closed yet."""
    open: int
    bound: float | None
    """No allowed bag costs less, as far as was checked; None where the file is wrong."""


def check_proof(place: Path, progress: Progress | None = None) -> ProofChecked:
    """Check a proof against the problem beside it, every number worked out again.

    Raises InputError where one of the two files cannot be read.
    """
    from bagwright.pick.evaluate import Evaluator
    from bagwright.pick.problem import Problem
    from bagwright.pick.proof import Proof, verify

    proof = Proof.load(place)
    problem = Problem.load(problem_file(place))
    digest = problem.digest()
    found = verify(proof, digest, Evaluator(problem), progress or (lambda done, of: None))
    clubs = tuple(name for i, name in enumerate(proof.clubs) if proof.best >> i & 1)
    return ProofChecked(
        found.holds, clubs, proof.strokes, len(proof.near), proof.wish.within, found.leaves,
        found.evaluations, found.faults, digest, found.open > 0 and not found.faults, found.open,
        None if found.faults else min(proof.strokes, found.lowest),
    )  # fmt: skip
