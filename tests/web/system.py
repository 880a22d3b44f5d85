"""What the tests may add to the machine: Debian packages, where nobody keeps anything."""

from __future__ import annotations

import os
import shutil
import subprocess
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

LIMIT_S = 300


def installed(package: str, *, asked: bool = False) -> bool:
    """Install a Debian package, quietly; only as root, and only in CI or where somebody `asked` for it.

    Workers that run side by side take turns: Debian's own lock would make the second one skip its tests.
    """
    if not (asked or os.environ.get("CI") == "true") or shutil.which("apt-get") is None or os.geteuid() != 0:
        return False
    quiet = {**os.environ, "DEBIAN_FRONTEND": "noninteractive"}
    with _one_at_a_time():
        for words in (["update", "-qq"], ["install", "-y", "-qq", "--no-install-recommends", package]):
            try:
                subprocess.run(
                    ["apt-get", *words], env=quiet, capture_output=True, check=True, timeout=LIMIT_S
                )
            except (subprocess.CalledProcessError, subprocess.TimeoutExpired):
                return False
    return True


@contextmanager
def _one_at_a_time() -> Iterator[None]:
    """Hold a lock that every worker of this machine's root takes; the system frees it with its holder."""
    import fcntl  # not there under Windows, which has no apt-get either

    with (Path(tempfile.gettempdir()) / "bagwright-tests-apt.lock").open("w") as held:
        fcntl.flock(held, fcntl.LOCK_EX)
        yield
