"""Latitude and longitude to metres on the plane that touches the ellipsoid at a course, and back.

WGS 84: semi-major axis 6 378 137 m, flattening 1/298.257223563 (National Geospatial-Intelligence Agency,
standard 0036, table 3.1). A point of the ellipsoid is given by its geocentric coordinates, turned to east,
north and up at the plane's zero, and its height above the plane left out. Distances on the plane are short by
less than d^2 / (2 R^2) for points d from the zero: 0.003 mm on a hole of 400 m that lies 1 km away, 0.5 mm on
one 10 km away. Ground that lies 1 000 m above the ellipsoid is 0.016 % longer than
said here (6 cm on a hole).
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import ArrayLike, NDArray

A_M = 6_378_137.0
"""Semi-major axis of the ellipsoid, metres."""
FLATTENING = 1.0 / 298.257223563
E2 = FLATTENING * (2.0 - FLATTENING)
"""Square of the first eccentricity."""
HIGHEST_LATITUDE_DEG = 85.0

Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Plane:
    """The tangent plane at (`latitude_deg`, `longitude_deg`): x east, y north, metres."""

    latitude_deg: float
    longitude_deg: float

    def xy(self, latitude_deg: ArrayLike, longitude_deg: ArrayLike) -> Floats:
        """Give (n, 2) metres of n points; right across the 180th meridian too."""
        lat = np.radians(np.atleast_1d(np.asarray(latitude_deg, dtype=np.float64)))
        turn = np.radians(np.atleast_1d(np.asarray(longitude_deg, dtype=np.float64)) - self.longitude_deg)
        lat0 = math.radians(self.latitude_deg)
        n0, n = _normal_radius(np.array(lat0)), _normal_radius(lat)
        # Geocentric, with the first axis through the zero's meridian.
        p, q, z = n * np.cos(lat) * np.cos(turn), n * np.cos(lat) * np.sin(turn), n * (1 - E2) * np.sin(lat)
        dp, dz = p - n0 * math.cos(lat0), z - n0 * (1 - E2) * math.sin(lat0)
        return np.column_stack((q, dz * math.cos(lat0) - dp * math.sin(lat0)))

    def latlon(self, points: Sequence[tuple[float, float]] | Floats) -> Floats:
        """Give (n, 2) degrees (latitude, longitude) of n points of the plane; the inverse of `xy`.

        Newton's steps with the two radii at the zero; points within 100 km converge to 1e-12 degrees.
        """
        wanted = np.asarray(points, dtype=np.float64).reshape(-1, 2)
        east, north = self.metres_per_deg
        found = np.column_stack(
            (self.latitude_deg + wanted[:, 1] / north, self.longitude_deg + wanted[:, 0] / east)
        )
        for _ in range(12):
            left = wanted - self.xy(found[:, 0], found[:, 1])
            found += np.column_stack((left[:, 1] / north, left[:, 0] / east))
            if left.size == 0 or float(np.abs(left).max()) < 1e-7:
                break
        found[:, 1] = (found[:, 1] + 180.0) % 360.0 - 180.0
        return found

    @property
    def metres_per_deg(self) -> tuple[float, float]:
        """Metres of one degree (eastwards, northwards) at the zero, from the ellipsoid's two radii there."""
        lat = math.radians(self.latitude_deg)
        normal = float(_normal_radius(np.array(lat)))
        meridian = A_M * (1 - E2) / (1 - E2 * math.sin(lat) ** 2) ** 1.5
        return math.radians(normal * math.cos(lat)), math.radians(meridian)


def _normal_radius(lat: Any) -> Any:
    return A_M / np.sqrt(1 - E2 * np.sin(lat) ** 2)
