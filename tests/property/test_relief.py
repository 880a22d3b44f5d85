"""Places of relief on random holes: never nearer the pin, playable, alike in the mirror, the nearest."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from scipy.spatial import KDTree

from bagwright.course.ground import ground_of
from bagwright.course.hole import Course
from bagwright.course.lies import PLAYED_FROM, Lie
from bagwright.course.mirror import mirrored
from bagwright.course.raster import Raster
from bagwright.course.rasterise import paint, raster_of
from bagwright.course.relief import relief_of
from tests.unit.course.made import BOUNDS, blob, course, hole, usual

LIES = (Lie.WATER, Lie.WATER_RED, Lie.SAND, Lie.RECOVERY, Lie.OUT)
RARELY = settings(max_examples=20, deadline=None, suppress_health_check=[HealthCheck.too_slow])


@st.composite
def courses(draw: st.DrawFn) -> Course:
    """Holes with blobs of everything anywhere, the tee and the pin included."""
    n = draw(st.integers(1, 7))
    more = [
        (
            draw(st.sampled_from(LIES)),
            blob(
                draw(st.floats(-90, 120)), draw(st.floats(-60, 470)), draw(st.floats(2, 45)),
                draw(st.integers(0, 99)), draw(st.floats(0.6, 2.5)),
            ),
        )
        for _ in range(n)
    ]  # fmt: skip
    bend = draw(st.floats(-70, 70))
    length = draw(st.floats(120, 420))
    made = hole(way=((0, 0), (bend, 0.6 * length), (0.3 * bend, length)), more=more)
    return course(made, bounds=BOUNDS if draw(st.booleans()) else None)


def far_from_pin(raster: Raster) -> np.ndarray:
    """Distance of every cell from the pin, metres."""
    x, y = raster.centres()
    return np.hypot(x[:, None] - raster.pin_m[0], y[None, :] - raster.pin_m[1]).ravel()


def home(raster: Raster) -> int:
    """The tee's cell, flat."""
    cell = raster.cell(*raster.tee_m)
    assert cell is not None
    return int(cell[0] * raster.lie.shape[1] + cell[1])


@RARELY
@given(courses())
def test_relief_from_water_is_playable_and_never_nearer_the_pin(made: Course) -> None:
    raster = raster_of(made, 1)
    lie, relief, far = raster.lie.ravel(), raster.relief.ravel(), far_from_pin(raster)
    wet = np.isin(lie, (Lie.WATER, Lie.WATER_RED)) & (relief != home(raster))
    assert np.isin(lie[relief[wet]], PLAYED_FROM).all()
    assert (far[relief[wet]] >= far[wet] - 1e-9).all()


@RARELY
@given(courses())
def test_every_penalty_has_its_place_and_nothing_else_has(made: Course) -> None:
    raster = raster_of(made, 1)
    lie, relief = raster.lie.ravel(), raster.relief.ravel()
    costs = np.isin(lie, (Lie.WATER, Lie.WATER_RED, Lie.OUT))
    assert np.isin(lie[relief[costs]], PLAYED_FROM).all()
    assert np.array_equal(relief[~costs], np.flatnonzero(~costs))


@RARELY
@given(courses())
def test_out_of_bounds_is_dropped_no_nearer_than_where_it_left(made: Course) -> None:
    """It left the course at the nearest cell in bounds, found here one by one."""
    raster = raster_of(made, 1)
    ny = raster.lie.shape[1]
    lie, relief, far = raster.lie.ravel(), raster.relief.ravel(), far_from_pin(raster)
    course_cells = np.flatnonzero(lie != Lie.OUT)
    at = np.column_stack(np.divmod(course_cells, ny))
    out = np.flatnonzero(lie == Lie.OUT)
    for cell in out[:: max(len(out) // 25, 1)]:
        if relief[cell] == home(raster):
            continue
        gap = np.hypot(*(at - np.divmod(cell, ny)).T)
        left = course_cells[gap <= gap.min() + 1e-9]
        assert far[relief[cell]] >= far[left].min() - 1e-6


@RARELY
@given(courses())
def test_the_mirrored_hole_has_the_mirrored_relief(made: Course) -> None:
    """Ties may fall either way, so the distances are compared: how far the drop is, and from the pin."""
    raster = raster_of(made, 1)
    _, fairway = paint(ground_of(made, 1))
    turned = mirrored(raster)
    ny = raster.lie.shape[1]
    c = raster.cell_m
    pin = ((turned.pin_m[0] - turned.x0_m) / c, (turned.pin_m[1] - turned.y0_m) / c)
    i, j = divmod(home(raster), ny)
    again = relief_of(turned.lie, fairway[:, ::-1], pin, (i, ny - 1 - j))
    wet = np.isin(turned.lie, (Lie.WATER, Lie.WATER_RED)).ravel()
    assert moves(again.ravel(), ny)[wet] == pytest.approx(moves(turned.relief.ravel(), ny)[wet], abs=1e-6)
    out = np.flatnonzero(turned.lie == Lie.OUT)
    inside = np.flatnonzero(turned.lie != Lie.OUT)
    found = KDTree(spots(inside, ny)).query(spots(out, ny), k=2)
    gaps, left = np.asarray(found[0]), np.asarray(found[1])
    clear = gaps[:, 0] < gaps[:, 1] - 1e-9  # one place only where it can have left the course
    from_there = [
        np.hypot(*(spots(r.ravel()[out], ny) - spots(inside[left[:, 0]], ny)).T)[clear]
        for r in (again, turned.relief)
    ]
    assert from_there[0] == pytest.approx(from_there[1], abs=1e-6)


def spots(cells: np.ndarray, ny: int) -> np.ndarray:
    """Row and column of flat cells."""
    return np.column_stack(np.divmod(cells, ny)).astype(float)


def moves(relief: np.ndarray, ny: int) -> np.ndarray:
    """How far relief moves each cell, in cells."""
    i, j = np.divmod(np.arange(len(relief)), ny)
    k, m = np.divmod(relief, ny)
    return np.hypot(i - k, j - m)


def test_red_relief_is_the_nearest_of_the_margin_checked_one_by_one() -> None:
    raster = raster_of(usual(), 1)
    nx, ny = raster.lie.shape
    lie, far = raster.lie, far_from_pin(raster).reshape(nx, ny)
    wet = lie == Lie.WATER_RED
    rim = [
        (i, j)
        for i in range(1, nx - 1)
        for j in range(1, ny - 1)
        if lie[i, j] in PLAYED_FROM and wet[i - 1 : i + 2, j - 1 : j + 2].any()
    ]
    for i, j in np.argwhere(wet)[::17]:
        allowed = [(k, m) for k, m in rim if far[k, m] >= far[i, j] - 1e-9]
        nearest = min(np.hypot(k - i, m - j) for k, m in allowed)
        k, m = divmod(int(raster.relief[i, j]), ny)
        assert np.hypot(k - i, m - j) == pytest.approx(nearest)


def test_yellow_relief_lies_on_the_line_from_the_pin_behind_the_water() -> None:
    """The ditch crosses the hole: every ball in it comes back to its near bank, on its own line."""
    raster = raster_of(usual(), 1)
    ny = raster.lie.shape[1]
    x, y = raster.centres()
    for i, j in np.argwhere((raster.lie == Lie.WATER) & (np.abs(y) < 40.0))[::23]:
        k, m = divmod(int(raster.relief[i, j]), ny)
        ball = np.array([x[i], y[j]]) - raster.pin_m
        drop = np.array([x[k], y[m]]) - raster.pin_m
        aside = abs(ball[0] * drop[1] - ball[1] * drop[0]) / np.hypot(*ball)
        assert aside <= 0.71 * raster.cell_m  # half the diagonal of a cell
        assert np.hypot(*drop) > np.hypot(*ball)
        assert raster.lie[k, m] in PLAYED_FROM


def test_out_of_bounds_beside_the_fairway_is_dropped_at_its_near_edge() -> None:
    """A straight fairway 32 yd wide about the line: from the left at its edge, 16 yd left."""
    raster = raster_of(course(hole(way=((0, 0), (0, 400)), more=[])), 1)
    _, y = raster.centres()
    ny = raster.lie.shape[1]
    cell = raster.cell(250 * 0.9144, 0.0)
    assert cell is not None
    i = cell[0]
    k, m = divmod(int(raster.relief[i, 0]), ny)
    assert raster.lie[k, m] == Lie.FAIRWAY
    assert y[m] / 0.9144 == pytest.approx(-15.5)
    # Not nearer the pin than where it left, 76 yd to the side and 150 yd short of it.
    assert i - k == pytest.approx(np.sqrt(149.5**2 + 76**2 - 15.5**2) - 149.5, abs=1.5)
