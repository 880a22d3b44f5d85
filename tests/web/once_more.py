"""A run of tests within a test: on another database, which is chosen when Django starts."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]
LIMIT_S = 800


def once_more(postgres_url: str, *tests: str) -> None:
    """Run tests on that server, in a process of their own: the database is chosen when Django starts."""
    if "TEST_DATABASE_URL" in os.environ:
        pytest.skip("this whole run is on PostgreSQL already")
    # It has no workers and no options of the run that it is part of.
    mine = {
        name: value for name, value in os.environ.items() if not name.startswith(("PYTEST_", "DATABASE_"))
    }
    done = subprocess.run(
        [sys.executable, "-m", "pytest", "-q", "-p", "no:cacheprovider", *tests],
        cwd=ROOT,
        env={**mine, "TEST_DATABASE_URL": postgres_url},
        capture_output=True,
        text=True,
        check=False,
        timeout=LIMIT_S,
    )
    assert done.returncode == 0, done.stdout[-4000:]
