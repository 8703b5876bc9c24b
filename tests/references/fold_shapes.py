"""Shapes for fold_boxes.py: outlines with arcs, what is mirrored over an edge, and solids in space."""

import math

import numpy
from shapely import affinity
from shapely.geometry import LineString, MultiPolygon, Polygon, box

# What two solids may share, or a joint may lack, mm: rounding.
TOLERANCE = 0.02


def arc(a, b, bulge, tolerance=0.005):
    """The points of an arc after its start; the bulge is the tangent of a quarter of its sweep."""
    if abs(bulge) < 1e-12:
        return [b]
    radius = math.dist(a, b) * (1 + bulge * bulge) / (4 * abs(bulge))
    sweep = 4 * math.atan(bulge)
    k = (1 - bulge * bulge) / (4 * bulge)
    center = ((a[0] + b[0]) / 2 - (b[1] - a[1]) * k, (a[1] + b[1]) / 2 + (b[0] - a[0]) * k)
    start = math.atan2(a[1] - center[1], a[0] - center[0])
    step = 2 * math.acos(max(0.0, 1 - tolerance / radius))
    n = min(400, max(2, math.ceil(abs(sweep) / step))) if step > 0 else 2
    turned = (start + sweep * i / n for i in range(1, n))
    return [(center[0] + radius * math.cos(s), center[1] + radius * math.sin(s)) for s in turned] + [b]


def outline(vertices):
    points = []
    for v, w in zip(vertices, vertices[1:] + vertices[:1]):
        points += arc((v[0], v[1]), (w[0], w[1]), v[2])
    shape = Polygon(points)
    return shape if shape.is_valid else shape.buffer(0)


def parts(shape):
    return [g for g in getattr(shape, "geoms", [shape]) if g.geom_type == "Polygon" and g.area > 1e-7]


def areas(shape):
    """Only what has an area."""
    return MultiPolygon(parts(shape))


def mirrored(shape, a, b):
    """Over the line through a and b."""
    length = math.dist(a, b)
    x, y = (b[0] - a[0]) / length, (b[1] - a[1]) / length
    p, q = x * x - y * y, 2 * x * y
    return affinity.affine_transform(
        shape, [p, q, q, -p, a[0] - p * a[0] - q * a[1], a[1] - q * a[0] + p * a[1]]
    )


def chords(ring):
    points = [(x, y) for x, y, *_ in ring.coords][:-1]
    if not ring.is_ccw:
        points.reverse()
    points = [p for p, q in zip(points, points[-1:] + points[:-1]) if math.dist(p, q) > 1e-6]
    return list(zip(points, points[1:] + points[:1]))


def bend(a, b, c):
    """By how much the way turns at b, radians, to the left above zero."""
    turn = math.atan2(c[1] - b[1], c[0] - b[0]) - math.atan2(b[1] - a[1], b[0] - a[0])
    return (turn + math.pi) % (2 * math.pi) - math.pi


def bend_of(p, q):
    """The angle between the directions of two edges."""
    return bend((0, 0), (p[1][0] - p[0][0], p[1][1] - p[0][1]), (p[1][0] - p[0][0] + q[1][0] - q[0][0], p[1][1] - p[0][1] + q[1][1] - q[0][1]))


def outward(a, b):
    length = math.dist(a, b)
    return ((b[1] - a[1]) / length, (a[0] - b[0]) / length)


def stretches(shape, a, b):
    """From where to where the way from a to b runs over a shape, in mm from a."""
    if shape.is_empty:
        return []
    seen = shape.intersection(LineString([a, b]))
    lines = [g for g in getattr(seen, "geoms", [seen]) if g.geom_type == "LineString" and not g.is_empty]
    return [tuple(sorted(math.dist(a, g.coords[k]) for k in (0, -1))) for g in lines]


def thickest(along, least):
    """The most that lies on a stretch of at least that length; of neighbours (from, to, how thick)."""
    best = min(x for _, _, x in along)
    for value in {x for _, _, x in along}:
        length = 0.0
        for a, b, x in along:
            length = length + b - a if x > value - 1e-9 else 0.0
            if length >= least:
                best = max(best, value)
    return best


def strip(a, b, width):
    """The rectangle of that width to the right of a chord, outside of a ring that runs counter-clockwise."""
    n = outward(a, b)
    return Polygon([a, b, (b[0] + n[0] * width, b[1] + n[1] * width), (a[0] + n[0] * width, a[1] + n[1] * width)])


def into(corners, rectangles):
    """How deep rectangles lie in others (x0, y0, x1, y1): the least way along a side that parts them."""
    x0, y0, x1, y1 = rectangles.T
    low, high = corners.min(axis=1), corners.max(axis=1)
    depth = numpy.minimum.reduce([high[:, 0] - x0, x1 - low[:, 0], high[:, 1] - y0, y1 - low[:, 1]])
    others = numpy.stack([numpy.stack(p, axis=1) for p in ((x0, y0), (x1, y0), (x1, y1), (x0, y1))], axis=1)
    for p, q in ((0, 1), (1, 2)):
        n = corners[:, q] - corners[:, p]
        n = n / numpy.maximum(numpy.hypot(n[:, 0], n[:, 1]), 1e-9)[:, None]
        s, o = numpy.einsum("ijk,ik->ij", corners, n), numpy.einsum("ijk,ik->ij", others, n)
        depth = numpy.minimum.reduce([depth, s.max(axis=1) - o.min(axis=1), o.max(axis=1) - s.min(axis=1)])
    return numpy.maximum(depth, 0.0)


class Solid:
    """A region of a panel between two heights, in its place: a prism along one of the axes of space."""

    def __init__(self, panel, what, region, low, high, frame):
        turn, move = frame
        self.panel, self.what = panel, what
        self.normal = int(numpy.argmax(abs(turn[:, 2])))
        ends = sorted(move[self.normal] + turn[self.normal, 2] * z for z in (low, high))
        self.low, self.high = ends
        self.axes = [k for k in range(3) if k != self.normal]
        p, q = self.axes
        self.region = affinity.affine_transform(
            region, [turn[p, 0], turn[p, 1], turn[q, 0], turn[q, 1], move[p], move[q]]
        )
        x0, y0, x1, y1 = self.region.bounds
        self.low_corner, self.high_corner = numpy.empty(3), numpy.empty(3)
        self.low_corner[[p, q, self.normal]] = x0, y0, self.low
        self.high_corner[[p, q, self.normal]] = x1, y1, self.high

    def between(self, axis, low, high):
        """The part of its region between two values of one of its axes."""
        x0, y0, x1, y1 = self.region.bounds
        cut = box(low, y0 - 1, high, y1 + 1) if axis == self.axes[0] else box(x0 - 1, low, x1 + 1, high)
        return parts(self.region.intersection(cut))

    def cut(self, axis, value):
        """The rectangle around its cut across an axis, in the other two."""
        others = [k for k in range(3) if k != axis]
        if axis == self.normal:
            low, high = self.low_corner, self.high_corner
            return (low[others[0]], low[others[1]], high[others[0]], high[others[1]])
        own = 0 if self.axes[0] == axis else 1
        x0, y0, x1, y1 = self.region.bounds
        line = LineString([(value, y0 - 1), (value, y1 + 1)] if own == 0 else [(x0 - 1, value), (x1 + 1, value)])
        seen = self.region.intersection(line)
        if seen.is_empty:
            return None
        bounds = seen.bounds
        span = (bounds[1], bounds[3]) if own == 0 else (bounds[0], bounds[2])
        ranges = {self.normal: (self.low, self.high), self.axes[1 - own]: span}
        a, b = (ranges[k] for k in others)
        return (a[0], b[0], a[1], b[1])


def meeting(some, others):
    """The pairs whose bounds overlap."""
    low, high = (numpy.array([getattr(s, k) for s in some])[:, None] for k in ("low_corner", "high_corner"))
    low2, high2 = (numpy.array([getattr(s, k) for s in others])[None] for k in ("low_corner", "high_corner"))
    overlap = (numpy.minimum(high, high2) - numpy.maximum(low, low2)).min(axis=2) > TOLERANCE
    return [(some[i], others[j]) for i, j in zip(*numpy.nonzero(overlap))]


def shared(a, b):
    """How deep two solids lie in each other, in the direction in which it is least."""
    extents = numpy.minimum(a.high_corner, b.high_corner) - numpy.maximum(a.low_corner, b.low_corner)
    if extents.min() <= TOLERANCE:
        return 0.0
    if a.normal == b.normal:
        depth = min(a.high, b.high) - max(a.low, b.low)
        common = parts(a.region.intersection(b.region))
        widest = 0.0
        for g in common:
            x0, y0, x1, y1 = g.bounds
            # What is left after going in from the rim: a sliver along a slope is no depth.
            if not g.buffer(-TOLERANCE / 2).is_empty:
                widest = max(widest, min(x1 - x0, y1 - y0, 4 * g.area / g.length if g.length else 0.0))
        return float(min(depth, widest))
    k = next(x for x in range(3) if x not in (a.normal, b.normal))
    worst = 0.0
    for p in a.between(b.normal, b.low, b.high):
        for q in b.between(a.normal, a.low, a.high):
            pb, qb = p.bounds, q.bounds
            pk, qk = a.axes.index(k), b.axes.index(k)
            along = min(pb[pk + 2], qb[qk + 2]) - max(pb[pk], qb[qk])
            pn, qn = 1 - pk, 1 - qk
            worst = max(worst, min(along, pb[pn + 2] - pb[pn], qb[qn + 2] - qb[qn]))
    return float(worst)
