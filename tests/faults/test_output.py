"""Tables that are written: no text is a formula to a spreadsheet, numbers stay numbers, all comes back."""

from __future__ import annotations

import csv
import io
from pathlib import Path

import numpy as np
import pytest

from bagwright.shots.answers import Answers
from bagwright.shots.read import read_shots
from bagwright.shots.record import Mark, Shot, ShotTable
from bagwright.shots.write import shots_as_csv, write_shots

STARTS = ("=", "+", "-", "@", "\t", "\r", "\n", "＝", "＋", "－", "＠", "'")
"""What begins a formula for a spreadsheet (OWASP, CSV Injection; from memory), its twins, our own mark."""


def hostile(start: str) -> ShotTable:
    text = f"{start}cmd|' /C calc'!A0"
    one = Shot(text, 1, setting=text, ball=text, note=text, carry_m=86.8, offline_m=-3.2)
    two = Shot("7 iron", 2, carry_m=140.0, offline_m=3.2, mark=Mark("mishit", text, text))
    return ShotTable.of([one, two])


@pytest.mark.parametrize("start", STARTS)
def test_no_text_cell_begins_like_a_formula_and_a_negative_number_stays_one(start: str) -> None:
    rows = list(csv.DictReader(io.StringIO(shots_as_csv(hostile(start), "metres"))))
    assert float(rows[0]["offline_m"]) == -3.2
    for row in rows:
        for name, cell in row.items():
            if name.endswith("_m"):
                float(cell)
            else:
                assert cell[:1] not in (*STARTS[:-1],), (name, cell)


@pytest.mark.parametrize("start", ["=", "+", "-", "@", "＝", "'"])
def test_what_was_written_is_read_back_as_it_was(start: str, tmp_path: Path) -> None:
    table = hostile(start)
    write_shots(table, tmp_path / "out.csv")
    back = read_shots(tmp_path / "out.csv", answers=Answers({"figures": "as measured"})).table
    assert back.n == table.n
    for name in ("club", "note", "ball"):
        assert list(back.text(name)) == list(table.text(name)), name
    for name in ("carry_m", "offline_m"):
        assert np.array_equal(back.measures[name], table.measures[name])
