"""Cheap questions for the tests of the runner: each worker imports them by their dotted names."""

from __future__ import annotations

import os
import signal
import time
from collections.abc import Mapping
from pathlib import Path
from typing import Any

import numpy as np
from numpy.random import SeedSequence

from bagwright.errors import InputError, MachineError
from bagwright.study import Answer, Cell


def drawn(common: Mapping[str, Any]) -> Answer:
    """A number of the task's own random numbers beside what it was given; tasks may be slow or go wrong."""

    def answer(given: Mapping[str, Any], seed: SeedSequence) -> Mapping[str, Cell]:
        time.sleep(common.get("wait_s", 0.0))
        does = given.get("does", "")
        if does == "refuse":
            raise InputError("This one is refused.", "Give another.")
        if does == "refuse until" and not Path(given["mark"]).exists():
            raise InputError("Not yet.", "Wait.")
        if does == "surprise":
            raise KeyError("surprise")
        if does == "machine":
            raise MachineError("The disk is full.", "Free some room.")
        if does == "die" or (does == "die once" and _first(Path(given["mark"]))):
            os.kill(os.getpid(), signal.SIGKILL)
        if does == "print":
            print("what a library prints is no answer")
        return {
            "value": given["value"],
            "drawn": float(np.random.default_rng(seed).random()),
            "threads": os.environ.get("NUMBA_NUM_THREADS"),
        }

    return answer


def _first(mark: Path) -> bool:
    """True for the first who asks, whichever process it is."""
    try:
        os.close(os.open(mark, os.O_CREAT | os.O_EXCL))
    except FileExistsError:
        return False
    return True


def broken(common: Mapping[str, Any]) -> Answer:
    """A question that ends every worker before it is ready."""
    os.kill(os.getpid(), signal.SIGKILL)
    raise AssertionError("not reached")


def odd(common: Mapping[str, Any]) -> Answer:
    """A question whose row holds what no table can."""
    return lambda given, seed: {"value": np.float64(1.0) if given["value"] else float("nan")}
