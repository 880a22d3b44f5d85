"""One line of facts that stands above every measurement: date, machine, versions."""

import os
import platform
import sys
from datetime import UTC, datetime
from importlib.metadata import PackageNotFoundError, version
from pathlib import Path


def processor() -> str:
    """Name the processor as the system does, or say that it is unknown."""
    listing = Path("/proc/cpuinfo")
    if listing.is_file():
        for line in listing.read_text(encoding="utf-8", errors="replace").splitlines():
            if line.startswith("model name"):
                return line.partition(":")[2].strip()
    return platform.processor() or "unknown processor"


def versions(*packages: str) -> str:
    """List packages with their versions; a missing one is said to be missing."""
    return ", ".join(f"{name} {_version(name)}" for name in packages)


def _version(name: str) -> str:
    try:
        return version(name)
    except PackageNotFoundError:
        return "(missing)"


def machine() -> str:
    """Describe date, system, processor, cores and Python in one line."""
    today = datetime.now(UTC).date().isoformat()
    return (
        f"{today}; {platform.system()} {platform.machine()}; {processor()}; "
        f"{os.cpu_count()} cores; CPython {sys.version.split()[0]}"
    )


def banner(*packages: str) -> None:
    """Print the facts; call it first in every bench."""
    print(machine())
    print(versions("bagwright", "numpy", "scipy", *packages))
