"""What the tests may add to the machine: Debian packages, where nobody keeps anything."""

from __future__ import annotations

import os
import shutil
import subprocess

LIMIT_S = 300


def installed(package: str, *, asked: bool = False) -> bool:
    """Install a Debian package, quietly; only as root, and only in CI or where somebody `asked` for it."""
    if not (asked or os.environ.get("CI") == "true") or shutil.which("apt-get") is None or os.geteuid() != 0:
        return False
    quiet = {**os.environ, "DEBIAN_FRONTEND": "noninteractive"}
    for words in (["update", "-qq"], ["install", "-y", "-qq", "--no-install-recommends", package]):
        try:
            subprocess.run(["apt-get", *words], env=quiet, capture_output=True, check=True, timeout=LIMIT_S)
        except (subprocess.CalledProcessError, subprocess.TimeoutExpired):
            return False
    return True
