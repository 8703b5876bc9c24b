"""The covering of exported boxes folded with shapely.

    check_folding.py MANIFEST...     (standard input: {"turn_in": mm, "allowance": mm, "t": mm} for each, a list)

Reads pieces alone. For every straight free board edge the cloth outside it, slits open, is mirrored over
the edge. Prints a JSON list of {edges, worst_overlap, worst_bare} in mm: the widest strip by which the
mirrored turn-ins of two edges that meet lie on each other, and the longest stretch of an edge over which
less than t + 6 mm (or all of the turn-in) of cloth is to be had, patches aside.
"""

import json
import math
import sys

from shapely import affinity
from shapely.geometry import LineString, Polygon
from shapely.ops import unary_union


def arc(a, b, bulge, tolerance=0.005):
    if abs(bulge) < 1e-12:
        return [b]
    chord = math.dist(a, b)
    radius = chord * (1 + bulge * bulge) / (4 * abs(bulge))
    sweep = 4 * math.atan(bulge)
    mid = ((a[0] + b[0]) / 2, (a[1] + b[1]) / 2)
    k = (1 - bulge * bulge) / (4 * bulge)
    center = (mid[0] - (b[1] - a[1]) * k, mid[1] + (b[0] - a[0]) * k)
    start = math.atan2(a[1] - center[1], a[0] - center[0])
    n = max(2, math.ceil(abs(sweep) / (2 * math.acos(max(0.0, 1 - tolerance / radius)))))
    return [
        (center[0] + radius * math.cos(start + sweep * i / n), center[1] + radius * math.sin(start + sweep * i / n))
        for i in range(1, n)
    ] + [b]


def outline(vertices):
    points = []
    for v, w in zip(vertices, vertices[1:] + vertices[:1]):
        points += arc((v[0], v[1]), (w[0], w[1]), v[2])
    return Polygon(points)


def mirrored(shape, a, b):
    angle = math.degrees(math.atan2(b[1] - a[1], b[0] - a[0]))
    flat = affinity.rotate(shape, -angle, origin=a)
    return affinity.rotate(affinity.scale(flat, 1, -1, origin=a), angle, origin=a)


def check(manifest, told):
    pieces = manifest["pieces"]
    boards = [p for p in pieces if p["stock"] == "board"]
    cloth = next(p for p in pieces if p["role"] == "cover")
    shapes = [outline(p["outline"]) for p in boards]
    covered = unary_union(shapes)
    loose = outline(cloth["outline"]).difference(covered)
    for slit in cloth["slits"]:
        loose = loose.difference(LineString([(v[0], v[1]) for v in slit]).buffer(1e-3, cap_style="square"))
    turn_in = told["turn_in"]
    enough = min(told["t"] + 6, turn_in)
    edges = []
    for k, p in enumerate(boards):
        v = p["outline"]
        for i, (a, b) in enumerate(zip(v, v[1:] + v[:1])):
            length = math.dist(a[:2], b[:2])
            if abs(a[2]) > 1e-12 or length < 5:
                continue
            out = ((b[1] - a[1]) / length, (a[0] - b[0]) / length)
            mid = ((a[0] + b[0]) / 2, (a[1] + b[1]) / 2)
            ray = LineString([(mid[0] + out[0] * s, mid[1] + out[1] * s) for s in (0.01, turn_in)])
            if any(ray.intersects(s) for s in shapes):
                continue  # a joint
            far = turn_in + 0.5
            strip = Polygon(
                [tuple(a[:2]), tuple(b[:2]), (b[0] + out[0] * far, b[1] + out[1] * far), (a[0] + out[0] * far, a[1] + out[1] * far)]
            )
            parts = loose.intersection(strip)
            line = LineString([a[:2], b[:2]])
            own = unary_union([g for g in getattr(parts, "geoms", [parts]) if g.area > 1e-3 and g.distance(line) < 0.05])
            edges.append((k, i, len(v), a, b, own))
    worst_overlap = worst_bare = 0.0
    for n, (k, i, count, a, b, own) in enumerate(edges):
        fold = mirrored(own, tuple(a[:2]), tuple(b[:2]))
        for k2, j, _, c, d, other in edges[n + 1 :]:
            if k2 != k or (i + 1) % count != j and (j + 1) % count != i:
                continue
            shared = fold.intersection(mirrored(other, tuple(c[:2]), tuple(d[:2])))
            for g in getattr(shared, "geoms", [shared]):
                if g.area > 1e-3:
                    x, y = g.minimum_rotated_rectangle.exterior.coords.xy
                    sides = [math.hypot(x[1] - x[0], y[1] - y[0]), math.hypot(x[2] - x[1], y[2] - y[1])]
                    worst_overlap = max(worst_overlap, min(sides))
        length = math.dist(a[:2], b[:2])
        out = ((b[1] - a[1]) / length, (a[0] - b[0]) / length)
        bare = 0
        # Within a turn-in's width of a corner the neighbour's turn-in is folded over as well.
        steps = int(length)
        for s in range(steps):
            at = (s + 0.5) / steps
            if min(at, 1 - at) * length < turn_in:
                continue
            p = (a[0] + (b[0] - a[0]) * at, a[1] + (b[1] - a[1]) * at)
            ray = LineString([(p[0] + out[0] * d, p[1] + out[1] * d) for d in (0.0, enough)])
            bare += ray.intersection(own).length < enough - 0.05
        worst_bare = max(worst_bare, bare * length / max(steps, 1))
    return {"edges": len(edges), "worst_overlap": worst_overlap, "worst_bare": worst_bare}


told = json.load(sys.stdin)
print(json.dumps([check(json.load(open(path)), t) for path, t in zip(sys.argv[1:], told)]))
