"""The scripts of other projects that the pages carry are the very bytes that their account names."""

from __future__ import annotations

import hashlib
import json
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]
PLACES = (ROOT / "src/bagwright/web/static/bagwright/vendor", ROOT / "tests/web/vendor")
ENTRIES = [
    (place, entry) for place in PLACES for entry in json.loads((place / "VENDOR.json").read_text("utf-8"))
]


@pytest.mark.parametrize(("place", "entry"), ENTRIES, ids=[entry["file"] for _, entry in ENTRIES])
def test_a_vendored_file_has_its_hash_and_its_licence(place: Path, entry: dict[str, str]) -> None:
    content = (place / entry["file"]).read_bytes()
    assert hashlib.sha256(content).hexdigest() == entry["sha256"]
    assert (place / f"LICENSE-{entry['package']}.txt").read_text("utf-8").strip()
    assert b"//# sourceMappingURL" not in content


@pytest.mark.parametrize("place", PLACES, ids=["screens", "tests"])
def test_nothing_lies_there_that_the_account_does_not_name(place: Path) -> None:
    named = {entry["file"] for p, entry in ENTRIES if p == place}
    scripts = {path.name for path in place.iterdir() if path.suffix in (".js", ".css", ".mjs")}
    assert scripts == named


def test_the_licences_of_what_the_chart_library_is_made_of_are_there() -> None:
    """Its one file holds some twenty other projects' code, and their licences ask to come along."""
    said = (PLACES[0] / "LICENSE-vega-parts.txt").read_text("utf-8")
    parts = {line.removeprefix("== ") for line in said.splitlines() if line.startswith("== ")}
    assert parts >= {"d3-array", "d3-geo", "d3-scale-chromatic", "delaunator", "topojson-client"}
    assert said.count("Permission to use, copy, modify") >= 20
    assert "Apache License" in said
