"""The picture of growth is read from what the bench prints; another text is refused."""

from __future__ import annotations

import pytest

from bench.plot_growth import picture, read

PRINTED = """2026-12-01; a machine
-- growth
hole 12: 35000 cells, 1.70 s of processor
hole 5: 60000 cells, 2.40 s of processor
hole 5, 4 clubs x 1 swings (62 shots): 5.4060, 1.30 s
hole 5, 13 clubs x 1 swings (74 shots): 5.3460, 1.50 s
hole 5, 13 clubs x 3 swings (100 shots): 5.3350, 1.75 s
3 holes: 5.50 s of processors
9 holes: 18.00 s of processors
"""


def test_every_figure_of_a_run_is_in_the_picture() -> None:
    found = read(PRINTED)
    assert found["cells of a hole"] == [(35000.0, 1.7), (60000.0, 2.4)]
    assert found["clubs, one swing each"] == [(4, 1.3), (13, 1.5)]
    assert found["swings of 13 clubs"] == [(1, 1.5), (3, 1.75)]
    assert found["holes"] == [(3.0, 5.5), (9.0, 18.0)]
    svg = picture(found, "2026-12-01; a machine")
    for words in ("cells of a hole", "swings of 13 clubs", "holes", "2026-12-01; a machine"):
        assert words in svg


def test_another_text_is_no_run() -> None:
    with pytest.raises(ValueError, match="no growth by holes"):
        read(PRINTED.replace("9 holes", "nine holes"))
