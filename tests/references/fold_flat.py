"""The flat layout for fold_boxes.py: its hinges, and where the cloth lies once it is turned in."""

import math

import numpy
import shapely
from fold_shapes import bend, bend_of, chords, mirrored, outline, outward, parts, strip
from shapely.geometry import LineString, Point, Polygon
from shapely.ops import unary_union

# A point beside a line, far enough from it for plain numbers to tell.
BESIDE = 0.1
# On a curve cloth does not fold about its own tangent alone: a tab between two cuts folds about one line.
DRAWN = 30.0


class Hinge:
    """A hinge in the flat layout: u along it, v from the parent to the child, w towards the inside."""

    def __init__(self, told, panels):
        self.parent, self.child = told["parent"], told["child"]
        self.width, self.order, self.is_joint = told["width"], told["order"], told["kind"] == "joint"
        a, b = told["axis"]
        self.length = math.dist(a, b)
        self.a = numpy.array(a)
        self.u = (numpy.array(b) - self.a) / self.length
        self.v = numpy.array([self.u[1], -self.u[0]])
        self.reach = [self.span(panels[self.parent]["shape"], 0.0), self.span(panels[self.child]["shape"], self.width)]

    def at(self, u, v):
        return tuple(self.a + self.u * u + self.v * v)

    def span(self, shape, v):
        """From where to where a panel's edge runs, which lies at this distance from the axis."""
        line = LineString([self.at(-1e4, v), self.at(1e4, v)]).buffer(1e-3)
        seen = [p for p in shape.exterior.coords if line.contains(Point(p[0], p[1]))]
        along = [float((numpy.array(p[:2]) - self.a) @ self.u) for p in seen]
        if len(along) < 2:
            raise ValueError(f"no edge {v} mm from the hinge")
        return min(along), max(along)


def turned_in(pieces, panels, hinges, turn_in, t, c):
    """The turn-ins as they lie inside, and the rim of the region of boards and joints as chords; None without cloth."""
    rim = []
    covers = [p for p in pieces if p["stock"] == "cloth" and p["role"] == "cover"]
    if not covers:
        return None
    joints, ends = [], []
    for h in hinges:
        (a, b), (e, f) = h.reach
        joints.append(Polygon([h.at(a, 0), h.at(e, h.width), h.at(f, h.width), h.at(b, 0)]))
        for u, v in ((a, e), (b, f)):
            ends.append((LineString([h.at(u, 0), h.at(v, h.width)]).buffer(0.01), joints[-1]))
    region = unary_union([p["shape"].buffer(1e-4, join_style="mitre") for p in panels] + [j.buffer(1e-4, join_style="mitre") for j in joints])
    region = max(parts(region), key=lambda g: g.area).simplify(5e-4)
    cloth = unary_union([outline(p["outline"]) for p in covers])
    slits = [LineString([v[:2] for v in s]) for p in covers for s in p["slits"]]
    loose = cloth.difference(region)
    if slits:
        loose = loose.difference(unary_union(slits).buffer(2e-3, cap_style="square"))
    # A cut ends short of the board; from there on each tab folds alone.
    apexes, carried = [], []
    for s in slits:
        # A slit is carried on in its own direction.
        for (p, q) in ((s.coords[1], s.coords[0]), (s.coords[-2], s.coords[-1])):
            far = 3 * t / max(math.dist(p, q), 1e-9)
            on = LineString([q, (q[0] + (q[0] - p[0]) * far, q[1] + (q[1] - p[1]) * far)])
            hit = on.intersection(region)
            if not hit.is_empty:
                carried.append(LineString([q, shapely.shortest_line(Point(q), hit).coords[-1]]).buffer(2e-3, cap_style="square"))
    for g in parts(cloth):
        apexes += [b for (a, b), (_, c) in zip(chords(g.exterior), chords(g.exterior)[1:] + chords(g.exterior)[:1]) if bend(a, b, c) < -0.3]
    near = [shapely.shortest_line(Point(a), region.exterior) for a in apexes]
    near = [line.buffer(2e-3, cap_style="square") for line in near if 1e-6 < line.length < 3 * t]
    if near + carried:
        loose = loose.difference(unary_union(near + carried))
    shapely.prepare(loose)
    folded = []
    edges = chords(region.exterior)

    def joint_at(a, b):
        line = LineString([a, b])
        return next((j for end, j in ends if end.contains(line)), None)

    for before_edge, (a, b), after_edge in zip(edges[-1:] + edges[:-1], edges, edges[1:] + edges[:1]):
        before, after = before_edge[0], after_edge[1]
        rim.append((a, b))
        turn = bend(a, b, after)
        # Where the rim goes on in a curve, cloth beside this chord's own is drawn along by it.
        x, y = ((b[k] - a[k]) / math.dist(a, b) * DRAWN for k in (0, 1))
        p = (a[0] - x, a[1] - y) if 1e-6 < abs(bend(before, a, b)) < 0.6 else a
        q = (b[0] + x, b[1] + y) if 1e-6 < abs(turn) < 0.6 else b
        own = loose.intersection(strip(p, q, turn_in + 6))
        line = LineString([a, b])
        # What meets the fold at its end alone belongs to another tab.
        own = [g for g in parts(own) if g.buffer(0.02).intersection(line).length > 0.05]
        at_joint = joint_at(a, b)
        if at_joint is not None:
            # There is no board to go round, and the fold stays within the joint. Each half of the cloth there
            # is turned in together with what is beside it, about the same line.
            middle = ((a[0] + b[0]) / 2, (a[1] + b[1]) / 2)
            halves = {}
            for half, beside in (((a, middle), before_edge), ((middle, b), after_edge)):
                p, q = beside
                is_end = joint_at(p, q) is None and abs(bend_of(beside, (a, b))) < 1.2
                halves[half] = beside if is_end else None
            fallback = next((x for x in halves.values() if x), (a, b))
            for half, about in halves.items():
                about = about or fallback
                m, far = outward(*about), turn_in + 6
                cell = Polygon([*half, *((p[0] + m[0] * far, p[1] + m[1] * far) for p in half[::-1])])
                if not cell.is_valid:
                    continue
                line = LineString(half)
                for g in parts(loose.intersection(cell)):
                    if g.distance(line) < 0.02:
                        folded += parts(mirrored(g, *about).intersection(at_joint))
            continue
        # Round the board's edge, which takes its thickness and the cloth's own: as over a line half of it outside.
        m = outward(a, b)
        x, y = m[0] * (t + c) / 2, m[1] * (t + c) / 2
        over = [mirrored(g, (a[0] + x, a[1] + y), (b[0] + x, b[1] + y)) for g in own]
        if p != a or q != b:
            # What a curve draws along stays on the boards that it runs by.
            boards = unary_union([panel["shape"].buffer(1e-3) for panel in panels if panel["shape"].distance(line) < 0.01])
            joined = unary_union([boards, mirrored(strip(a, b, turn_in + 6), a, b)])
            over = [f.buffer(0).intersection(joined) for f in over]
        folded += over
        if -0.6 < turn < -1e-6:
            # Between two chords of a hollow curve the fan of cloth is folded in as well.
            far = max((g.hausdorff_distance(line) for g in own), default=0.0)
            far = max(min(far, turn_in) - t, 0.1)
            n = outward(b, after)
            folded.append(Polygon([b, (b[0] - m[0] * far, b[1] - m[1] * far), (b[0] - n[0] * far, b[1] - n[1] * far)]))
    folded = [f.buffer(0) for f in folded if f.area > 1e-9]
    if not folded:
        return Polygon(), rim
    whole = shapely.union_all(folded, grid_size=1e-5).buffer(2e-3, join_style="mitre")
    return shapely.intersection(whole, region, grid_size=1e-5), rim
