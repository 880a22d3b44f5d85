"""dev.py: routing, stamps and messages, without a network; each real start exercises the rest."""

from __future__ import annotations

import importlib.metadata
import importlib.util
import os
import shutil
import signal
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import pytest

import dev

ROOT = Path(dev.__file__).parent


@pytest.fixture
def place(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A folder for an environment that does not exist yet."""
    place = tmp_path / "with space" / "env"
    monkeypatch.setenv("BAGWRIGHT_VENV", str(place))
    return place


@pytest.fixture
def installed(monkeypatch: pytest.MonkeyPatch) -> list[list[str]]:
    """Replace the installations by a list of them, as on a machine with a new pip."""
    calls: list[list[str]] = []
    monkeypatch.setattr(dev, "pip_version", lambda: (26, 0))
    monkeypatch.setattr(dev, "install", calls.append)
    return calls


def pretend(monkeypatch: pytest.MonkeyPatch, name: str, result: Callable[..., Any]) -> None:
    monkeypatch.setattr(dev, name, result)


# --- words -------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("words", "kind", "called", "passed"),
    [
        (["run"], "run", "run", []),
        (["run", "read", "a b.csv", "--json"], "run", "run", ["read", "a b.csv", "--json"]),
        (["test"], "dev", "test", []),
        (["test", "-k", "units"], "dev", "test", ["-k", "units"]),
    ],
)
def test_words_are_routed(
    monkeypatch: pytest.MonkeyPatch, words: list[str], kind: str, called: str, passed: list[str]
) -> None:
    seen: list[object] = []

    def set_up(kind: str) -> Path:
        seen.append(kind)
        return Path("python-of-env")

    def end(python: Path, rest: list[str]) -> int:
        seen.extend([python, rest])
        return 7

    pretend(monkeypatch, "set_up", set_up)
    pretend(monkeypatch, called, end)
    assert dev.main(words) == 7
    assert seen == [kind, Path("python-of-env"), passed]


@pytest.mark.parametrize("words", [[], ["build"], ["RUN"]])
def test_other_words_show_the_usage_on_standard_error(
    words: list[str], capsys: pytest.CaptureFixture[str]
) -> None:
    assert dev.main(words) == 2
    out, err = capsys.readouterr()
    assert out == ""
    assert "dev.py run" in err
    assert "dev.py test" in err


def test_help_is_an_answer(capsys: pytest.CaptureFixture[str]) -> None:
    assert dev.main(["--help"]) == 0
    assert "py dev.py run" in capsys.readouterr().out


@pytest.mark.skipif(os.name == "nt", reason="there the program is a child")
@pytest.mark.parametrize(
    ("words", "becomes"), [([], ["demo"]), (["check", "my bag.toml"], ["check", "my bag.toml"])]
)
def test_run_becomes_the_program(
    monkeypatch: pytest.MonkeyPatch, words: list[str], becomes: list[str]
) -> None:
    seen: list[list[str]] = []
    monkeypatch.setattr(os, "execve", lambda path, command, environment: seen.append(command))
    dev.run(Path("/e n v/bin/python"), words)
    assert seen == [["/e n v/bin/python", "-m", "bagwright", *becomes]]


def test_all_checks_run_even_if_some_fail_and_pytest_comes_last(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    seen: list[list[str]] = []

    def wait_for(command: list[str], cwd: Path | None) -> int:
        seen.append(command)
        assert cwd == ROOT
        return int("mypy" in command or command[-2:] == ["check", "."])

    pretend(monkeypatch, "wait_for", wait_for)
    monkeypatch.setattr(os, "cpu_count", lambda: 2)
    assert dev.test(Path("python"), ["-x"]) == 1
    assert [name for name, _ in dev.CHECKS] == ["ruff check", "ruff format", "mypy", "import-linter"]
    assert len(seen) == len(dev.CHECKS) + 1
    assert seen[-1] == ["python", "-m", "pytest", *dev.side_by_side(), "-x"]
    last = capsys.readouterr().err.strip().splitlines()[-1]
    assert last.startswith("== pytest")
    assert "failed before it: ruff check, mypy;" in last


@pytest.mark.parametrize(
    ("cores", "words"),
    [(None, []), (1, []), (2, ["-n", "2", "--dist", "loadfile"]), (64, ["-n", "4", "--dist", "loadfile"])],
)
def test_as_many_workers_as_cores_up_to_four(
    monkeypatch: pytest.MonkeyPatch, cores: int | None, words: list[str]
) -> None:
    monkeypatch.setattr(os, "cpu_count", lambda: cores)
    assert dev.side_by_side()[:4] == words


@pytest.mark.parametrize(("pytest_code", "code"), [(0, 0), (1, 1), (5, 5)])
def test_the_exit_code_is_that_of_the_tests_when_all_else_is_well(
    monkeypatch: pytest.MonkeyPatch, pytest_code: int, code: int
) -> None:
    pretend(monkeypatch, "wait_for", lambda command, cwd: pytest_code if "pytest" in command else 0)
    assert dev.test(Path("python"), []) == code


def test_the_program_behind_each_check_exists() -> None:
    for _, arguments in dev.CHECKS:
        module = arguments[1] if arguments[0] == "-m" else "importlinter.cli"
        assert importlib.util.find_spec(module) is not None, module


# --- Python and pip ----------------------------------------------------------------------------------------


def test_an_old_python_gets_a_plain_message() -> None:
    script = "import sys; sys.version_info = (3, 10, 13); import dev"
    old = subprocess.run(
        [sys.executable, "-c", script], cwd=ROOT, capture_output=True, text=True, check=False
    )
    assert old.returncode == 2
    assert old.stdout == ""
    assert "3.11 or newer is needed; this is Python 3.10.13" in old.stderr
    assert "Traceback" not in old.stderr


@pytest.mark.parametrize(
    ("pip", "ensurepip", "uv", "chosen"),
    [
        ((26, 0), True, True, "pip"),
        ((22, 3), False, False, "pip"),
        ((22, 2), True, True, "ensurepip"),
        ((), True, False, "ensurepip"),
        ((), False, True, "uv"),
        ((9, 0), False, True, "uv"),
    ],
)
def test_which_installer(
    monkeypatch: pytest.MonkeyPatch, pip: tuple[int, ...], ensurepip: bool, uv: bool, chosen: str
) -> None:
    pretend(monkeypatch, "pip_version", lambda: pip)
    monkeypatch.setattr(importlib.util, "find_spec", lambda name: SimpleNamespace() if ensurepip else None)
    monkeypatch.setattr(shutil, "which", lambda name: "/bin/uv" if uv else None)
    assert dev.choose_installer() == chosen


@pytest.mark.parametrize(("pip", "words"), [((), "has no pip"), ((9, 0), "has pip 9.0")])
def test_no_installer_says_what_to_do(
    monkeypatch: pytest.MonkeyPatch, pip: tuple[int, ...], words: str
) -> None:
    pretend(monkeypatch, "pip_version", lambda: pip)
    monkeypatch.setattr(importlib.util, "find_spec", lambda name: None)
    monkeypatch.setattr(shutil, "which", lambda name: None)
    with pytest.raises(dev.SetupError, match=f"{words}; pip 22.3 or newer is needed"):
        dev.choose_installer()


@pytest.mark.parametrize(
    ("text", "version"), [("23.0.1", (23, 0)), ("9.0", (9, 0)), ("26.1rc2", (26, 12)), ("24", (24,))]
)
def test_pip_versions_are_numbers(
    monkeypatch: pytest.MonkeyPatch, text: str, version: tuple[int, ...]
) -> None:
    monkeypatch.setattr(importlib.util, "find_spec", lambda name: SimpleNamespace())
    monkeypatch.setattr(importlib.metadata, "version", lambda name: text)
    assert dev.pip_version() == version


def test_every_installer_gets_the_environments_python() -> None:
    python = Path("/e n v/bin/python")
    for installer in ("pip", "ensurepip", "uv"):
        command = dev.install_command(installer, python)
        assert str(python) in command
        assert "install" in command


@pytest.mark.parametrize(
    ("system", "tail"), [("nt", ("Scripts", "python.exe")), ("posix", ("bin", "python"))]
)
def test_where_the_python_lies(monkeypatch: pytest.MonkeyPatch, system: str, tail: tuple[str, str]) -> None:
    place = Path("env")
    monkeypatch.setattr(dev, "WINDOWS", system == "nt")
    assert dev.interpreter(place).parts == ("env", *tail)


def test_what_would_lead_an_installation_astray_is_left_out(monkeypatch: pytest.MonkeyPatch) -> None:
    for name in ("PYTHONPATH", "PYTHONHOME", "PIP_TARGET", "PIP_PREFIX"):
        monkeypatch.setenv(name, "/elsewhere")
    monkeypatch.setenv("PIP_USER", "1")
    monkeypatch.setenv("PIP_INDEX_URL", "https://packages.example/simple")
    environment = dev.clean_environment()
    assert "/elsewhere" not in environment.values()
    assert environment["PIP_USER"] == "0"
    assert environment["PIP_INDEX_URL"] == "https://packages.example/simple"


# --- set-up and its stamp ----------------------------------------------------------------------------------


def test_set_up_once_then_never_again(place: Path, installed: list[list[str]]) -> None:
    python = dev.set_up("run")
    assert python.exists()
    assert len(installed) == 2
    assert "--require-hashes" in installed[0]
    assert installed[0][-1] == str(ROOT / "requirements.lock")
    assert installed[1][-2:] == ["-e", str(ROOT)]
    assert dev.set_up("run") == python
    assert len(installed) == 2


def test_what_testing_needs_holds_what_running_needs(place: Path, installed: list[list[str]]) -> None:
    dev.set_up("dev")
    dev.set_up("run")
    assert len(installed) == 2
    assert _names("requirements.lock") <= _names("requirements-dev.lock")


def _names(lock: str) -> set[str]:
    lines = (ROOT / lock).read_text(encoding="utf-8").splitlines()
    return {line.rstrip(" \\") for line in lines if line[:1].isalpha()}


def test_running_first_is_added_to_by_testing(place: Path, installed: list[list[str]]) -> None:
    dev.set_up("run")
    (place / "kept").touch()
    dev.set_up("dev")
    assert len(installed) == 4
    assert (place / "kept").exists()
    dev.set_up("run")
    assert len(installed) == 4


def test_an_unfinished_set_up_leaves_no_stamp_and_is_made_afresh(
    place: Path, installed: list[list[str]], monkeypatch: pytest.MonkeyPatch
) -> None:
    def fail(command: list[str]) -> None:
        raise dev.SetupError("no network")

    with monkeypatch.context() as broken:
        broken.setattr(dev, "install", fail)
        with pytest.raises(dev.SetupError):
            dev.set_up("run")
    assert not list(place.glob(".stamp-*"))
    (place / "half a package").touch()
    dev.set_up("run")
    assert not (place / "half a package").exists()
    assert len(installed) == 2


def test_a_failed_addition_forgets_the_earlier_stamp(
    place: Path, installed: list[list[str]], monkeypatch: pytest.MonkeyPatch
) -> None:
    dev.set_up("run")
    monkeypatch.setattr(dev, "install", lambda command: 1 / 0)
    with pytest.raises(ZeroDivisionError):
        dev.set_up("dev")
    assert not dev.is_ready(dev.environment_place(), "run")


@pytest.mark.parametrize("harm", ["python gone", "moved", "other Python", "marker gone"])
def test_a_broken_or_moved_environment_is_made_afresh(
    place: Path, installed: list[list[str]], monkeypatch: pytest.MonkeyPatch, harm: str
) -> None:
    python = dev.set_up("run")
    (place / "old").touch()
    if harm == "python gone":
        python.unlink()
    elif harm == "moved":
        place = place.rename(place.with_name("moved"))
        monkeypatch.setenv("BAGWRIGHT_VENV", str(place))
    elif harm == "other Python":
        monkeypatch.setattr(sys, "version", "3.99.0 (another)")
    else:
        (place / dev.MARKER).unlink()
        (place / ".stamp-run").write_text("of another lock", encoding="utf-8")
    assert dev.set_up("run").exists()
    assert not (place / "old").exists()
    assert len(installed) == 4


def test_another_lock_or_project_table_asks_for_another_set_up(
    place: Path, installed: list[list[str]], monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    clone = tmp_path / "clone"
    clone.mkdir()
    for name in ("pyproject.toml", *dev.LOCKS.values()):
        (clone / name).write_bytes((ROOT / name).read_bytes())
    monkeypatch.setattr(dev, "ROOT", clone)
    settings = clone / "pyproject.toml"
    first = dev.wanted(place, "run")
    settings.write_text(settings.read_text("utf-8").replace("line-length = 110", "line-length = 99"), "utf-8")
    assert dev.wanted(place, "run") == first, "the style of the code installs nothing"
    settings.write_text(settings.read_text("utf-8").replace('version = "', 'version = "9'), "utf-8")
    second = dev.wanted(place, "run")
    assert second != first
    with (clone / "requirements.lock").open("a", encoding="utf-8") as lock:
        lock.write("# another\n")
    assert dev.wanted(place, "run") != second


def test_a_folder_that_is_no_environment_is_never_emptied(
    place: Path, installed: list[list[str]], capsys: pytest.CaptureFixture[str]
) -> None:
    place.mkdir(parents=True)
    (place / "letter.txt").write_text("dear", encoding="utf-8")
    assert dev.main(["run"]) == 3
    assert (place / "letter.txt").read_text(encoding="utf-8") == "dear"
    assert not installed
    assert "BAGWRIGHT_VENV" in capsys.readouterr().err


def test_a_place_that_cannot_be_written_is_named(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    (tmp_path / "file").touch()
    monkeypatch.setenv("BAGWRIGHT_VENV", str(tmp_path / "file" / "env"))
    assert dev.main(["run"]) == 3
    assert str(tmp_path / "file") in capsys.readouterr().err


def test_set_up_speaks_on_standard_error_only(
    place: Path, installed: list[list[str]], capfd: pytest.CaptureFixture[str]
) -> None:
    dev.set_up("run")
    out, err = capfd.readouterr()
    assert out == ""
    assert "Setting up" in err
    assert "Ready after" in err


def test_an_installers_words_go_to_standard_error(capfd: pytest.CaptureFixture[str]) -> None:
    dev.install([sys.executable, "-c", "print('fetching')"])
    out, err = capfd.readouterr()
    assert out == ""
    assert "fetching" in err


def test_a_failed_installation_says_what_to_do() -> None:
    with pytest.raises(dev.SetupError, match="needs the network"):
        dev.install([sys.executable, "-c", "raise SystemExit(1)"])


def test_ctrl_c_is_a_code_of_its_own(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    def interrupted(kind: str) -> Path:
        raise KeyboardInterrupt

    pretend(monkeypatch, "set_up", interrupted)
    assert dev.main(["run"]) == 130
    assert "Stopped" in capsys.readouterr().err


@pytest.mark.skipif(os.name == "nt", reason="signals of POSIX")
def test_ctrl_c_ends_the_installer_without_a_traceback(tmp_path: Path) -> None:
    script = (
        "import signal, sys, dev\n"
        "signal.signal(signal.SIGINT, signal.default_int_handler)  # ignored in a background job\n"
        "slow = 'import time; print(1, flush=True); time.sleep(60)'\n"
        "def set_up(kind): dev.install([sys.executable, '-c', slow])\n"
        "dev.set_up = set_up\n"
        "sys.exit(dev.main(['run']))\n"
    )
    with subprocess.Popen(
        [sys.executable, "-c", script], cwd=ROOT, stderr=subprocess.PIPE, stdout=subprocess.PIPE, text=True
    ) as process:
        try:
            assert process.stderr is not None
            assert process.stderr.readline() == "1\n"
            process.send_signal(signal.SIGINT)
            out, err = process.communicate(timeout=20)
        finally:
            process.kill()
    assert process.returncode == 130
    assert out == ""
    assert "Traceback" not in err


@pytest.mark.skipif(os.name == "nt", reason="the lock is tried from a second process")
def test_two_starts_do_not_set_up_at_once(tmp_path: Path) -> None:
    lock = tmp_path / "env.lock"
    ask = (
        f"import dev; from pathlib import Path; l = dev.Lock(Path({str(lock)!r})); l.open(); print(l.taken())"
    )

    def answer() -> str:
        return subprocess.run(
            [sys.executable, "-c", ask], cwd=ROOT, capture_output=True, text=True, check=True
        ).stdout.strip()

    with dev.Lock(lock):
        assert answer() == "False"
    assert answer() == "True"
