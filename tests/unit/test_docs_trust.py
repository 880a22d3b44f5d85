"""docs/trust.md names tests: every one exists, and every row names one."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]
TEXT = (ROOT / "docs" / "trust.md").read_text(encoding="utf-8")
ROWS = [line for line in TEXT.splitlines() if line.startswith("| ") and not line.startswith("| if |")]
NAMED = re.findall(r"`([\w/]+\.py)::(\w+)`", TEXT)


def test_every_row_names_its_tests() -> None:
    assert len(ROWS) >= 25
    assert [row for row in ROWS if "::" not in row] == []
    # A name that is not written as the pattern wants it would be looked for nowhere.
    assert TEXT.count("::") == len(NAMED)


@pytest.mark.parametrize(("path", "name"), NAMED)
def test_a_named_test_exists(path: str, name: str) -> None:
    found = (ROOT / "tests" / path).read_text(encoding="utf-8")
    assert re.search(rf"^def {name}\(", found, re.MULTILINE)
