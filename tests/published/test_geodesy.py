"""Lengths and places on a course's plane against geographiclib (Karney 2013, geodesics to 15 nm)."""

from __future__ import annotations

import math

import numpy as np
import pytest
from geographiclib.geodesic import Geodesic

from bagwright.course.plane import Plane

WGS84 = Geodesic.WGS84


@pytest.mark.parametrize("latitude", [-70.0, -33.3, 0.0, 12.5, 40.0, 56.0, 70.0])
@pytest.mark.parametrize("longitude", [-35.0, 0.0, 179.9999])
def test_a_hole_has_the_length_of_the_geodesic_within_3_mm(latitude: float, longitude: float) -> None:
    plane = Plane(latitude, longitude)
    rng = np.random.default_rng(7)
    for away, bearing, length, course in rng.uniform((0, 0, 80, 0), (3000, 360, 600, 360), (25, 4)):
        tee = WGS84.Direct(latitude, longitude, bearing, away)
        pin = WGS84.Direct(tee["lat2"], tee["lon2"], course, length)
        a, b = plane.xy([tee["lat2"], pin["lat2"]], [tee["lon2"], pin["lon2"]])
        assert math.dist(a, b) == pytest.approx(length, abs=0.003)
        assert math.hypot(*a) == pytest.approx(away, abs=0.003)


def test_directions_are_those_of_the_compass() -> None:
    plane = Plane(56.0, 10.0)
    for azimuth in range(0, 360, 30):
        end = WGS84.Direct(56.0, 10.0, azimuth, 400.0)
        x, y = plane.xy(end["lat2"], end["lon2"])[0]
        turn = (math.degrees(math.atan2(x, y)) - azimuth + 180) % 360 - 180
        assert abs(turn) < 0.001


def test_there_and_back() -> None:
    plane = Plane(-41.2, 179.99)
    xy = np.random.default_rng(1).uniform(-8000, 8000, (200, 2))
    found = plane.latlon(xy)
    assert np.abs(plane.xy(found[:, 0], found[:, 1]) - xy).max() < 1e-6
    for (lat, lon), (x, y) in zip(found[:20], xy[:20], strict=True):
        assert WGS84.Inverse(-41.2, 179.99, lat, lon)["s12"] == pytest.approx(math.hypot(x, y), abs=0.01)
