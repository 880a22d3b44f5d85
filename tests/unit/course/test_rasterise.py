"""Rasters: areas against polygons, precedence, other holes, margins, heights.

Outside values: areas come from the polygons themselves (the shoelace formula in GEOS) and from cutting every
cell with them; distances are sums done by hand.
"""

from __future__ import annotations

import dataclasses
import math

import numpy as np
import pytest
import shapely
from shapely.geometry import Point as Spot
from shapely.geometry import box

from bagwright.course.ground import MARGIN_M, TREE_RADIUS_M, ground_of
from bagwright.course.hole import Heights, Tee
from bagwright.course.lies import Lie
from bagwright.course.mirror import mirrored
from bagwright.course.raster import CELL_M, Raster
from bagwright.course.rasterise import covered, par_of, raster_of
from bagwright.errors import InputError
from bagwright.units import M_PER_YD
from tests.unit.course.made import BOUNDS, MORE, blob, course, hole, usual, yd


def share(raster: Raster, lie: Lie) -> float:
    """The area of a lie on the raster, square metres."""
    return float((raster.lie == int(lie)).sum()) * CELL_M**2


@pytest.mark.parametrize("seed", range(6))
def test_areas_are_those_of_the_polygons_to_the_discretisation(seed: int) -> None:
    """The error of counting centres grows like that of a random walk along the edge."""
    shape = blob(5, 200, 12 + 6 * seed, seed, 1.4)
    raster = raster_of(course(hole(more=[(Lie.SAND, shape)])), 1)
    assert share(raster, Lie.SAND) == pytest.approx(
        yd(shape).area, abs=1.5 * math.sqrt(yd(shape).length / CELL_M) * CELL_M**2
    )


def test_every_cell_against_the_exact_clip() -> None:
    """A cell counts when its centre does: each one counted is partly inside, none left out is whole."""
    ground = ground_of(usual(), 1)
    for patch in ground.patches:
        (rows, columns), inside = covered(patch.shape, ground)
        x = ground.x0_m + np.arange(rows.start, rows.stop) * CELL_M
        y = ground.y0_m + np.arange(columns.start, columns.stop) * CELL_M
        X, Y = np.meshgrid(x, y, indexing="ij")
        cut = (
            shapely.area(shapely.intersection(shapely.box(X, Y, X + CELL_M, Y + CELL_M), patch.shape))
            / CELL_M**2
        )
        assert (cut[inside] > 0.05).all()
        assert (cut[~inside] < 0.95).all()
        assert cut.sum() == pytest.approx(inside.sum(), abs=1.5 * math.sqrt(patch.shape.length / CELL_M) + 1)


def test_what_overlaps_is_read_in_the_stated_order() -> None:
    """Out of bounds > water > bunker > fairway > wood > scrub > rough, each over the next."""
    order = [Lie.OUT, Lie.WATER, Lie.WATER_RED, Lie.SAND, Lie.FAIRWAY, Lie.RECOVERY, Lie.DEEP, Lie.ROUGH]
    more = [(lie, box(-30, 200, 30, 205 + 5 * i)) for i, lie in enumerate(order)]
    raster = raster_of(course(hole(way=((0, 0), (0, 400)), more=reversed(more))), 1)
    for i, lie in enumerate(order[:-1]):
        cell = raster.cell((202.5 + 5 * i) * M_PER_YD, -25 * M_PER_YD)
        assert cell is not None
        assert raster.lie[cell] == lie


def test_a_green_wins_over_fairway_and_loses_to_a_bunker() -> None:
    raster = raster_of(course(hole(way=((0, 0), (0, 400)), more=[(Lie.SAND, box(5, 395, 20, 405))])), 1)
    at = {x: raster.lie[raster.cell(400 * M_PER_YD, x * M_PER_YD)] for x in (-14.5, -8, 0.2, 8)}
    assert at == {-14.5: Lie.FAIRWAY, -8: Lie.GREEN, 0.2: Lie.GREEN, 8: Lie.SAND}


def test_outside_the_course_is_out_of_bounds_and_so_is_the_rim() -> None:
    raster = raster_of(usual(), 1)
    for edge in (raster.lie[:2], raster.lie[-2:], raster.lie[:, :2], raster.lie[:, -2:]):
        assert (edge == Lie.OUT).all()
    ground = ground_of(usual(), 1)
    x, y = raster.centres()
    spots = ground.frame.course(np.column_stack([a.ravel() for a in np.meshgrid(x, y, indexing="ij")]))
    beyond = ~shapely.contains_xy(yd(BOUNDS), spots).reshape(raster.lie.shape)
    assert (raster.lie[beyond] == Lie.OUT).all()


def test_sixty_yards_of_ground_about_the_hole() -> None:
    raster = raster_of(course(hole()), 1)
    x, y = raster.centres()
    playable = np.argwhere(raster.lie != Lie.OUT)
    assert pytest.approx(60 * M_PER_YD) == MARGIN_M
    for point in (raster.tee_m, raster.pin_m):
        assert x[playable[:, 0]].min() <= point[0] - MARGIN_M + CELL_M
        assert x[playable[:, 0]].max() >= point[0] + MARGIN_M - CELL_M
        assert y[playable[:, 1]].min() <= point[1] - MARGIN_M + CELL_M
        assert y[playable[:, 1]].max() >= point[1] + MARGIN_M - CELL_M


def test_near_bounds_make_the_raster_smaller() -> None:
    wide, narrow = raster_of(course(hole()), 1), raster_of(course(hole(), bounds=box(-30, -20, 60, 430)), 1)
    assert narrow.lie.size < wide.lie.size


def test_the_frame_runs_from_the_tee_to_the_pin() -> None:
    raster = raster_of(usual(), 1)
    assert raster.tee_m == (0.0, 0.0)
    assert raster.pin_m == pytest.approx((math.hypot(40, 400) * M_PER_YD, 0.0))
    assert raster.turn_rad == pytest.approx(math.atan2(40, 400))
    assert raster.length_m == pytest.approx((250 + math.hypot(40, 150)) * M_PER_YD)
    assert raster.way_m[1][1] < 0  # the bend of a dogleg to the right lies left of the straight line
    assert raster.lie[raster.cell(*raster.tee_m)] == Lie.TEE
    assert raster.lie[raster.cell(*raster.pin_m)] == Lie.GREEN


def test_right_of_the_line_is_positive() -> None:
    """The pond of the hole lies to the east of a way north: to the right."""
    raster = raster_of(course(hole(way=((0, 0), (0, 400)), more=MORE[:1])), 1)
    _, y = raster.centres()
    assert y[np.argwhere(raster.lie == Lie.WATER_RED)[:, 1]].mean() > 30 * M_PER_YD


def test_a_forward_tee_shortens_the_hole() -> None:
    white, red = raster_of(usual(), 1), raster_of(usual(), 1, "red")
    assert white.length_m - red.length_m == pytest.approx(45.0)
    assert red.tee == "red"
    assert red.lie[red.cell(*red.tee_m)] == Lie.TEE


def test_only_the_chosen_tee_is_a_tee() -> None:
    other = (Lie.TEE, box(-4, 60, 4, 70))
    raster = raster_of(course(hole(way=((0, 0), (0, 400)), more=[other])), 1)
    assert raster.lie[raster.cell(65 * M_PER_YD, 0.0)] == Lie.FAIRWAY
    assert share(raster, Lie.TEE) == pytest.approx(64 * M_PER_YD**2, rel=0.15)


def test_features_of_the_next_hole_are_there() -> None:
    near = hole(2, way=((60, 400), (60, 30)))
    raster = raster_of(course(hole(way=((0, 0), (0, 400))), near), 1)
    at = {y: raster.lie[raster.cell(x * M_PER_YD, y * M_PER_YD)] for x, y in ((200, 60), (30, 61))}
    assert at == {60: Lie.FAIRWAY, 61: Lie.ROUGH}  # its fairway, and its green which must not be played from
    assert raster.notes == (
        "The green of hole 2 is a wrong green here; it is played as rough.",
        "Heights are an even slope between those of the tee and the pin.",
    )
    alone = raster_of(course(hole(way=((0, 0), (0, 400))), near, source="card"), 1)
    assert alone.lie[alone.cell(200 * M_PER_YD, 60 * M_PER_YD)] == Lie.ROUGH
    assert alone.turn_rad is None


def test_single_trees_are_small_discs_that_win_over_fairway_only() -> None:
    trees = ((0.0, 250 * M_PER_YD), (0.0, 400 * M_PER_YD))
    raster = raster_of(course(hole(way=((0, 0), (0, 400)), trees=trees)), 1)
    assert share(raster, Lie.RECOVERY) == pytest.approx(math.pi * TREE_RADIUS_M**2, rel=0.15)
    assert raster.lie[raster.cell(*trees[0][::-1])] == Lie.RECOVERY


def test_a_pin_without_a_green_is_said() -> None:
    bare = hole()
    bare = dataclasses.replace(bare, features=tuple(f for f in bare.features if f.lie is not Lie.GREEN))
    raster = raster_of(course(bare), 1)
    assert raster.lie[raster.cell(*raster.pin_m)] == Lie.GREEN
    assert "no green" in raster.notes[0]


def test_heights_slope_from_tee_to_pin() -> None:
    raster = raster_of(usual(), 1)
    assert raster.height_m is not None
    assert raster.height_m[raster.cell(*raster.tee_m)] == pytest.approx(0.0, abs=0.02)
    assert raster.height_m[raster.cell(*raster.pin_m)] == pytest.approx(4.0, abs=0.02)
    half = raster.cell(raster.pin_m[0] / 2, 20.0)
    assert raster.height_m[half] == pytest.approx(2.0, abs=0.02)


def test_heights_from_a_grid_are_those_of_the_plane_it_holds() -> None:
    """z = 0.02 east + 0.01 north + 5, which two-way interpolation gives exactly."""
    east, north = np.meshgrid(-300 + 10.0 * np.arange(80), -200 + 10.0 * np.arange(90), indexing="ij")
    grid = Heights(-300.0, -200.0, 10.0, 0.02 * east + 0.01 * north + 5.0)
    made = dataclasses.replace(usual(), heights=grid)
    raster, ground = raster_of(made, 1), ground_of(made, 1)
    x, y = raster.centres()
    spots = ground.frame.course(np.column_stack([a.ravel() for a in np.meshgrid(x, y, indexing="ij")]))
    assert raster.height_m is not None
    assert raster.height_m.ravel() == pytest.approx(0.02 * spots[:, 0] + 0.01 * spots[:, 1], abs=1e-4)


def test_heights_that_do_not_reach_are_said() -> None:
    z = np.full((80, 90), 3.0)
    z[:20] = np.nan
    part = raster_of(dataclasses.replace(usual(), heights=Heights(-300.0, -200.0, 10.0, z)), 1)
    assert part.height_m is not None
    assert np.isfinite(part.height_m).all()
    far = raster_of(dataclasses.replace(usual(), heights=Heights(9000.0, 9000.0, 10.0, z)), 1)
    assert any("do not cover" in note for note in far.notes)
    flat = hole(pin_height_m=None)
    assert raster_of(course(flat), 1).height_m is None


@pytest.mark.parametrize(("length_yd", "par"), [(250, 3), (251, 4), (470, 4), (471, 5)])
def test_par_where_nobody_says_it(length_yd: float, par: int) -> None:
    """World Handicap System: a par 4 starts at 251 yd, a par 5 at 471."""
    assert par_of(length_yd * M_PER_YD) == par


def test_what_cannot_be_a_hole_is_refused_with_words() -> None:
    with pytest.raises(InputError, match="no hole 7"):
        raster_of(usual(), 7)
    with pytest.raises(InputError, match="Tees: white, red"):
        raster_of(usual(), 1, "blue")
    with pytest.raises(InputError, match="is 0 m from the tee"):
        raster_of(course(hole(tees=(Tee("white", (40 * M_PER_YD, 400 * M_PER_YD)),))), 1)
    with pytest.raises(InputError, match="has no tee"):
        raster_of(course(hole(tees=())), 1)


def test_a_mirror_twice_is_the_first_again() -> None:
    raster = raster_of(usual(), 1)
    twice = mirrored(mirrored(raster))
    for field in dataclasses.fields(raster):
        a, b = getattr(raster, field.name), getattr(twice, field.name)
        if field.name == "way_m":
            a, b = np.array(a), np.array(b)
        assert np.array_equal(a, b) if isinstance(a, np.ndarray) else a == pytest.approx(b)


def test_a_huge_feature_does_not_make_a_huge_raster() -> None:
    sea = raster_of(course(hole(more=[(Lie.FAIRWAY, Spot(0, 200).buffer(5000))])), 1)
    assert sea.lie.size < 700 * 400
