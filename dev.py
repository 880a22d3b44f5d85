#!/usr/bin/env python3
"""Set up and run, or set up and test, from a fresh clone with nothing but Python 3.11 or newer and pip.

    python3 dev.py run  [words for bagwright]    without words: the demo
    python3 dev.py test [words for pytest]       ruff, mypy, import-linter, then pytest

Under Windows: `py dev.py run`. The packages go into `.venv` beside this file, or into the folder that the
environment variable BAGWRIGHT_VENV names; nothing is installed anywhere else. Set-up happens once, and again
when the locked packages, the Python or the place of the clone have changed. What it has to say goes to
standard error.
"""

import sys

if sys.version_info < (3, 11):  # noqa: UP036  before anything that an older Python cannot read
    sys.stderr.write(
        "Python 3.11 or newer is needed; this is Python {}.{}.{} ({}).\n"
        "Get one from your system's packages or from python.org, then start dev.py with it.\n".format(
            *sys.version_info[:3], sys.executable
        )
    )
    sys.exit(2)

import hashlib
import importlib.metadata
import importlib.util
import os
import shutil
import signal
import subprocess
import time
import tomllib
import venv
from pathlib import Path

OLDEST_PIP = (22, 3)  # the first with `pip --python`
ROOT = Path(__file__).resolve().parent
LOCKS = {"run": "requirements.lock", "dev": "requirements-dev.lock"}  # dev holds all that run does
SIZE_MB = {"run": 195, "dev": 290}
MARKER = "made-by-dev.py"
LEADS_ASTRAY = (
    *("PYTHONHOME", "PYTHONPATH"),
    *("PIP_TARGET", "PIP_PREFIX", "PIP_ROOT", "PIP_REQUIRE_HASHES", "PIP_QUIET"),
)
WINDOWS = os.name == "nt"
MOST_WORKERS = 4
BAD_USE, MACHINE_FAILED, INTERRUPTED = 2, 3, 130

CHECKS = (
    ("ruff check", ["-m", "ruff", "check", "."]),
    ("ruff format", ["-m", "ruff", "format", "--check", "."]),
    ("mypy", ["-m", "mypy"]),
    ("import-linter", ["-c", "from importlinter.cli import lint_imports_command as run; run()"]),
)


class SetupError(Exception):
    """Set-up could not be finished; the text says why and what to do next."""


def main(words: list[str]) -> int:
    """Route the words of the command line and return the exit code."""
    if not words or words[0] in ("-h", "--help") or words[0] not in ("run", "test"):
        print(__doc__, file=sys.stdout if words[:1] in (["-h"], ["--help"]) else sys.stderr)
        return 0 if words[:1] in (["-h"], ["--help"]) else BAD_USE
    try:
        python = set_up("dev" if words[0] == "test" else "run")
        return test(python, words[1:]) if words[0] == "test" else run(python, words[1:])
    except SetupError as problem:
        say(f"Set-up stopped: {problem}")
    except OSError as problem:
        say(f"Set-up stopped: {problem}")
        say("Free some room, or name a folder you may write to in the environment variable BAGWRIGHT_VENV.")
    except KeyboardInterrupt:
        say("Stopped. The next start picks up from here.")
        return INTERRUPTED
    return MACHINE_FAILED


def say(text: str) -> None:
    """Print a line for the person, never mixed into the program's own output."""
    print(text, file=sys.stderr, flush=True)


# --- the two words ---------------------------------------------------------------------------------------


def run(python: Path, words: list[str]) -> int:
    """Become the program; without words, the demo."""
    command = [str(python), "-m", "bagwright", *(words or ["demo"])]
    if WINDOWS:  # there, exec would give the prompt back before the program has ended
        return wait_for(command, cwd=None)
    sys.stdout.flush()
    os.execve(command[0], command, clean_environment())  # noqa: S606  the interpreter that set_up has just made


def test(python: Path, words: list[str]) -> int:
    """Run every check even if one fails; pytest comes last, so that its closing line is the last line."""
    failed = []
    for name, arguments in CHECKS:
        say(f"== {name}")
        if wait_for([str(python), *arguments], cwd=ROOT):
            failed.append(name)
    say(
        f"== pytest (failed before it: {', '.join(failed)}; the exit code will say so)"
        if failed
        else "== pytest"
    )
    return wait_for([str(python), "-m", "pytest", *side_by_side(), *words], cwd=ROOT) or int(bool(failed))


def side_by_side() -> list[str]:
    """Return pytest's words for one worker a core, each with whole files; more than four crowd a browser out.

    Files go in the order of tests/conftest.py, the longest first: no worker is left with one at the end.
    Words of the command line come after them, so that `test -n 0 --pdb` runs everything in one process.
    """
    workers = min(os.cpu_count() or 1, MOST_WORKERS)
    together = ["-n", str(workers), "--dist", "loadfile", "--no-loadscope-reorder"]
    return together if workers > 1 else []


def wait_for(command: list[str], cwd: Path | None) -> int:
    """Run a command to its end. Ctrl-C reaches it too: it may stop by itself, a second one ends it."""
    process = subprocess.Popen(command, cwd=cwd, env=clean_environment())
    try:
        return process.wait()
    except KeyboardInterrupt:
        try:
            process.wait(timeout=10)
        except (KeyboardInterrupt, subprocess.TimeoutExpired):
            process.kill()
            process.wait()
        raise


# --- set-up ----------------------------------------------------------------------------------------------


def set_up(kind: str) -> Path:
    """Make the virtual environment ready for `run` or `dev` and return its Python."""
    place = environment_place()
    python = interpreter(place)
    if is_ready(place, kind):
        return python
    started = time.monotonic()
    place.parent.mkdir(parents=True, exist_ok=True)
    with Lock(place.with_name(place.name + ".lock")):
        if not is_ready(place, kind):  # another start may have done it while this one waited
            installer = choose_installer()
            if not can_grow(place):
                create(place, with_pip=installer == "ensurepip")
            fill(place, kind, installer)
            say(f"Ready after {time.monotonic() - started:.0f} s.")
    return python


def environment_place() -> Path:
    """Say where the environment lies: beside this file, or where BAGWRIGHT_VENV says."""
    return Path(os.environ.get("BAGWRIGHT_VENV") or ROOT / ".venv").absolute()


def interpreter(place: Path) -> Path:
    """Say where a virtual environment keeps its Python on this system."""
    return place / "Scripts" / "python.exe" if WINDOWS else place / "bin" / "python"


def identity(place: Path) -> str:
    """Name what a virtual environment cannot outlive: this Python, its own place, the clone's place."""
    return "\n".join([sys.version, sys.base_prefix, str(place), str(ROOT)])


def wanted(place: Path, kind: str) -> str:
    """Hash all that decides what must be installed: the lock, and what the clone says of itself."""
    settings = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))
    clone = repr((settings["build-system"], settings["project"], settings["tool"]["hatch"]))
    lock = (ROOT / LOCKS[kind]).read_text(encoding="utf-8")
    return hashlib.sha256("\0".join([identity(place), clone, lock]).encode()).hexdigest()


def is_ready(place: Path, kind: str) -> bool:
    """Tell whether all is installed: the stamp is the last thing that set-up writes."""
    if not interpreter(place).exists():
        return False
    kinds = ["dev"] if kind == "dev" else ["run", "dev"]
    return any(read(place / f".stamp-{each}") == wanted(place, each) for each in kinds)


def can_grow(place: Path) -> bool:
    """Tell whether this very Python made the environment at this very place and finished it once."""
    finished = any(place.glob(".stamp-*"))
    return finished and interpreter(place).exists() and read(place / MARKER) == identity(place)


def read(path: Path) -> str | None:
    """Return the text of a small file, or None where there is none."""
    return path.read_text(encoding="utf-8") if path.is_file() else None


def create(place: Path, with_pip: bool) -> None:
    """Make the environment afresh; never empty a folder that is not one."""
    if place.exists() and any(place.iterdir()):
        if not (place / MARKER).exists() and not (place / "pyvenv.cfg").exists():
            raise SetupError(
                f"{place} is not empty and not a virtual environment; name another folder in BAGWRIGHT_VENV."
            )
        say(f"Making {place} afresh: it was made for another Python or place, or not finished.")
    builder = venv.EnvBuilder(with_pip=with_pip, clear=place.exists(), symlinks=not WINDOWS)
    builder.create(place)
    (place / MARKER).write_text(identity(place), encoding="utf-8")


def fill(place: Path, kind: str, installer: str) -> None:
    """Install the locked packages, each checked against its hash, then this clone; stamp at the very end."""
    say(f"Setting up in {place}: the packages of {LOCKS[kind]}, about {SIZE_MB[kind]} MB, fetched once ...")
    for stamp in place.glob(".stamp-*"):
        stamp.unlink()
    command = install_command(installer, interpreter(place))
    install([*command, "--require-hashes", "-r", str(ROOT / LOCKS[kind])])
    install([*command, "--no-deps", "--no-build-isolation", "-e", str(ROOT)])
    unfinished = place / "stamp-unfinished"
    unfinished.write_text(wanted(place, kind), encoding="utf-8")
    unfinished.replace(place / f".stamp-{kind}")


def choose_installer() -> str:
    """Choose pip of this Python; if it is missing or too old, the one packed with Python, or uv."""
    version = pip_version()
    if version >= OLDEST_PIP:
        return "pip"
    if importlib.util.find_spec("ensurepip"):
        return "ensurepip"
    if shutil.which("uv"):
        return "uv"
    has = "has pip {}.{}".format(*version) if version else "has no pip"
    raise SetupError(
        f"{sys.executable} {has}; pip 22.3 or newer is needed.\n"
        "Debian and Ubuntu: apt install python3-pip; elsewhere: see pip.pypa.io, Installation."
    )


def pip_version() -> tuple[int, ...]:
    """Return major and minor version of this Python's pip, () if it has none."""
    if not importlib.util.find_spec("pip"):
        return ()
    try:
        found = importlib.metadata.version("pip")
    except importlib.metadata.PackageNotFoundError:
        return ()
    return tuple(int("".join(filter(str.isdigit, part)) or 0) for part in found.split(".")[:2])


def install_command(installer: str, python: Path) -> list[str]:
    """Return the words that begin every installation into the environment."""
    if installer == "uv":
        return ["uv", "pip", "install", "--quiet", "--python", str(python)]
    if installer == "ensurepip":
        return [str(python), "-m", "pip", "install", "--quiet"]
    return [sys.executable, "-m", "pip", "--python", str(python), "install", "--quiet"]


def install(command: list[str]) -> None:
    """Run one installation, with everything it says on standard error.

    It runs in a session of its own, so that Ctrl-C ends it from here without a traceback, and it inherits the
    lock: should this start be killed, the next one waits until no installer writes any more.
    """
    process = subprocess.Popen(
        command,
        env=clean_environment(),
        stdout=sys.stderr.fileno(),
        start_new_session=True,
        close_fds=False,
    )
    try:
        failed = process.wait()
    except KeyboardInterrupt:
        end(process)
        raise
    if failed:
        raise SetupError(
            "a package could not be installed (the reason stands above).\n"
            "The first start needs the network, or a package index of your own in pip's settings."
        )


def end(process: subprocess.Popen[bytes]) -> None:
    """End an installer and whatever it has started."""
    if sys.platform == "win32":
        process.terminate()
    else:
        os.killpg(process.pid, signal.SIGTERM)
    process.wait()


def clean_environment() -> dict[str, str]:
    """Return the environment without what would lead an installation or a run to another place."""
    kept = {name: value for name, value in os.environ.items() if name.upper() not in LEADS_ASTRAY}
    return {**kept, "PIP_USER": "0", "PIP_REQUIRE_VIRTUALENV": "0", "PIP_DISABLE_PIP_VERSION_CHECK": "1"}


class Lock:
    """A file that one start at a time may hold; the system frees it when the holder ends, however it ends."""

    def __init__(self, path: Path) -> None:
        self.path = path

    def open(self) -> None:
        """Open the file, so that installers started from here hold on to it too."""
        self.file = self.path.open("a+b")
        os.set_inheritable(self.file.fileno(), True)

    def __enter__(self) -> None:
        self.open()
        if self.taken():
            return
        say("Another set-up is running here; waiting for it ...")
        while not self.taken():
            time.sleep(0.2)

    def taken(self) -> bool:
        """Try to take it, and tell whether this start holds it."""
        try:
            if sys.platform == "win32":
                import msvcrt

                self.file.seek(0)
                msvcrt.locking(self.file.fileno(), msvcrt.LK_NBLCK, 1)
            else:
                import fcntl

                fcntl.flock(self.file, fcntl.LOCK_EX | fcntl.LOCK_NB)
        except (BlockingIOError, PermissionError):  # held; any other failure is one to be told
            return False
        return True

    def __exit__(self, *_: object) -> None:
        self.file.close()


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
