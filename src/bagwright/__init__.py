"""Bagwright: from a handful of test shots to a club recommendation that says how sure it is.

The package is light to import (well under 0.3 s): numpy and everything above it are loaded when a name
is first used.

    import bagwright as bw

    table = bw.read_shots("visit.csv")
    verdict = bw.judge(...)

Units inside are SI and radians; see ``docs/names.md`` for every name, unit and sign.
"""

import sys
from importlib import import_module
from types import ModuleType
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from bagwright.air import Wind, air
    from bagwright.bag.file import load_bag
    from bagwright.bag.rules import check
    from bagwright.course.load import load_course
    from bagwright.dispersion.fit import fit_dispersion
    from bagwright.distances import distances
    from bagwright.flight.fly import fly, fly_many
    from bagwright.flight.infer import infer
    from bagwright.flight.infer_many import infer_many
    from bagwright.flight.launch import Launch, Launches
    from bagwright.flight.level import level
    from bagwright.flight.seen import Seen
    from bagwright.impact import gear_effect, strike, what_if
    from bagwright.pick.best import pick_bag, slot_worth
    from bagwright.restate import Setting, restate_bag, restate_shots
    from bagwright.shots.read import read_shots
    from bagwright.trial.brief import write_brief
    from bagwright.trial.plan import plan_trial
    from bagwright.trial.verdict import judge
    from bagwright.turf import Turf, holds, run

__version__ = "0.1.0"

_HOME = {
    "Launch": "bagwright.flight.launch",
    "Launches": "bagwright.flight.launch",
    "Seen": "bagwright.flight.seen",
    "Setting": "bagwright.restate",
    "Turf": "bagwright.turf",
    "Wind": "bagwright.air",
    "air": "bagwright.air",
    "check": "bagwright.bag.rules",
    "distances": "bagwright.distances",
    "fit_dispersion": "bagwright.dispersion.fit",
    "fly": "bagwright.flight.fly",
    "fly_many": "bagwright.flight.fly",
    "gear_effect": "bagwright.impact",
    "holds": "bagwright.turf",
    "infer": "bagwright.flight.infer",
    "infer_many": "bagwright.flight.infer_many",
    "judge": "bagwright.trial.verdict",
    "level": "bagwright.flight.level",
    "load_bag": "bagwright.bag.file",
    "load_course": "bagwright.course.load",
    "pick_bag": "bagwright.pick.best",
    "plan_trial": "bagwright.trial.plan",
    "read_shots": "bagwright.shots.read",
    "restate_bag": "bagwright.restate",
    "restate_shots": "bagwright.restate",
    "run": "bagwright.turf",
    "slot_worth": "bagwright.pick.best",
    "strike": "bagwright.impact",
    "what_if": "bagwright.impact",
    "write_brief": "bagwright.trial.brief",
}
"""The module that each public function lives in."""

__all__ = [
    "Launch",
    "Launches",
    "Seen",
    "Setting",
    "Turf",
    "Wind",
    "__version__",
    "air",
    "check",
    "distances",
    "fit_dispersion",
    "fly",
    "fly_many",
    "gear_effect",
    "holds",
    "infer",
    "infer_many",
    "judge",
    "level",
    "load_bag",
    "load_course",
    "pick_bag",
    "plan_trial",
    "read_shots",
    "restate_bag",
    "restate_shots",
    "run",
    "slot_worth",
    "strike",
    "what_if",
    "write_brief",
]


def __getattr__(name: str) -> object:
    """Load a public function when it is first asked for."""
    if name not in _HOME:
        raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
    value: object = getattr(import_module(_HOME[name]), name)
    globals()[name] = value
    return value


def __dir__() -> list[str]:
    """List the public names, loaded or not."""
    return sorted({*globals(), *__all__})


class _Package(ModuleType):
    """The package itself, where the function ``distances`` wins over the module of the same name.

    Importing ``bagwright.distances`` makes Python store that module as an attribute of the package, which
    would hide the public function. The module stays reachable: ``from bagwright.distances import ...``.
    """

    def __setattr__(self, name: str, value: object) -> None:
        if name in _HOME and isinstance(value, ModuleType):
            value = getattr(value, name)
        super().__setattr__(name, value)


sys.modules[__name__].__class__ = _Package
