"""Files of heights against tilted planes, whose height at every point is known in closed form."""

from __future__ import annotations

import numpy as np
import pytest

from bagwright.course.hole import Course
from bagwright.course.load import load_course
from bagwright.course.plane import Plane
from bagwright.course.rasterise import raster_of
from bagwright.errors import InputError
from tests.unit.course.drawn import bounds, raw, whole_hole

MAP = raw(*whole_hole(), bounds())
PLANE = Plane(*(load_course(MAP).origin or (0.0, 0.0)))
SLOPE_X, SLOPE_Y = 0.02, 0.05
"""Metres up for a metre east and north: over 350 m north the pin lies 17.5 m above the tee."""


def tilted(x: np.ndarray, y: np.ndarray) -> np.ndarray:
    """The height of the plane, metres."""
    return 100.0 + SLOPE_X * x + SLOPE_Y * y


def in_degrees(step: float = 1e-4, void: bool = False) -> bytes:
    """The plane as an ESRI ASCII grid in degrees; `void` leaves its south unknown."""
    lat0, lon0 = PLANE.latitude_deg - 0.006, PLANE.longitude_deg - 0.007
    n = 140
    lon, lat = np.meshgrid(lon0 + step * np.arange(n), lat0 + step * np.arange(n))
    xy = PLANE.xy(lat.ravel(), lon.ravel())
    z = tilted(xy[:, 0], xy[:, 1]).reshape(n, n)
    if void:
        z[:48] = -9999
    head = (
        f"ncols {n}\nnrows {n}\nxllcenter {lon0!r}\nyllcenter {lat0!r}\ncellsize {step}\nNODATA_value -9999\n"
    )
    return (head + "\n".join(" ".join(f"{v:.4f}" for v in row) for row in z[::-1])).encode()


def in_metres(step: float = 20.0) -> bytes:
    """The plane as an ESRI ASCII grid in metres."""
    n = 100
    x, y = np.meshgrid(-1000 + step * np.arange(n), -1000 + step * np.arange(n))
    rows = tilted(x, y)[::-1]
    head = (
        f"NCOLS {n}\nNROWS {n}\nXLLCORNER {-1000 - step / 2}\nYLLCORNER {-1000 - step / 2}\nCELLSIZE {step}\n"
    )
    return (head + "\n".join(" ".join(f"{v:.4f}" for v in row) for row in rows)).encode()


def points(degrees: bool) -> bytes:
    """The plane as a table of points."""
    xy = np.random.default_rng(3).uniform(-600, 600, (900, 2))
    z = tilted(xy[:, 0], xy[:, 1])
    at = PLANE.latlon(xy)[:, ::-1] if degrees else xy
    rows = [f"{a!r};{b!r};{h:.4f}" for (a, b), h in zip(at.tolist(), z, strict=True)]
    return ("\n".join(["lon;lat;z" if degrees else "x;y;z", *rows])).encode()


def tile() -> bytes:
    """A tile's step of 3 arc seconds (some 90 m) and whole metres."""
    n = 1201
    west, south = np.floor(PLANE.longitude_deg), np.floor(PLANE.latitude_deg)
    lon, lat = np.meshgrid(west + np.arange(n) / 1200, south + np.arange(n) / 1200)
    east, north = PLANE.metres_per_deg
    z = tilted((lon - PLANE.longitude_deg) * east, (lat - PLANE.latitude_deg) * north)
    return np.clip(np.round(z), -30000, 30000).astype(">i2")[::-1].tobytes()


def read(heights: bytes, name: str) -> Course:
    """The drawn map with these heights."""
    return load_course(MAP, heights=heights, heights_name=name)


@pytest.mark.parametrize(
    ("heights", "name", "within"),
    [
        (in_degrees(), "ground.asc", 0.02),
        (in_metres(), "ground.asc", 0.02),
        (points(True), "points.csv", 0.05),
        (points(False), "points.csv", 0.05),
        (tile(), "N40W036.hgt", 1.2),
    ],
    ids=["degrees", "metres", "points in degrees", "points in metres", "tile"],
)
def test_a_tilted_plane_comes_back(heights: bytes, name: str, within: float) -> None:
    raster = raster_of(read(heights, name), 1)
    assert raster.height_m is not None
    x, y = raster.centres()
    # The hole plays north, so its x is north and its y is east.
    wanted = SLOPE_Y * x[:, None] + SLOPE_X * y[None, :]
    inside = (np.abs(y) < 150)[None, :] & (x > -60)[:, None] & (x < 400)[:, None]
    assert np.abs(raster.height_m - wanted)[inside].max() < within


def test_tees_and_pins_take_the_grid_s_heights_and_what_is_known_is_said() -> None:
    course = read(in_degrees(), "ground.asc")
    hole = course.holes[0]
    assert hole.pin_height_m is not None
    assert hole.tees[0].height_m is not None
    assert hole.pin_height_m - hole.tees[0].height_m == pytest.approx(SLOPE_Y * 350, abs=0.02)
    assert "every 11 m" in course.notes["heights"]
    assert "level" in load_course(MAP).notes["heights"]
    text = '[hole.1]\npin_height_m = 5\n[[hole.1.tee]]\nname = "white"\nheight_m = 2\n'
    lifted = load_course(MAP, overlay=text)
    assert "even slope" in lifted.notes["heights"]
    assert raster_of(lifted, 1).height_m is not None


def test_heights_that_are_missing_are_filled_in_and_said() -> None:
    raster = raster_of(read(in_degrees(void=True), "ground.asc"), 1)
    assert raster.height_m is not None
    assert np.isfinite(raster.height_m).all()
    assert any("unknown on" in note for note in raster.notes)


def head(**changed: object) -> bytes:
    """A tiny grid with some of its keys changed."""
    keys = {"ncols": 2, "nrows": 2, "xllcorner": -36, "yllcorner": 40, "cellsize": 0.001} | changed
    return ("\n".join(f"{key} {value}" for key, value in keys.items()) + "\n1 2\n3 4\n").encode()


@pytest.mark.parametrize(
    ("heights", "name", "told"),
    [
        (head(ncols=3), "a.asc", "has 4 cells, not 3 x 2"),
        (head(cellsize=0), "a.asc", "cellsize"),
        (head(cellsize="nan"), "a.asc", 'cellsize is "nan"'),
        (head(ncols=10**9), "a.asc", "ncols"),
        (head(ncols=90000, nrows=90000), "a.asc", "8,100,000,000 cells"),
        (head(xllcorner=10), "a.asc", "no height where the course lies"),
        (head(cellsize=0.09), "a.asc", "every .* m only"),
        (head().replace(b"3 4", b"3 x"), "a.asc", "no number"),
        (head().replace(b"yllcorner 40\n", b""), "a.asc", "yllcorner"),
        (b"II*\x00" + bytes(100), "a.tif", "TIFF"),
        (b"lon,lat,z\n-35,40,1\n-35,40,nan\n", "a.csv", "row 3"),
        (b"lon,lat,z\n-35,40,1\n-35,40,2\n-35,40,2\n", "a.csv", "do not span"),
        (b"a,b,c\n1,2,3\n", "a.csv", "does not name the columns"),
        (b"\xff\xff\xff", "a.csv", "no text of heights"),
        (bytes(1201 * 1201 * 2), "tile.hgt", "name does not say"),
        (b"", "a.asc", "is empty"),
    ],
)  # fmt: skip
def test_what_is_wrong_is_said(heights: bytes, name: str, told: str) -> None:
    with pytest.raises(InputError, match=told) as caught:
        read(heights, name)
    assert caught.value.next_step


def test_a_card_takes_no_grid() -> None:
    with pytest.raises(InputError, match="no place"):
        load_course(b"hole,par,white m\n1,4,300\n", heights=in_metres(), heights_name="a.asc")
