"""Draw the demo's invented course and write it as a map with OpenStreetMap's golf tags (GeoJSON).

    python -m bench.make_course [--out src/bagwright/demo/wethermoor.geojson]

Wethermoor does not exist: it lies in the open Atlantic. The routing is drawn by hand in yards (x east, y north
of the clubhouse); edges are smooth curves with a fixed seed, so that the same file comes out every time.
"""

import argparse
import json
import math
import sys
from pathlib import Path
from typing import Any

import numpy as np
import shapely
from shapely.geometry import LineString, MultiPolygon, Point, Polygon
from shapely.ops import unary_union

from bagwright.course.plane import Plane
from bagwright.files import write_whole
from bagwright.units import M_PER_YD

NAME = "Wethermoor (invented)"
PLANE = Plane(40.0, -35.0)
SEED = 18
TEES = (("white", 0.0, 0.0), ("yellow", 24.0, -5.0), ("red", 72.0, 6.0))
"""Name, yards in front of the back tee, yards to the right."""

HOLES: tuple[tuple[int, int, tuple[tuple[float, float], ...]], ...] = (
    (4, 7, ((-60, 70), (-82, 292), (-48, 452))),
    (4, 5, ((-82, 498), (-112, 712), (-228, 796))),
    (3, 17, ((-272, 806), (-430, 768))),
    (5, 3, ((-486, 748), (-506, 512), (-462, 306), (-478, 238))),
    (4, 15, ((-506, 196), (-462, -14), (-362, -104))),
    (4, 1, ((-306, -82), (-338, 158), (-332, 336))),
    (3, 11, ((-336, 388), (-300, 566))),
    (4, 9, ((-244, 588), (-212, 350), (-238, 182))),
    (4, 13, ((-222, 122), (-190, -92), (-76, -138))),
    (4, 8, ((64, 62), (92, 284), (158, 420))),
    (5, 6, ((134, 462), (116, 700), (222, 862), (290, 896))),
    (3, 18, ((344, 884), (474, 802))),
    (4, 2, ((512, 764), (534, 520), (500, 338))),
    (4, 16, ((520, 292), (500, 104), (398, -8))),
    (4, 4, ((352, 22), (388, 252), (370, 414))),
    (3, 14, ((344, 462), (302, 642))),
    (4, 12, ((256, 630), (236, 410), (262, 252))),
    (5, 10, ((276, 200), (246, -34), (128, -164), (38, -196))),
)
"""Par, stroke index, way from the back tee to the pin, in yards."""

FAIRWAY_BUNKERS = {
    1: ((238, 1), (252, -1)), 2: ((226, 1), (214, -1), (240, -1)), 4: ((246, -1), (430, 1), (450, -1)),
    5: ((196, 1), (212, 1)), 6: ((262, 1),), 8: ((244, 1),), 9: ((228, 1), (206, 1)), 10: ((240, 1), (225, -1)),
    11: ((250, 1), (268, -1), (440, -1)), 13: ((248, 1), (262, 1)), 14: ((186, 1), (205, -1)), 15: ((250, -1), (236, 1)),
    17: ((226, -1),), 18: ((240, -1), (252, -1), (400, -1)),
}  # fmt: skip
"""Yards along the way and side (1 right, -1 left) of bunkers beside the fairway."""
GREEN_BUNKERS = {
    1: (35, -40), 2: (-60,), 3: (30, -25, 150), 4: (50, -100), 5: (-35, 45), 6: (40,), 7: (60, -60), 8: (-45, 120),
    9: (-30, 60), 10: (35, -75), 11: (-20, 40, 140), 12: (-70, 160), 13: (45, -45), 14: (-25, 35), 15: (60, -110),
    16: (30, -35), 17: (-40,), 18: (-50, 100),
}  # fmt: skip
"""Where bunkers lie about the green: degrees from the line of approach's near side, positive to the right."""
STREAMS = (
    ((-150, 610), (-176, 520), (-174, 430), (-166, 340), (-186, 240), (-204, 158), (-262, 146), (-300, 122),
     (-350, 132), (-392, 104), (-412, 78)),
    ((196, 660), (204, 560), (190, 440), (206, 330), (216, 226), (206, 120), (184, 6), (128, -88), (92, -132)),
    ((-392, 470), (-352, 492), (-318, 488), (-280, 505), (-230, 540), (-176, 520)),
)  # fmt: skip
PONDS = (
    ("lateral_water_hazard", -424, 56, 30, 0.75), ("lateral_water_hazard", 84, -152, 20, 0.8),
    ("water_hazard", 424, 832, 22, 1.5), ("lateral_water_hazard", 328, 372, 20, 1.3),
    ("lateral_water_hazard", 166, 664, 17, 1.9),
)  # fmt: skip
NARROW = {4: 44.0, 11: 46.0, 13: 42.0, 2: 50.0, 5: 50.0, 12: 52.0}
"""Yards from the way to the course's edge, where it is nearer than usual."""
USUAL_EDGE = 66.0


def warp(points: np.ndarray, much: float = 5.0) -> np.ndarray:
    """Bend the plane a little, so that no edge runs straight or along a circle."""
    x, y = points[:, 0], points[:, 1]
    dx = much * (np.sin(y / 33 + x / 91) + 0.5 * np.sin(y / 13 + 1.3))
    dy = much * (np.sin(x / 29 - y / 83 + 0.7) + 0.5 * np.sin(x / 11))
    return np.column_stack((x + dx, y + dy))


def curve(way: tuple[tuple[float, float], ...], step: float = 4.0) -> np.ndarray:
    """A smooth line near the way: corners cut four times over (Chaikin 1974)."""
    points = np.array(way, float)
    for _ in range(4):
        a, b = points[:-1], points[1:]
        cut = np.stack((0.8 * a + 0.2 * b, 0.2 * a + 0.8 * b), axis=1).reshape(-1, 2)
        points = np.vstack((points[:1], cut, points[-1:]))
    line = LineString(points)
    n = max(int(line.length / step), 2)
    return np.array([line.interpolate(i / n, normalized=True).coords[0] for i in range(n + 1)])


def rights(line: np.ndarray) -> np.ndarray:
    """Unit vectors to the right of a line at its points."""
    along = np.gradient(line, axis=0)
    along /= np.hypot(*along.T)[:, None]
    return np.column_stack((along[:, 1], -along[:, 0]))


def at(way: tuple[tuple[float, float], ...], along: float, right: float) -> tuple[float, float]:
    """The point so far along a way and so far to its right."""
    line = LineString(way)
    p, q = (np.array(line.interpolate(s).coords[0]) for s in (along - 1.0, along + 1.0))
    unit = (q - p) / np.hypot(*(q - p))
    x, y = (p + q) / 2 + right * np.array([unit[1], -unit[0]])
    return float(x), float(y)


def blob(
    x: float, y: float, r: float, rng: Any, long: float = 1.0, turn: float | None = None, rough: float = 0.13
) -> Polygon:
    """A smooth round shape: a circle with waves, drawn long along `turn`."""
    t = np.linspace(0.0, 2 * math.pi, 33)[:-1]
    wave = 1.0 + sum(rng.uniform(0, rough) * np.cos(k * t + rng.uniform(0, 6.3)) for k in (2, 3, 4))
    turn = rng.uniform(0, math.pi) if turn is None else turn
    u, v = r * long**0.5 * wave * np.cos(t), r / long**0.5 * wave * np.sin(t)
    return Polygon(
        np.column_stack(
            (x + u * math.cos(turn) - v * math.sin(turn), y + u * math.sin(turn) + v * math.cos(turn))
        )
    )


def smooth(shape: Any, r: float) -> Any:
    """Round the corners of a shape, outward and inward."""
    return shape.buffer(r).buffer(-2 * r).buffer(r)


def fairway(way: tuple[tuple[float, float], ...], par: int, rng: Any) -> Polygon:
    """A ribbon of changing width along the way, short of the green; an apron on a par 3."""
    line = curve(way)
    s = np.concatenate(([0.0], np.cumsum(np.hypot(*np.diff(line, axis=0).T))))
    start, end = (rng.uniform(136, 158), s[-1] - 9) if par > 3 else (s[-1] - 38, s[-1] - 9)
    keep = (s >= start) & (s <= end)
    line, s = line[keep], s[keep]
    half = 16.0 if par > 3 else 9.0
    phase = rng.uniform(0, 6.3, 4)
    left, right = (
        half * (1 + 0.2 * np.sin(s / 38 + phase[i]) + 0.1 * np.sin(s / 15 + phase[i + 2])) for i in (0, 1)
    )
    # Both ends draw in like a thumb, over 22 yd.
    ends = np.minimum(s - s[0], s[-1] - s) / 22.0
    taper = np.sqrt(np.clip(1.0 - (1.0 - np.clip(ends, 0.0, 1.0)) ** 2, 0.08, 1.0)) if par > 3 else 1.0
    left, right = left * taper, right * taper
    out = rights(line)
    ring = np.vstack((line - left[:, None] * out, (line + right[:, None] * out)[::-1]))
    return smooth(Polygon(ring).buffer(0), 5.0)


class Drawing:
    """The features of the map as they are drawn, in yards."""

    def __init__(self) -> None:
        self.features: list[dict[str, Any]] = []

    def add(self, shape: Any, simplify: float = 0.25, **tags: str) -> None:
        """Put a shape on the map with its tags; `_` stands for a colon in their names."""
        if isinstance(shape, MultiPolygon):
            for part in shape.geoms:
                self.add(part, simplify, **tags)
            return
        shape = shape.simplify(simplify) if simplify else shape
        number = 1000 + len(self.features)
        kind = "node" if isinstance(shape, Point) else "way"
        self.features.append({
            "type": "Feature", "id": f"{kind}/{number}",
            "properties": {key.replace("_at_", ":"): value for key, value in tags.items()},
            "geometry": geometry(shape),
        })  # fmt: skip


def geometry(shape: Any) -> dict[str, Any]:
    if isinstance(shape, Point):
        return {"type": "Point", "coordinates": degrees(shape.coords)[0]}
    if isinstance(shape, LineString):
        return {"type": "LineString", "coordinates": degrees(shape.coords)}
    shape = shapely.geometry.polygon.orient(shape)
    return {
        "type": "Polygon",
        "coordinates": [degrees(ring.coords) for ring in (shape.exterior, *shape.interiors)],
    }


def degrees(points: Any) -> list[list[float]]:
    """Longitude and latitude to 0.1 m."""
    found = PLANE.latlon(np.array(points) * M_PER_YD)
    return [[round(float(lon), 6), round(float(lat), 6)] for lat, lon in found]


def height_m(x: float, y: float) -> float:
    """An invented rolling ground over the sea."""
    return round(38 + 6.5 * math.sin(x / 170 + 0.4) + 5.0 * math.cos(y / 190) + 0.012 * y, 1)


def tee_box(x: float, y: float, turn: float, rng: Any) -> Polygon:
    deep, wide = rng.uniform(4.5, 7), rng.uniform(3.5, 4.5)
    box = shapely.box(-deep, -wide, deep, wide).buffer(1.6)
    return shapely.affinity.translate(shapely.affinity.rotate(box, math.degrees(turn), origin=(0, 0)), x, y)


def draw_hole(drawing: Drawing, number: int, rng: Any) -> dict[str, Any]:
    """Draw one hole; gives the shapes that woods and water keep clear of."""
    par, index, way = HOLES[number - 1]
    line = LineString(way)
    turn = math.atan2(way[1][1] - way[0][1], way[1][0] - way[0][0])
    lengths, tees = {}, []
    for name, forward, aside in TEES:
        forward = forward * (0.62 if par == 3 else 1.25 if par == 5 else 1.0)
        x, y = at(way, forward, aside) if forward else way[0]
        lengths[f"dist_at_{name}"] = str(round((line.length - forward) * M_PER_YD))
        tees.append(tee_box(x, y, turn, rng))
        drawing.add(tees[-1], 0.1, golf="tee", tee=name, ele=str(height_m(x, y)))
    drawing.add(line, 0, golf="hole", ref=str(number), par=str(par), handicap=str(index), **lengths)
    x, y = way[-1]
    green = blob(
        x + rng.uniform(-3, 3), y + rng.uniform(-3, 3), rng.uniform(12.5, 15.5), rng, rng.uniform(1.1, 1.5)
    )
    drawing.add(green, 0.1, golf="green", ele=str(height_m(x, y)))
    mown = fairway(way, par, rng)
    drawing.add(mown, 0.3, golf="fairway")
    draw_bunkers(drawing, number, way, green, mown, rng)
    return {"mown": mown, "green": green, "tees": unary_union(tees), "way": LineString(curve(way))}


def draw_bunkers(drawing: Drawing, number: int, way: Any, green: Polygon, mown: Polygon, rng: Any) -> None:
    x, y = green.centroid.coords[0]
    back = math.atan2(way[-2][1] - y, way[-2][0] - x)
    for degrees_right in GREEN_BUNKERS.get(number, ()):
        turn = back + math.radians(degrees_right)
        ray = LineString([(x, y), (x + 60 * math.cos(turn), y + 60 * math.sin(turn))])
        gap = ray.intersection(green).length + rng.uniform(6.0, 8.0)
        sand = blob(
            x + gap * math.cos(turn),
            y + gap * math.sin(turn),
            rng.uniform(4.5, 6.5),
            rng,
            1.8,
            turn + math.pi / 2,
            0.18,
        )
        drawing.add(sand.difference(green.buffer(1.2)), 0.1, golf="bunker", natural="sand")
    for along, side in FAIRWAY_BUNKERS.get(number, ()):
        line = tuple(map(tuple, curve(way)))
        bx, by = at(line, along, side * edge_beside(line, along, side, mown, rng.uniform(1.0, 5.0)))
        tangent = math.atan2(*(np.subtract(at(line, along + 4, 0), at(line, along - 4, 0))[::-1]))
        drawing.add(
            blob(bx, by, rng.uniform(5, 6.5), rng, 1.7, tangent, 0.18), 0.1, golf="bunker", natural="sand"
        )


def edge_beside(line: Any, along: float, side: int, mown: Polygon, gap: float) -> float:
    """How far from the middle of the fairway a bunker lies that bites into its edge a little."""
    away = LineString([at(line, along, 0.0), at(line, along, 45.0 * side)])
    return away.intersection(mown).length + gap


def edge_of(shapes: list[dict[str, Any]]) -> Polygon:
    """The course's edge: near the outer holes, smooth, without holes inside."""
    strips = [s["way"].buffer(NARROW.get(i, USUAL_EDGE)) for i, s in enumerate(shapes, start=1)]
    whole = unary_union(strips).buffer(95).buffer(-95)
    whole = max(whole.geoms, key=lambda p: p.area) if isinstance(whole, MultiPolygon) else whole
    return shapely.transform(smooth(Polygon(whole.exterior), 12.0), lambda p: warp(p, 2.0))


def draw_land(drawing: Drawing, shapes: list[dict[str, Any]], edge: Polygon, water: Any, rng: Any) -> None:
    """Woods and heath between the holes, single trees beside the fairways."""
    clear = unary_union([
        *(s["mown"].buffer(17) for s in shapes), *(s["green"].buffer(16) for s in shapes),
        *(s["tees"].buffer(13) for s in shapes), *(s["way"].buffer(15) for s in shapes), water.buffer(7),
        Point(0, -52).buffer(110),
    ])  # fmt: skip
    gap = edge.buffer(-4).difference(clear)
    x0, y0, x1, y1 = edge.bounds
    woods = unary_union([
        blob(rng.uniform(x0, x1), rng.uniform(y0, y1), rng.uniform(40, 95), rng, 1.4) for _ in range(46)
    ])  # fmt: skip
    wood = smooth(shapely.transform(gap.intersection(woods), warp).buffer(0).intersection(gap), 5.0)
    heath = unary_union(
        [blob(rng.uniform(x0, x1), rng.uniform(y0, y1), rng.uniform(30, 60), rng, 1.4) for _ in range(26)]
    )
    scrub = smooth(gap.difference(wood.buffer(6)).intersection(heath), 5.0)
    for shape, key, value in ((wood, "natural", "wood"), (scrub, "natural", "heath")):
        for part in getattr(shape, "geoms", [shape]):
            if part.area > 350:
                drawing.add(part, 0.8, **{key: value})
    for s in shapes[::1]:
        for _ in range(3):
            along = rng.uniform(0.35, 0.9) * s["way"].length
            x, y = at(tuple(s["way"].coords), along, rng.choice([-1, 1]) * rng.uniform(25, 31))
            spot = Point(x, y)
            if not any(
                o["mown"].buffer(4).contains(spot) or o["green"].buffer(9).contains(spot) for o in shapes
            ) and not wood.buffer(4).contains(spot):
                drawing.add(spot, 0, natural="tree")


def draw_course() -> dict[str, Any]:
    """Draw the whole map."""
    rng = np.random.default_rng(SEED)
    drawing = Drawing()
    shapes = [draw_hole(drawing, number, rng) for number in range(1, 19)]
    edge = edge_of(shapes)
    ponds = [(kind, blob(x, y, r, rng, long)) for kind, x, y, r, long in PONDS]
    streams = [LineString(curve(points, 8.0)) for points in STREAMS]
    water = unary_union([shape for _, shape in ponds] + [stream.buffer(2.5) for stream in streams])
    for kind, pond in ponds:
        drawing.add(pond, 0.2, golf=kind, natural="water", water="pond")
    for stream in streams:
        drawing.add(stream, 0.4, waterway="stream", width="4", golf="lateral_water_hazard")
    draw_land(drawing, shapes, edge, water, rng)
    house = blob(-2, -58, 30, rng, 1.5, 1.5)
    drawing.add(house, 0.3, golf="out_of_bounds", note="clubhouse and car park")
    drawing.add(
        shapely.affinity.rotate(shapely.box(-12, -70, 12, -54), 20), 0, golf="clubhouse", building="yes"
    )
    drawing.add(edge, 0.8, leisure="golf_course", name=NAME)
    return {
        "type": "FeatureCollection", "name": NAME,
        "licence": "Invented course, made for bagwright; Apache-2.0.", "features": drawing.features,
    }  # fmt: skip


def main() -> int:
    """Draw and write."""
    parser = argparse.ArgumentParser(description=__doc__)
    default = Path(__file__).parents[1] / "src" / "bagwright" / "demo" / "wethermoor.geojson"
    parser.add_argument("--out", type=Path, default=default)
    out = parser.parse_args().out
    content = json.dumps(draw_course(), ensure_ascii=False, separators=(",", ":")).replace(
        '{"type":"Feature",', '\n{"type":"Feature",'
    )
    write_whole(out, (content + "\n").encode())
    print(f"{out}: {out.stat().st_size} bytes")
    for name, forward, _ in TEES:
        parts = [
            LineString(w).length - forward * (0.62 if p == 3 else 1.25 if p == 5 else 1.0)
            for p, _, w in HOLES
        ]
        print(name, round(sum(parts)), [round(x) for x in parts])
    print("par", sum(p for p, _, _ in HOLES))
    return 0


if __name__ == "__main__":
    sys.exit(main())
