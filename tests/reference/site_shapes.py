"""Areas, distances, and crossings of shapes on a drawing, by shapely.

Run: python site_shapes.py   (writes site_shapes.json beside this file, prints what it holds)

Coordinates are meters. A ring is a list of corners [x, y] without the first one again at the end, clockwise
or not; it stands for the polygon inside it. Each entry of `cases` is a list of five shapes and then what
shapely says about them, in the order of `columns`:

    one, two         rings, 3 to 9 corners, many of them not convex, neither crossing itself
    point            [x, y]
    segment          [[x, y], [x, y]]
    rectangle        the ring of a turned rectangle
    area_one         area of the first polygon, m2
    area_two         area of the second, m2
    polygons         distance between the two, m; 0 if they touch or overlap
    polygons_meet    whether the two have a point in common (`intersects`)
    to_polygon       distance from the point to the first polygon, m; 0 inside and on the edge
    to_segment       distance from the point to the segment, m
    polygon_segment  distance from the first polygon to the segment, m; 0 if they meet
    segment_meets    whether the segment and the rectangle have a point in common
    segment_enters   whether part of the segment is inside the rectangle; to touch its edge is not enough

The first `RANDOM` cases have coordinates in centimeters, so that nothing just touches. The others are on a
small grid, where shapes often share corners and edges, points are on edges, and segments run along them; all
rectangles there are upright.

`rings` is a list of [ring, whether shapely calls its polygon valid]: quadrilaterals as people click them, half
of them bow-ties by a swap of two corners, and rings whose corners are in no order at all.
"""
import json
import math
import random
from importlib.metadata import version
from pathlib import Path

import shapely
from shapely import LineString, Point, Polygon

SEED, RANDOM, GRID, QUADRILATERALS, JUMBLED = 411, 220, 80, 60, 40
WIDE, DEEP, SQUARES = 120.0, 90.0, 8
COLUMNS = [
    "one", "two", "point", "segment", "rectangle", "area_one", "area_two", "polygons", "polygons_meet", "to_polygon",
    "to_segment", "polygon_segment", "segment_meets", "segment_enters",
]
FORMAT = {
    "packages": "the versions that made this file",
    "columns": "of each of the cases: shapes, then results in m and m2; site_shapes.py explains them",
    "random": "so many of the cases come first and have nothing that just touches",
    "rings": "[ring, whether its polygon is valid]",
}


# --- by chance ------------------------------------------------------------------------------


def place(rng):
    return [round(rng.uniform(0, WIDE), 2), round(rng.uniform(0, DEEP), 2)]


def around(center, corners):
    """Corners given as (angle, radius), as a ring in centimeters."""
    (x, y) = center
    return [[round(x + r * math.cos(a), 2), round(y + r * math.sin(a), 2)] for a, r in corners]


def near(rng, middle, off):
    return [round(coordinate + rng.uniform(-off, off), 2) for coordinate in middle]


def star(rng, middle):
    """A ring that is seen whole from its middle; mostly not convex."""
    while True:
        angles = sorted(rng.uniform(0, 2 * math.pi) for _ in range(rng.randint(3, 9)))
        size = rng.uniform(3, 35)
        ring = around(middle, [(angle, size * rng.uniform(0.3, 1)) for angle in angles])
        if rng.random() < 0.5:
            ring.reverse()
        if Polygon(ring).is_valid and Polygon(ring).area > 0.5:
            return ring


def rectangle(rng):
    half, turn = math.atan2(rng.uniform(1, 6), rng.uniform(1, 12)), rng.uniform(0, 2 * math.pi)
    radius = rng.uniform(1, 8)
    return around(place(rng), [(turn + angle, radius) for angle in (half, math.pi - half, math.pi + half, -half)])


def by_chance(rng):
    segment = [place(rng), place(rng)]
    box = rectangle(rng)
    if rng.random() < 0.5:
        # As far beyond the rectangle as it begins before, and often through it.
        (x, y), middle = segment[0], Polygon(box).centroid
        segment[1] = near(rng, [2 * middle.x - x, 2 * middle.y - y], 6)
    one, two, point = place(rng), place(rng), place(rng)
    if rng.random() < 0.5:
        # Otherwise few would overlap.
        two, point = near(rng, one, 30), near(rng, one, 15)
    return [star(rng, one), star(rng, two), point, segment, box]


# --- on a grid ------------------------------------------------------------------------------


def knot(rng):
    return [rng.randint(0, SQUARES), rng.randint(0, SQUARES)]


def grid_ring(rng):
    while True:
        ring = [knot(rng) for _ in range(rng.randint(3, 5))]
        if Polygon(ring).is_valid and Polygon(ring).area > 0:
            return ring


def grid_rectangle(rng):
    (x, y), wide, deep = knot(rng), rng.randint(1, 4), rng.randint(1, 4)
    return [[x, y], [x + wide, y], [x + wide, y + deep], [x, y + deep]]


def grid_segment(rng):
    while True:
        ends = [knot(rng), knot(rng)]
        if ends[0] != ends[1]:
            return ends


def on_grid(rng):
    return [grid_ring(rng), grid_ring(rng), knot(rng), grid_segment(rng), grid_rectangle(rng)]


# --- results --------------------------------------------------------------------------------


def measured(shapes):
    one, two, point, segment, box = shapes
    one, two, box = Polygon(one), Polygon(two), Polygon(box)
    point, segment = Point(point), LineString(segment)
    results = [
        round(one.area, 4),
        round(two.area, 4),
        round(one.distance(two), 6),
        bool(one.intersects(two)),
        round(point.distance(one), 6),
        round(point.distance(segment), 6),
        round(one.distance(segment), 6),
        bool(segment.intersects(box)),
        # The first place of the pattern: inside meets inside.
        segment.relate(box)[0] != "F",
    ]
    return [*shapes, *results]


def quadrilateral(rng):
    center, size = place(rng), rng.uniform(2, 30)
    corners = [(quarter * math.pi / 2 + rng.uniform(0, 1.2), size * rng.uniform(0.5, 1)) for quarter in range(4)]
    ring = around(center, corners)
    if rng.random() < 0.5:
        ring[1], ring[2] = ring[2], ring[1]
    return ring


def rings(rng):
    jumbled = [[place(rng) for _ in range(rng.randint(4, 7))] for _ in range(JUMBLED)]
    return [[ring, Polygon(ring).is_valid] for ring in [quadrilateral(rng) for _ in range(QUADRILATERALS)] + jumbled]


def dump(value):
    return json.dumps(value, separators=(",", ":"))


def lines(rows):
    return "[\n" + ",\n".join(map(dump, rows)) + "\n]"


def main():
    rng = random.Random(SEED)
    cases = [measured(by_chance(rng)) for _ in range(RANDOM)] + [measured(on_grid(rng)) for _ in range(GRID)]
    drawn = rings(rng)
    # Packages may differ on what almost touches.
    for case in cases[:RANDOM]:
        assert all(case[place] == 0 or case[place] > 1e-4 for place in (7, 9, 10, 11)) and case[12] == case[13]
    packages = {"shapely": version("shapely"), "GEOS": shapely.geos_version_string}
    (Path(__file__).parent / "site_shapes.json").write_text(
        f'{{"format":{dump(FORMAT)},\n"packages":{dump(packages)},\n'
        f'"columns":{dump(COLUMNS)},\n"random":{RANDOM},\n"cases":{lines(cases)},\n"rings":{lines(drawn)}\n}}\n'
    )
    for name, part in (("by chance", cases[:RANDOM]), ("on the grid", cases[RANDOM:])):
        print(len(part), name, "| polygons meet", sum(case[8] for case in part),
              "| point in polygon", sum(case[9] == 0 for case in part),
              "| polygon meets segment", sum(case[11] == 0 for case in part),
              "| segment meets rectangle", sum(case[12] for case in part),
              "and only touches it", sum(case[12] and not case[13] for case in part))
    print(len(drawn), "rings, of which", sum(not valid for _, valid in drawn), "are not valid")


if __name__ == "__main__":
    main()
