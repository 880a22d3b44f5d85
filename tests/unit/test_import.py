"""The package is quick to import, loads late, and its public names are the functions they say."""

from __future__ import annotations

import inspect
import subprocess
import sys
import tomllib
from importlib.metadata import version
from pathlib import Path
from types import ModuleType

import pytest

import bagwright

ROOT = Path(__file__).parents[2]
PUBLIC = sorted(set(bagwright.__all__) - {"__version__"})
HEAVY = (
    "numpy",
    "numba",
    "scipy",
    "click",
    "rich",
    "django",
    "typst",
    "vl_convert",
    "matplotlib",
    "pandas",
    "defusedxml",
)


def fresh(code: str) -> str:
    """Run code in an interpreter of its own, with warnings as errors, and return what it prints."""
    done = subprocess.run(
        [sys.executable, "-W", "error", "-c", code], capture_output=True, text=True, check=False, cwd=ROOT
    )
    assert done.returncode == 0, done.stderr
    return done.stdout.strip()


def test_importing_the_package_loads_nothing_heavy() -> None:
    loaded = fresh("import sys, bagwright; print(*{name.partition('.')[0] for name in sys.modules})").split()
    assert "bagwright" in loaded
    assert not set(HEAVY) & set(loaded)


def test_importing_the_package_takes_well_under_its_limit() -> None:
    """The limit is 0.3 s; time of the processor, so that a busy machine does not count."""
    code = "import time; s = time.process_time(); import bagwright; print(time.process_time() - s)"
    assert min(float(fresh(code)) for _ in range(3)) < 0.1


@pytest.mark.parametrize("name", PUBLIC)
def test_a_public_name_is_a_function_or_class_of_that_name_with_a_docstring(name: str) -> None:
    named = getattr(bagwright, name)
    assert inspect.isclass(named) if name[0].isupper() else inspect.isfunction(named)
    assert named.__name__ == name
    assert inspect.getdoc(named)


@pytest.mark.parametrize("name", PUBLIC)
def test_a_public_name_works_without_any_other_import(name: str) -> None:
    assert fresh(f"import bagwright as bw; print(bw.{name}.__name__)") == name


def test_the_core_of_the_public_names_loads_no_outer_library() -> None:
    """Screens, charts, PDF and the command line stay outside of what a Python user calls.

    (`http` is no sign here: the XML reader of the standard library loads it. import-linter watches ours.)
    """
    use = "; ".join(f"bagwright.{name}" for name in PUBLIC)
    loaded = fresh(
        f"import sys, bagwright; {use}; print(*{{n.partition('.')[0] for n in sys.modules}})"
    ).split()
    assert not {"click", "rich", "django", "typst", "vl_convert", "sqlite3"} & set(loaded)
    assert fresh(f"import sys, bagwright; {use}; print('scipy.stats' in sys.modules)") == "False"


@pytest.mark.parametrize(
    "first",
    [
        "import bagwright.distances",
        "from bagwright.distances import distances",
        "import bagwright; bagwright.distances",
        "from bagwright import distances",
        "import importlib; importlib.import_module('bagwright.distances')",
    ],
)
def test_distances_is_the_function_whatever_was_imported_first(first: str) -> None:
    """A module and a function share the name; the function is what `bagwright.distances` gives, always."""
    shown = fresh(
        f"{first}\nimport sys, bagwright\nfrom bagwright.distances import distances as f\n"
        "print(bagwright.distances is f, callable(f), type(sys.modules['bagwright.distances']).__name__)"
    )
    assert shown == "True True module"


def test_an_unknown_name_is_an_attribute_error() -> None:
    with pytest.raises(AttributeError, match="no attribute 'no_such_name'"):
        bagwright.no_such_name  # noqa: B018
    assert not hasattr(bagwright, "__path_of_nothing__")


def test_other_modules_of_the_package_stay_modules() -> None:
    assert fresh("import bagwright.units; print(type(bagwright.units).__name__)") == ModuleType.__name__


def test_dir_lists_the_public_names_before_they_are_loaded() -> None:
    listed = fresh("import bagwright; print(*dir(bagwright))").split()
    assert set(bagwright.__all__) <= set(listed)


def test_version_is_the_same_everywhere() -> None:
    project = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    assert bagwright.__version__ == project["version"] == version("bagwright")


def test_types_are_published() -> None:
    assert (Path(bagwright.__file__).parent / "py.typed").is_file()


def test_one_flight_needs_no_compiler() -> None:
    code = (
        "import sys, bagwright as bw; f = bw.fly(bw.Launch(75.0, 0.19, 2600.0)); bw.run(f.landing_speed_mps, "
        "f.descent_rad, f.landing_spin_rpm); bw.infer(bw.Seen(carry_m=150.0)); print('numba' in sys.modules)"
    )
    assert fresh(code) == "False"
