"""The solver on a card: what holds without one, and (marked `card`) its answer against the processor's."""

from __future__ import annotations

import re
import sys
from typing import Any

import numpy as np
import pytest

from bagwright.errors import MachineError
from bagwright.strokes import _kernel_search, blur, fields, hole, solve
from bagwright.strokes import states as states_of
from bagwright.strokes.card import driver, layout, who
from bagwright.strokes.cells import cells_of
from bagwright.strokes.on_card import CardHole, CourseOnCard, expected_strokes_on_card, finished, library
from bagwright.strokes.probes import player_of
from tests.unit.strokes import factory

DEFINED = dict(re.findall(r"^#define (\w+) ([\d.e+-]+)f?$", driver.source(), re.M))

RASTERS = [factory.hole(4, hills=True), factory.hole(3, par=3)]


def test_the_kernels_hold_the_processors_numbers() -> None:
    """The source on the card has its own copies: each is one of the processor's."""
    expected: dict[str, Any] = {
        "LEVELS": blur.WIDTHS, "KEPT_CELLS": solve.KEPT, "AIMS": len(hole.AIMS),
        "HOPELESS": hole.HOPELESS, "SHORT": hole.SHORT, "SHORT_NEAR": hole.SHORT_NEAR,
        "OVER": hole.OVER, "STILL": hole.STILL, "STEP": hole.STEP, "PAD": blur.PAD[1],
        "TOP": fields.TOP, "FULL_SCALE": fields.FULL_SCALE, "TILE": layout.TILE,
        "TAPS": layout.TAPS, "LIES": 6, "CONSTANT": 1, "RELIEF": 2, "FLAG": 3, "PLAYED": 0,
        "MOST_SHOTS": driver.MOST_SHOTS, "SHARES": driver.SHARES, "CELL_LANES": driver.CELL_LANES,
    }  # fmt: skip
    for name, number in expected.items():
        assert float(DEFINED[name]) == pytest.approx(float(number), rel=1e-6), name
    assert np.float32(hole.HOPELESS) == _kernel_search.HOPELESS
    # The card keeps fewer candidates than the processor, and only nearer ones.
    assert float(DEFINED["KEPT"]) <= _kernel_search.KEPT
    assert float(DEFINED["CLOSE"]) <= hole.CLOSE
    # The number of a direction stands in four bits.
    assert len(hole.AIMS) == 16


def _fields(struct: str) -> list[str]:
    """Names in a struct of the source, in order."""
    found = re.search(rf"struct (?:__align__\(16\) )?{struct} {{(.*?)\n}};", driver.source(), re.S)
    assert found is not None
    text = re.sub(r"//.*", "", found.group(1))
    return [name for line in text.split(";") for name in re.findall(r"[*\s,](\w+)(?=\[\d\]|\s*,|\s*$)", line)]


def test_the_structs_are_what_is_sent() -> None:
    """Pointers and numbers go over in the order in which the source names them."""
    assert _fields("Hole") == list(layout.HOLE.names or ())
    assert _fields("Level")[:10] == list(layout.LEVEL.names or ())[:10]
    assert layout.LEVEL.itemsize == 48
    assert _fields("Tile") == list(layout.TILES.names or ())
    assert tuple(_fields("Search")) == (*driver.SEARCH, "n", "kept")
    assert tuple(_fields("Player")) == ("quick", "coarse", *driver.PLAYER, "n", "spare")
    assert tuple(_fields("Course")) == (*driver.COURSE, "holes", *driver.SIZES)


def test_the_layout_holds_every_state_once() -> None:
    """Cells block by block: own and cell are each other's inverse, and places and lies are the raster's."""
    table = factory.table(["driver", "7 iron"])
    cells = [cells_of(raster, table) for raster in RASTERS]
    found = layout.layout_of(cells)
    cell, own, lie = found.arrays["cell"], found.arrays["own"], found.raster.numbers["lie"]
    for k, g in enumerate(cells):
        a, b, first = found.raster.first[k], found.raster.first[k + 1], found.arrays["hole"]["cell"][k]
        assert cell[b - 1] == -1
        assert (own[cell[a : b - 1]] == np.arange(a, b - 1)).all()
        flat = states_of.lies_played(g.raster.lie).ravel()
        assert sorted(cell[a : b - 1] - first) == list(np.flatnonzero(flat <= 5))
        assert (flat[cell[a : b - 1] - first] == lie[a : b - 1]).all()
    assert sorted(np.concatenate(found.bands)) == list(range(found.grid.n))


def test_single_balls_are_normal() -> None:
    """Means 0, spreads 1, no correlation, in the whole and in a few points; and a normal's shares within."""
    few = who.balls(64, 32)[64:, :3]
    assert np.abs(np.cov(few.T, bias=True) - np.eye(3)).max() < 1e-5
    z = who.balls(4096, 1024)[:4096, :3]
    assert np.abs(z.mean(0)).max() < 1e-6
    assert z.std(0) == pytest.approx(1.0, abs=1e-5)
    assert np.abs(np.corrcoef(z.T) - np.eye(3)).max() < 1e-5
    # 68.27 % of a normal lie within one spread (any table of the normal distribution).
    assert (np.abs(z) < 1).mean(0) == pytest.approx(0.6827, abs=0.003)


def test_without_the_library_it_says_what_to_do(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setitem(sys.modules, "cupy", None)
    with pytest.raises(MachineError, match=r"CuPy, which is not installed.*pip install \"\.\[gpu\]\""):
        expected_strokes_on_card(RASTERS, factory.table(["driver"]))


def test_without_a_card_it_says_so(monkeypatch: pytest.MonkeyPatch) -> None:
    """A library that finds no card: one that raises, and one that counts none."""

    class NoDriverError(Exception):
        pass

    class Runtime:
        CUDARuntimeError = NoDriverError
        count = 0

        def getDeviceCount(self) -> int:  # noqa: N802  the library's own name
            if self.count < 0:
                raise NoDriverError("no driver")
            return self.count

    class Library:
        class cuda:  # noqa: N801
            runtime: Any = Runtime()

    monkeypatch.setitem(sys.modules, "cupy", Library)
    with pytest.raises(MachineError, match=r"no NVIDIA card\. Leave the card out"):
        library()
    Library.cuda.runtime.count = -1
    with pytest.raises(MachineError, match="No NVIDIA card answers: no driver"):
        library()


def test_what_a_card_found_is_played_by_the_rule_it_was_solved_by() -> None:
    """The processor's own answer, handed over as a card's: the same decisions, so the same rounds."""
    raster, table = RASTERS[1], factory.table(["driver", "7 iron", "58 wedge"], ["stock"])
    one = solve.expected_strokes([raster], table, threads=1, local_rule_e5=True).holes[0]
    here = (states_of.lies_played(raster.lie) <= 5).ravel()
    found = CardHole(
        number=raster.number, strokes=one.strokes, value=np.append(one.value.ravel()[here], one.strokes),
        shot=np.append(one.shot.ravel()[here], one.first[0]).astype(np.int16),
        aim=np.append(one.aim.ravel()[here], one.first[1]).astype(np.float32),
        tee_shot=np.array([one.first[0], -1, -1, -1], np.int32),
        tee_aim=np.array([one.first[1], 0, 0, 0], np.float32), sweeps=one.sweeps, change=one.change,
    )  # fmt: skip
    cells = cells_of(raster, table, True)
    other = finished(cells, player_of(table, raster.cell_m), found, local_rule_e5=True)
    assert other.local_rule_e5
    assert other.strokes == pytest.approx(one.strokes, abs=1e-3)
    assert (other.first[0], other.demand) == (one.first[0], one.demand)
    assert (other.first[1], other.sd) == pytest.approx((one.first[1], one.sd), abs=1e-6)
    assert other.error_bound < 0.02


def _no_card() -> bool:
    try:
        library()
    except MachineError:
        return True
    return False


@pytest.mark.card
@pytest.mark.skipif(_no_card(), reason="needs an NVIDIA card")
def test_the_card_agrees_with_the_processor() -> None:
    """Invented holes: within 0.01 strokes a hole once both tees are exact; and twice the same."""
    table = factory.table()
    ours, theirs = solve.expected_strokes(RASTERS, table), expected_strokes_on_card(RASTERS, table)
    for one, other in zip(ours.holes, theirs.holes, strict=True):
        assert other.strokes == pytest.approx(one.strokes, abs=0.01)
        assert other.error_bound < 0.03
    course = CourseOnCard(RASTERS, table)
    first, again = course.solve(), course.solve()
    for a, b in zip(first, again, strict=True):
        assert a.strokes == b.strokes
        assert (a.value == b.value).all()
