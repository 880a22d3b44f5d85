"""The hole sheet's figures as the printer gets them: what did not come to rest is marked in its row."""

from __future__ import annotations

import datetime

import numpy as np

from bagwright.report.strokes.plan import Step
from bagwright.report.strokes.round import Round
from bagwright.report.strokes.sheet import Sheet, sheet_data
from bagwright.strokes.patterns import Shot
from bagwright.strokes.result import HoleStrokes, Strokes


def hole(number: int, strokes: float, converged: bool) -> HoleStrokes:
    nothing = np.zeros((2, 2), np.float32)
    return HoleStrokes(
        number=number,
        par=3,
        stroke_index=None,
        tee="white",
        length_m=150.0,
        tee_m=(0.0, 0.0),
        pin_m=(150.0, 0.0),
        corner_m=(0.0, 0.0),
        cell_m=1.0,
        strokes=strokes,
        sd=1.0,
        rounds=100,
        error_bound=0.01,
        residual=0.0,
        change=0.0,
        converged=converged,
        sweeps=9,
        cells=4,
        seconds=0.1,
        first=(0, 0.0),
        demand=(),
        value=nothing,
        shot=nothing.astype(np.int16),
        aim=nothing,
    )


def data(*holes: HoleStrokes) -> tuple[list[str], list[str]]:
    """Strokes of every row and of the round, and the notes."""
    found = Round(Strokes(holes, (), (), 0.1), {}, 3 * len(holes))
    sheet = Sheet("Robin Example", "Moorfield", "white", (("calm", found),))
    told = sheet_data(sheet, datetime.date(2026, 5, 9), "a4", "yards")
    return [row[-1] for row in (*told["rows"], told["total"])], told["notes"]


def test_a_hole_that_did_not_come_to_rest_is_marked_in_its_row() -> None:
    strokes, notes = data(hole(1, 3.4, True), hole(2, 7.25, False))
    # The round: 3.40 + 7.25 = 10.65.
    assert strokes == ["3.40", "≈ 7.25", "≈ 10.7"]
    assert [note for note in notes if note.startswith("≈")] == [notes[-1]]


def test_a_round_at_rest_carries_no_mark() -> None:
    strokes, notes = data(hole(1, 3.4, True))
    assert strokes == ["3.40", "3.4"]
    assert not [note for note in notes if "≈" in note]


def test_a_partial_shot_is_printed_in_the_reader_s_unit() -> None:
    shot = Shot("58 wedge", "stock", 18.0)
    step = Step((0.0, 0.0), 0, 0, "58 wedge", shot.words, 0.0, (18.0, 0.0), 2, 18.0, 0.0, 0.0, 2.4)
    found = Round(Strokes((hole(1, 2.4, True),), (shot,), (), 0.1), {1: (step,)}, 3)
    sheet = Sheet("Robin Example", "Moorfield", "white", (("calm", found),))
    printed = {
        system: sheet_data(sheet, datetime.date(2026, 5, 9), "a4", system)["rows"][0][4]
        for system in ("yards", "metres")
    }
    # A yard is 0.9144 m exactly: 18 m are 19.7 yd.
    assert printed == {"yards": "58 wedge 20 yd", "metres": "58 wedge 18 m"}
    assert shot.words == "58 wedge 18 m"
