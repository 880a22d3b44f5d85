"""What a pick was made on, as bytes and back: the problem, the draws of what the shots leave open, the proof."""

from __future__ import annotations

import io
import json
import tempfile
import zlib
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from bagwright.errors import InputError
from bagwright.words import tell

if TYPE_CHECKING:
    from bagwright.pick.doubt import Doubt
    from bagwright.pick.problem import Problem
    from bagwright.pick.proof import Proof

MOST_PROOF = 200_000_000
"""Bytes of a proof, unpacked."""


@dataclass(frozen=True, slots=True, eq=False)
class Stated:
    """The finite problem, how its options move with what the shots leave open, the draws of that, what was assumed."""

    problem: Problem
    response: NDArray[np.float32]
    doubt: Doubt
    said: tuple[str, ...]


def problem_packed(problem: Problem) -> bytes:
    """A problem as bytes."""
    with tempfile.TemporaryDirectory() as folder:
        place = Path(folder) / "problem.npz"
        problem.save(place)
        return place.read_bytes()


def problem_of(content: bytes) -> Problem:
    """A problem from its bytes. Raises InputError for others."""
    from bagwright.pick.problem import Problem

    with tempfile.TemporaryDirectory() as folder:
        place = Path(folder) / "problem.npz"
        place.write_bytes(content)
        return Problem.load(place)


def draws_packed(stated: Stated) -> bytes:
    """How the options move, and the draws, as bytes."""
    doubt, out = stated.doubt, io.BytesIO()
    axes = {f"axis_{name}": values for name, values in doubt.drawn.items()}
    np.savez_compressed(
        out, allow_pickle=False, response=stated.response, ball=doubt.ball, mishit=doubt.mishit,
        balls=doubt.balls, **axes,
    )  # fmt: skip
    return out.getvalue()


def stated_of(problem: bytes, draws: bytes, said: tuple[str, ...]) -> Stated:
    """Everything again from the bytes. Raises InputError for others."""
    from bagwright.pick.doubt import Doubt

    known = problem_of(problem)
    try:
        with np.load(io.BytesIO(draws), allow_pickle=False) as file:
            drawn = {
                name.removeprefix("axis_"): file[name] for name in file.files if name.startswith("axis_")
            }
            doubt = Doubt(known.clubs, drawn, file["ball"], file["mishit"], file["balls"])
            return Stated(known, file["response"], doubt, said)
    except (OSError, ValueError, KeyError) as error:
        raise _broken(error) from error


def proof_packed(proof: Proof) -> bytes:
    """A proof as bytes: its JSON, compressed."""
    return zlib.compress(json.dumps(proof.plain(), ensure_ascii=False).encode(), 6)


def proof_of(content: bytes) -> Proof:
    """A proof from its bytes. Raises InputError for others."""
    from bagwright.pick.proof import Proof

    try:
        unpacked = zlib.decompressobj().decompress(content, MOST_PROOF)
        return Proof.of(json.loads(unpacked))
    except (ValueError, KeyError, TypeError, RecursionError, zlib.error) as error:
        raise _broken(error) from error


def _broken(error: Exception) -> InputError:
    return InputError(
        tell("What was kept cannot be read: {error}.", error=str(error)[:100]), tell("Work it out again.")
    )
