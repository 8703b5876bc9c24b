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

    def depth(self, shape):
        """How deep a panel is, away from the hinge."""
        ways = [float((numpy.array(p[:2]) - self.a) @ self.v) for p in shape.exterior.coords]
        return max(ways) - min(ways)

    def span(self, shape, v):
        """From where to where a panel's edge runs, which lies at this distance from the axis."""
        line = LineString([self.at(-1e4, v), self.at(1e4, v)]).buffer(1e-3)
        seen = [p for p in shape.exterior.coords if line.contains(Point(p[0], p[1]))]
        along = [float((numpy.array(p[:2]) - self.a) @ self.u) for p in seen]
        if len(along) < 2:
            raise ValueError(f"no edge {v} mm from the hinge")
        return min(along), max(along)


def split(edges, corners):
    """Chords divided where a joint begins or ends, though the rim goes straight on there."""
    done = []
    for a, b in edges:
        length = math.dist(a, b)
        u = ((b[0] - a[0]) / length, (b[1] - a[1]) / length)
        at = {0.0: a, length: b}
        for p in corners:
            x, y = p[0] - a[0], p[1] - a[1]
            along, aside = x * u[0] + y * u[1], x * u[1] - y * u[0]
            if abs(aside) < 2e-3 and all(abs(along - k) > 5e-3 for k in at) and 0 < along < length:
                at[along] = (a[0] + u[0] * along, a[1] + u[1] * along)
        ways = sorted(at)
        done += [(at[k], at[n]) for k, n in zip(ways, ways[1:])]
    return done


def last_of(run):
    """The first and the last stretch of a run along the rim, each with its outer end; none of one that goes all round."""
    # The rim is a ring: the run begins after the gap; a chord too short to be told is none.
    starts = [i for i in range(len(run)) if math.dist(run[i - 1][0][1], run[i][0][0]) > 0.1]
    if len(starts) != 1:
        return []
    i = starts[0]
    return [(*run[i], 0), (*run[i - 1], 1)]


def covers_of(pieces, stock):
    """The pieces of a stock that cover boards outside: one cloth, or what a covering by part is of."""
    return [p for p in pieces if p["stock"] == stock and p["role"] in ("cover", "side")]


def through_openings(pieces, covers, t, c):
    """The cloth that stands in the openings of boards, in tabs between its slits, each as it lies turned in over its edge."""
    folded = []
    for board in (p for p in pieces if p["stock"] == "board"):
        for opening in map(outline, board["holes"]):
            for cover in covers:
                cloth = opening.intersection(outline(cover["outline"])).difference(unary_union([outline(h) for h in cover["holes"]]))
                for s in cover["slits"]:
                    # A slit ends short of the board; from there on each tab folds alone.
                    (p, q) = (tuple(v[:2]) for v in (s[0], s[-1]))
                    far = 3 * t / max(math.dist(p, q), 1e-9)
                    on = (q[0] + (q[0] - p[0]) * far, q[1] + (q[1] - p[1]) * far)
                    cloth = cloth.difference(LineString([p, on]).buffer(2e-3, cap_style="square"))
                for tab in parts(cloth):
                    for a, b in chords(opening.exterior):
                        if LineString([a, b]).buffer(0.02).intersection(tab).area < 1e-3:
                            continue
                        # Into the opening is to the left of its edge; round the board go its thickness and the cloth's own.
                        length = math.dist(a, b)
                        n = (-(b[1] - a[1]) / length * (t + c) / 2, (b[0] - a[0]) / length * (t + c) / 2)
                        over = mirrored(tab, (a[0] + n[0], a[1] + n[1]), (b[0] + n[0], b[1] + n[1]))
                        folded += parts(over.difference(opening))
    return folded


def turned_in(pieces, panels, hinges, turn_in, t, c, stock="cloth"):
    """The turn-ins as they lie inside, and the rim of the region of boards and joints as chords; None without cloth."""
    rim = []
    covers = covers_of(pieces, stock)
    if not covers:
        return None
    joints, ends, corners = [], [], []
    for h in hinges:
        (a, b), (e, f) = h.reach
        corners += [h.at(a, 0), h.at(b, 0), h.at(e, h.width), h.at(f, h.width)]
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
    near = [line.buffer(2e-3, cap_style="square") for line in near if 1e-6 < line.length < 0.75 * turn_in]
    if near + carried:
        loose = loose.difference(unary_union(near + carried))
    tabs = parts(loose)
    tree = shapely.STRtree([g.buffer(0.02) for g in tabs])
    folded = []
    edges = split(chords(region.exterior), corners)
    # Which stretches of the rim each tab goes round, in the order of the rim, each with what lies straight out
    # from it and the line that it folds about.
    runs = [[] for _ in tabs]

    def joint_at(a, b):
        line = LineString([a, b])
        return next((j for end, j in ends if end.contains(line)), None)

    def along(line):
        """The tabs that go round a stretch of the rim; what meets it in a point alone belongs to another."""
        return [i for i in tree.query(line, predicate="intersects") if tree.geometries[i].intersection(line).length > 0.05]

    def touching(tab, cell, line):
        return [g for g in parts(tab.intersection(cell)) if g.buffer(0.02).intersection(line).length > 0.05]

    for before_edge, (a, b), after_edge in zip(edges[-1:] + edges[:-1], edges, edges[1:] + edges[:1]):
        before, after = before_edge[0], after_edge[1]
        rim.append((a, b))
        turn = bend(a, b, after)
        far = turn_in + 6
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
                m = outward(*about)
                cell = Polygon([*half, *((p[0] + m[0] * far, p[1] + m[1] * far) for p in half[::-1])])
                if not cell.is_valid:
                    continue
                line = LineString(half)
                for i in along(line):
                    runs[i].append((half, about, about, 0.0))
                    for g in touching(tabs[i], cell, line):
                        folded += parts(mirrored(g, *about).intersection(at_joint))
            continue
        # Where the rim goes on in a curve, cloth beside this chord's own is drawn along by it.
        x, y = ((b[k] - a[k]) / math.dist(a, b) * DRAWN for k in (0, 1))
        p = (a[0] - x, a[1] - y) if 1e-6 < abs(bend(before, a, b)) < 0.6 and joint_at(*before_edge) is None else a
        q = (b[0] + x, b[1] + y) if 1e-6 < abs(turn) < 0.6 and joint_at(*after_edge) is None else b
        line, beside = LineString([a, b]), strip(p, q, far)
        # Round the board's edge, which takes its thickness and the cloth's own: as over a line half of it outside.
        m = outward(a, b)
        x, y = m[0] * (t + c) / 2, m[1] * (t + c) / 2
        about = ((a[0] + x, a[1] + y), (b[0] + x, b[1] + y))
        own = []
        for i in along(line):
            runs[i].append(((a, b), (a, b), about, t + c))
            own += touching(tabs[i], beside, line)
        over = [mirrored(g, *about) for g in own]
        if p != a or q != b:
            # What a curve draws along stays on the boards that it runs by.
            boards = unary_union([panel["shape"].buffer(1e-3) for panel in panels if panel["shape"].distance(line) < 0.01])
            joined = unary_union([boards, mirrored(strip(a, b, far), a, b)])
            over = [f.buffer(0).intersection(joined) for f in over]
        folded += over
        if -0.6 < turn < -1e-6 and joint_at(*after_edge) is None:
            # Between two chords of a hollow curve the fan of cloth is folded in as well.
            far = max((g.hausdorff_distance(line) for g in own), default=0.0)
            far = max(min(far, turn_in) - t, 0.1)
            n = outward(b, after)
            folded.append(Polygon([b, (b[0] - m[0] * far, b[1] - m[1] * far), (b[0] - n[0] * far, b[1] - n[1] * far)]))
    # A tab is one piece: where it leans beyond the last that it goes round, its tip goes along with that fold.
    for tab, run in zip(tabs, runs):
        for stretch, out_of, about, lost, end in last_of(run):
            m, far = outward(*out_of), turn_in + 6
            way = (m[1], -m[0]) if end == 0 else (-m[1], m[0])
            p = stretch[end]
            square = ((lost, 0), (lost, far), (far, far), (far, 0))
            wide = [(p[0] + m[0] * x + way[0] * y, p[1] + m[1] * x + way[1] * y) for x, y in square]
            folded += [mirrored(g, *about) for g in parts(tab.intersection(Polygon(wide)))]
    folded += through_openings(pieces, covers, t, c)
    folded = [f.buffer(0) for f in folded if f.area > 1e-9]
    if not folded:
        return Polygon(), rim
    # Closed where a cut took its width, and no wider: a hair along a whole rim would be square millimetres.
    whole = shapely.union_all(folded, grid_size=1e-5).buffer(2.5e-3, join_style="mitre").buffer(-2.5e-3, join_style="mitre")
    return shapely.intersection(whole, region, grid_size=1e-5), rim
