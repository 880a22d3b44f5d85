"""Data folders for the tests of failures."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest

from tests.faults.children import SETUP, child


@pytest.fixture(scope="module")
def begun(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A data folder with one player, one club and one visit; every test works on a copy of it."""
    made = tmp_path_factory.mktemp("begun")
    done = child(SETUP, made)
    _, errors = done.communicate(timeout=60)
    assert done.returncode == 0, errors
    return made


@pytest.fixture
def folder(begun: Path, tmp_path: Path) -> Path:
    made = tmp_path / "data"
    shutil.copytree(begun, made)
    return made
