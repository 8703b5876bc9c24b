"""Folds boxes from their flat pieces, every layer counted, with shapely and plain numbers.

    fold_boxes.py     (standard input: JSON lines {"pieces": [...], "fit": {... "dressed": {...}}}, as in a manifest)

For each line one JSON line: what the joints need, what shares space in the closed box, how each lid lies, the
exterior, what is bare in the open box, and what is in the way of a lid that closes. Lengths in mm, areas in mm2.

How it sees a box. A panel is a board of its outline, its outside face down in the flat layout. Cloth lies
outside over panels and joints. What of it stands over the rim of that region is mirrored over the rim and lies
inside: the turn-in, at joints' ends as well. Patches lie under it, the liner over it. A liner that is pressed
into the joints is longer by the take-up of each joint, so its parts are moved back by one take-up per joint.
Hinge strips lie in the joints and on the boards beside
them, over turn-ins and patches and under the linings, which then lie where they are drawn.
Edges of a lining that are folded under it
are what stands over its own edge, mirrored over that; at a re-entrant corner they part along the bisector.
Where two turn-ins, or two hinge strips, overlap at a mitred corner they count as one: the pleat is pressed flat. Cuts divide the cloth into
tabs. A tab is one piece: where it leans beyond the last that it goes round, its tip goes along with that fold, on to
the joint or the board beside it. What lies along less than half a millimetre of a joint is pressed flat there.
"""

import json
import math
import sys

# Nothing is left beside the sources.
sys.dont_write_bytecode = True

import numpy
import shapely
from fold_flat import BESIDE, Hinge, covers_of, turned_in
from fold_shapes import TOLERANCE, Solid, areas, bend, chords, meeting, mirrored, outline, outward, parts, shared, stretches, strip, thickest
from fold_way import Sweep
from shapely import affinity
from shapely.geometry import LineString, Polygon, box
from shapely.ops import unary_union

# What lies along less than this of a joint is pressed flat there, mm.
PRESSED = 0.5


def folded_under(net, cut, width):
    """Where what a lining is cut larger by comes to lie under it: what stands over each edge, mirrored over it."""
    edges, far, found = chords(net.exterior), width + 1, []
    for before, (a, b), after in zip(edges[-1:] + edges[:-1], edges, edges[1:] + edges[:1]):
        over, n = strip(a, b, far).intersection(cut), outward(a, b)
        for corner, other, turn in ((a, before, bend(*before, b)), (b, after, bend(a, *after))):
            if turn < -1e-6:
                # Re-entrant: beyond the bisector it is the other edge's.
                m = outward(*other)
                x, y = n[0] + m[0], n[1] + m[1]
                k = 2 * far / math.hypot(x, y)
                bis, straight = (x * k, y * k), (n[0] * 2 * far, n[1] * 2 * far)
                out = [corner, (corner[0] + bis[0], corner[1] + bis[1]), (corner[0] + straight[0], corner[1] + straight[1])]
                over = over.difference(Polygon(out))
        found += [mirrored(g, a, b) for g in parts(over)]
    return found


class Box:
    def __init__(self, told):
        self.told = told
        d = told["fit"]["dressed"]
        self.t, self.c, self.l = d["board"], d["cloth"], d["liner"]
        self.seat, self.take_up = d["seat"], d["take_up"]
        self.contents, self.turn_in = d["contents"], d["turn_in"]
        self.interior = told["fit"]["interior"]
        self.panels = d["panels"]
        for p in self.panels:
            p["shape"] = outline(p["outline"])
            p["name"] = " ".join(filter(None, [p["side"], p["part"]]))
        self.hinges = [Hinge(h, self.panels) for h in d["hinges"]]
        self.above = {h.child: h for h in self.hinges}
        # Cloth that is said to be as thick as nothing takes nothing; paper beside it does.
        is_covered = self.c > 0 or d.get("paper", 0.0) > 0
        flat = turned_in(told["pieces"], self.panels, self.hinges, self.turn_in, self.t, self.c) if is_covered else None
        self.turned, self.rim = flat or (Polygon(), [])
        if flat is None:
            self.c = 0.0
        strips = [outline(s["outline"]) for s in d.get("strips", [])] if self.c > 0 else []
        self.strips = shapely.union_all(strips, grid_size=1e-5) if strips else Polygon()
        # A strip lines the joint where one is said, however thin its cloth.
        self.has_strips = bool(d.get("strips"))
        # Paper, or another cloth, of the sides of boards that are covered by part.
        self.p = d.get("paper", 0.0)
        of_paper = turned_in(told["pieces"], self.panels, self.hinges, self.turn_in, self.t, self.p, "paper") if self.p > 0 else None
        self.papers = of_paper[0] if of_paper else Polygon()
        on = lambda stock: unary_union([outline(p["outline"]) for p in covers_of(told["pieces"], stock)])
        self.cloths_outside, self.papers_outside = (on("cloth"), on("paper")) if of_paper else (None, None)
        self.lining()
        # At a window in paper they are of paper.
        self.patches = [(outline(p["outline"]), p["edge"], p["panel"], p["piece"].startswith("paper")) for p in d["patches"]] if is_covered else []
        together = lambda shapes: shapely.union_all(shapes, grid_size=1e-5) if shapes else Polygon()
        self.patched, self.patched_paper = (together([p[0] for p in self.patches if p[3] == of and (of or self.c > 0)]) for of in (False, True))
        self.layers = [self.dress(i) for i in range(len(self.panels))]

    # Flat: what lies where.

    def lining(self):
        """The liner over each panel, moved back by the take-up of every joint between."""
        folded = {x["piece"]: x for x in self.told["fit"]["dressed"].get("linings", [])}
        lined, folds = [], []
        for p in self.told["pieces"]:
            if p["stock"] == "liner":
                net = outline(folded[p["id"]]["outline"] if p["id"] in folded else p["outline"])
                lined.append(net.difference(unary_union([outline(h) for h in p["holes"]])))
                if p["id"] in folded:
                    folds += folded_under(net, outline(p["outline"]), folded[p["id"]]["folded"])
        whole = unary_union(lined) if lined and self.l > 0 else Polygon()
        folds = shapely.union_all(folds, grid_size=1e-5) if folds and self.l > 0 else Polygon()
        self.has_folds = not folds.is_empty
        self.is_lined = not whole.is_empty
        if not self.is_lined:
            self.l = 0.0
        self.liner, self.folds = [], []
        for i in range(len(self.panels)):
            x = y = 0.0
            k = i
            while k in self.above and not self.has_strips:
                h = self.above[k]
                x, y = x - h.v[0] * self.take_up, y - h.v[1] * self.take_up
                k = h.parent
            self.liner.append(affinity.translate(whole, x, y))
            self.folds.append(affinity.translate(folds, x, y))

    def open_shape(self, i):
        """A panel's outline without what is cut out of its board."""
        p = self.panels[i]
        holes = [outline(h) for piece in self.told["pieces"] if piece["id"] == p["piece"] for h in piece["holes"]]
        return p["shape"].difference(unary_union(holes)) if holes else p["shape"]

    def dress(self, i):
        """The solids of a panel in its flat place: (what, region, from, to), heights from its outside face."""
        shape, t, c, l = self.panels[i]["shape"], self.t, self.c, self.l
        solids = [("board", shape, 0.0, t)]
        patch = areas(self.patched.intersection(shape)) if c > 0 else areas(Polygon())
        turned = areas(self.turned.intersection(shape)) if c > 0 else areas(Polygon())
        if c > 0 or self.p > 0:
            solids += self.outside(shape)
            near = shape.buffer(0.01)
            for a, b in self.rim:
                free = LineString([a, b]).intersection(near)
                if free.length < 0.05 or free.geom_type != "LineString":
                    continue
                ends = [free.coords[0], free.coords[-1]]
                if (ends[1][0] - ends[0][0]) * (b[0] - a[0]) + (ends[1][1] - ends[0][1]) * (b[1] - a[1]) < 0:
                    ends.reverse()
                solids += self.round_edge(ends)
            for _, edge, panel, is_paper in self.patches:
                if edge and panel == i:
                    a, b = map(tuple, edge)
                    c = self.p if is_paper else self.c
                    side = strip(a, b, 2 * c)
                    if side.intersection(self.open_shape(i)).area > side.area / 2:
                        side = strip(b, a, 2 * c)
                    # In an opening a patch alone goes round the edge beside the slit; where a tab goes round as well the two
                    # lie double on the face too.
                    is_in_opening = side.intersection(shape).area > side.area / 2
                    solids.append(("patched edge", side, 0.0, t + (c if is_in_opening else 2 * c)))
            c = self.c
            if self.papers_outside is not None:
                return [s for s in solids + self.inside(i, shape, patch, turned) if s[1].area > 1e-4]
            both = areas(turned.intersection(patch))
            solids.append(("patch", patch, t, t + c))
            solids.append(("turn-in", areas(turned.difference(patch)), t, t + c))
            solids.append(("turn-in over a patch", both, t + c, t + 2 * c))
        # How many cloths lie beneath what is glued on last, and where: turn-in, patch, hinge strip.
        strip_here = areas(self.strips.intersection(shape))
        twos = turned.intersection(patch)
        under = [shape.difference(unary_union([turned, patch])), unary_union([turned, patch]).difference(twos), twos]
        for n, region in enumerate(under):
            solids.append(("hinge strip", areas(strip_here.intersection(region)), t + n * c, t + (n + 1) * c))
        if self.is_lined:
            liner = areas(self.liner[i].intersection(shape))
            for n, region in enumerate(under):
                bare, over = liner.intersection(region).difference(strip_here), liner.intersection(region).intersection(strip_here)
                for part, cloths in ((bare, n), (over, n + 1)):
                    twice, once = part.intersection(self.folds[i]), part.difference(self.folds[i])
                    low = t + cloths * c
                    solids.append(("liner", areas(once), low, low + l))
                    solids.append(("liner folded under", areas(twice), low, low + l))
                    solids.append(("liner", areas(twice), low + l, low + 2 * l))
        return [s for s in solids if s[1].area > 1e-4]

    def outside(self, shape):
        """What covers the outside of a board: cloth, or cloth and paper, which laps over it."""
        c, p = self.c, self.p
        if self.papers_outside is None:
            return [("cloth", shape, -c, 0.0)]
        cloth, paper = areas(self.cloths_outside.intersection(shape)), areas(self.papers_outside.intersection(shape))
        lap = areas(cloth.intersection(paper))
        return [("cloth", areas(cloth.difference(lap)), -c, 0.0), ("paper", areas(paper.difference(lap)), -p, 0.0), ("lap", lap, -c - p, 0.0)]

    def round_edge(self, ends):
        """What goes round a stretch of an edge, by what covers the board beside it."""
        t, c, p = self.t, self.c, self.p
        if self.papers_outside is None:
            return [("cloth on the edge", strip(*ends, c), -c, t + c)]
        found = []
        line = LineString(ends)
        cloth, paper = line.intersection(self.cloths_outside), line.intersection(self.papers_outside)
        lap = cloth.intersection(paper)
        for part, thick in ((cloth.difference(lap), c), (paper.difference(lap), p), (lap, c + p)):
            for g in getattr(part, "geoms", [part]):
                if g.geom_type == "LineString" and g.length > 0.05:
                    a, b = g.coords[0], g.coords[-1]
                    if (b[0] - a[0]) * (ends[1][0] - ends[0][0]) + (b[1] - a[1]) * (ends[1][1] - ends[0][1]) < 0:
                        a, b = b, a
                    found.append(("cloth on the edge", strip(a, b, thick), -thick, t + thick))
        return found

    def inside(self, i, shape, patch, turned):
        """Every share of the inside of a board by what lies there: patch, cloth and paper turned in, the liner over all."""
        within = lambda region: areas(region.intersection(shape))
        layers = [
            ("patch", patch, self.c),
            ("patch of paper", within(self.patched_paper), self.p),
            ("turn-in", turned, self.c),
            ("paper turned in", within(self.papers), self.p),
            ("hinge strip", within(self.strips), self.c),
            ("liner folded under", within(self.folds[i]), self.l),
        ]
        layers = [layer for layer in layers if not layer[1].is_empty]
        liner = areas(self.liner[i].intersection(shape)) if self.is_lined else Polygon()
        solids = []
        for pick in range(1 << len(layers)):
            here, high, what = shape, 0.0, "liner"
            for k, (name, region, thick) in enumerate(layers):
                if pick >> k & 1:
                    here, high, what = here.intersection(region), high + thick, name
                else:
                    here = here.difference(region)
            here = areas(here)
            if pick:
                solids.append((what, here, self.t, self.t + high))
            if self.is_lined:
                solids.append(("liner", areas(here.intersection(liner)), self.t + high, self.t + high + self.l))
        return solids

    # What a joint has to pass.

    def room(self, h):
        """What a joint must pass and what lies between its two boards, each with the boards' own thickness.

        Each as the stretches along it say that are at least PRESSED long, and as those that are a little longer and
        a little shorter: (middle, least, most).
        """
        low, high = max(r[0] for r in h.reach), min(r[1] for r in h.reach)
        if high - low < 1:
            return (self.t,) * 3, (self.t,) * 3
        is_wall = self.panels[h.child]["part"] == "wall"
        # Beside the base, the wall's inside face looks at the edges of base and lid; on it, they at its edges.
        face_is_child = is_wall == (self.seat == "beside")
        face, edge = (h.child, h.parent) if face_is_child else (h.parent, h.child)

        def on(shape, board, distance):
            v = h.width + distance if board == h.child else -distance
            return stretches(shape, h.at(low, v), h.at(high, v))

        beside = -min(BESIDE, h.width / 3)
        cloths = [(self.turned, self.c), (self.patched, self.c), (self.patched_paper, self.p), (self.papers, self.p), (self.strips, self.c)]

        def linings(board):
            return [(self.liner[board], self.l), (self.folds[board], self.l)]

        # A wall may be lower than that.
        inside = min(BESIDE, h.depth(self.panels[edge]["shape"]) / 3)
        round_edge = [(on(s, edge, inside), on(s, edge, beside), thick) for s, thick in [*cloths, *linings(edge)]]
        on_face = [
            [(on(s, face, share * self.t), thick) for s, thick in [*cloths, *linings(face)]]
            for share in (0.05, 0.25, 0.5, 0.75, 0.95)
        ]
        pressed = [(self.strips, self.c)] if self.has_strips else linings(edge)
        is_doubled = self.seat == "on-base" and self.take_up > 0 and (self.is_lined or self.has_strips)
        doubled = [(on(s, edge, beside), 2 * thick) for s, thick in pressed if is_doubled]
        lists = [x for a, b, _ in round_edge for x in (a, b)] + [x for deep in [*on_face, doubled] for x, _ in deep]
        at = sorted({0.0, high - low, *(v for x in lists for pair in x for v in pair)})
        along = []
        for a, b in zip(at, at[1:]):
            m = (a + b) / 2

            def there(pairs):
                return any(p <= m <= q for p, q in pairs)

            joint = sum(thick for x, y, thick in round_edge if there(x) and there(y))
            most = max(sum(thick for x, thick in deep if there(x)) for deep in on_face)
            settled = self.t + joint + most
            along.append((a, b, settled + sum(thick for x, thick in doubled if there(x)), settled))
        needs, settled = (
            tuple(thickest([(a, b, x[k]) for a, b, *x in along], PRESSED * f) for f in (1.0, 1.1, 0.9)) for k in (0, 1)
        )
        if (self.has_strips or self.has_folds) and is_wall and self.seat == "beside":
            # The wall stands so far off that nothing on its face comes into the interior, higher up either.
            on_face = max(high - self.t for what, region, _, high in self.layers[h.child] if region.area > 1 and what not in ("cloth on the edge", "patched edge"))
            needs = tuple(max(n, self.t + on_face) for n in needs)
        return needs, settled

    # Folding.

    def local(self, h, degrees, corner):
        """The child's flat layout as it stands in its parent's: a turn about the hinge and where its outer edge goes."""
        s, k = math.sin(math.radians(degrees)), math.cos(math.radians(degrees))
        u, v, w = numpy.append(h.u, 0), numpy.append(h.v, 0), numpy.array([0.0, 0.0, 1.0])
        turn = numpy.outer(u, u) + numpy.outer(v * k + w * s, v) + numpy.outer(w * k - v * s, w)
        start = numpy.append(h.a, self.panels[h.parent]["level"])
        child = numpy.append(h.a + h.v * h.width, self.panels[h.child]["level"])
        return turn, start + v * corner[0] + w * corner[1] - turn @ child

    def corner(self, h, degrees, rise=0.0):
        """Where the outer edge of the child's hinge edge lies, (v, w) from the parent's outer edge."""
        s, k = math.sin(math.radians(degrees)), math.cos(math.radians(degrees))
        if not h.is_joint:
            return ((self.t / 2 + rise) * s, self.t / 2 * (1 - k))
        is_wall = self.panels[h.child]["part"] == "wall"
        in_line = math.sqrt(max(0.0, h.width**2 - rise**2))
        if self.seat == "beside":
            # The wall turns about its own foot, the lid about the wall's upper edge.
            return (h.width + (in_line - h.width) * s, rise * s) if is_wall else (h.width * k + rise * s, in_line * s)
        settled = self.settled[h.child] + rise
        # The wall turns about the base's edge, the lid about its own.
        return (h.width * k, settled * s) if is_wall else (h.width + (settled - h.width) * s, 0.0)

    def pose(self, rises):
        """Every panel's frame in the closed box."""
        frames = {}

        def frame(i):
            if i in frames:
                return frames[i]
            if i not in self.above:
                frames[i] = (numpy.eye(3), numpy.zeros(3))
                return frames[i]
            h = self.above[i]
            turn, move = self.local(h, 90, self.corner(h, 90, rises.get(i, 0.0)))
            outer_turn, outer_move = frame(h.parent)
            frames[i] = (outer_turn @ turn, outer_turn @ move + outer_move)
            return frames[i]

        for i in range(len(self.panels)):
            frame(i)
        return frames

    def solids(self, i, frame):
        level = self.panels[i]["level"]
        return [Solid(i, what, region, level + low, level + high, frame) for what, region, low, high in self.layers[i]]

    def height_of(self, i):
        """How high a wall is, from hinge to hinge; how far a lid reaches."""
        h = self.above[i]
        xs = [float((numpy.array(p[:2]) - h.a) @ h.v) for p in self.panels[i]["shape"].exterior.coords]
        return max(xs) - h.width

    def run(self):
        t, c, l = self.t, self.c, self.l
        out = {"joints": [], "play": {}, "overlaps": [], "on_the_way": []}
        self.settled, self.needs = {}, {}
        for h in self.hinges:
            if h.is_joint:
                (need, least, most), (settled, _, _) = self.room(h)
                self.needs[h.child], self.settled[h.child] = need, settled
                told = {"at": self.panels[h.child]["name"], "need": need, "width": h.width}
                out["joints"].append({**told, "least": least, "most": most})
        lids = sorted((h.order, h.child) for h in self.hinges if self.panels[h.child]["part"] == "lid")
        # How high each lid wants to lie: the contents on the base's own face, then lid upon lid.
        flat = self.pose({})
        base = next(i for i, p in enumerate(self.panels) if p["part"] == "base")
        footprint = box(*(s * v / 2 for s in (-1, 1) for v in self.contents[:2]))
        bed = t + self.panels[base]["level"] + l
        # Laps of hinge strips under the stack raise it.
        if self.has_strips and self.strips.intersection(self.panels[base]["shape"]).intersection(footprint).area > 1:
            bed += c
        # And so do edges of its lining that are folded under.
        if self.folds[base].intersection(self.panels[base]["shape"]).intersection(footprint).area > 1:
            bed += l
        rim = max([0.0] + [s[3] - t - l for s in self.layers[base] if s[0] in ("liner", "turn-in") and s[1].intersection(footprint).area > 1])
        tops = [(footprint, bed + self.interior[2])]
        rises, wants, gives, loose = {}, {}, {}, {}
        out["over_none"] = []
        for order in sorted({o for o, _ in lids}):
            placed = []
            for _, i in (x for x in lids if x[0] == order):
                under = [(s.region, s.high - s.low, s.base_height) for s in self.under_side(i, flat[i])]
                best, is_over = None, order == lids[0][0]
                for region, _, height in under:
                    for k, (top, z) in enumerate(tops):
                        meets = region.intersects(top) and region.intersection(top).area > 1
                        is_over |= meets and k > 0
                        # Tiers step up over the whole box: a lid counts those below it whether it reaches over them or not.
                        if meets or k > 0:
                            best = max(best if best is not None else -1e9, z + height)
                if not is_over:
                    out["over_none"].append(self.panels[i]["name"])
                plan = self.plan(i, flat[i])
                wall = self.above[i].parent
                h, foot = self.height_of(wall), self.above[wall]
                level = self.panels[foot.parent]["level"]
                if not foot.is_joint:
                    give = level + h
                elif self.seat == "beside":
                    give = h - t
                else:
                    give = self.settled[wall] + h + self.settled[i] - t
                if best is None:
                    best = give
                wants[i], gives[i] = best, give
                play = give - best
                out["play"][self.panels[i]["side"]] = play
                if play > 0 and not foot.is_joint:
                    # Folding board sags: its crease is soft, and a lid lies down on what is beneath.
                    rises[i] = -play
                if play > 0 and self.seat == "beside" and foot.is_joint:
                    # Its joint lets the lid down along the wall's inside, as far as the layers leave it way.
                    rises[i] = -min(play, math.sqrt(max(0.0, self.above[i].width ** 2 - self.needs[i] ** 2)))
                if play < 0 and foot.is_joint:
                    can = []
                    for k in (wall, i):
                        g = self.above[k].width
                        can.append(math.sqrt(max(0.0, g * g - self.needs[k] ** 2)) if self.seat == "beside" else max(0.0, g - self.needs[k]))
                    # Half at each, as far as they can.
                    rises[wall] = min(max(-play / 2, -play - can[1]), can[0])
                    rises[i] = min(-play - rises[wall], can[1])
                if play > 0 and self.seat == "on-base" and foot.is_joint:
                    loose[i] = play
                placed.append((plan, best + t + c))
            tops += placed
        out["rim"] = rim
        frames = self.pose(rises)
        every = {i: self.solids(i, frames[i]) for i in range(len(self.panels))}
        related = {frozenset((h.parent, h.child)) for h in self.hinges}
        related |= {frozenset((i, j)) for i, p in enumerate(self.panels) for j, q in enumerate(self.panels) if {p["part"], q["part"]} == {"base", "outer-base"}}
        worst = {}

        def note(a, b, names):
            depth = shared(a, b)
            if depth > TOLERANCE and depth > worst.get(names, (0,))[0]:
                worst[names] = (depth, a.what, b.what)

        for i in every:
            for j in every:
                if i < j and frozenset((i, j)) not in related:
                    for a, b in meeting(every[i], every[j]):
                        if shared(a, b) > self.sinks(i, j, a, b, frames, loose) + TOLERANCE:
                            note(a, b, (self.panels[i]["name"], self.panels[j]["name"]))
        block = Solid(-1, "contents", footprint, bed, bed + self.contents[2], (numpy.eye(3), numpy.zeros(3)))
        for i in every:
            if self.panels[i]["part"] not in ("base", "outer-base"):
                for a in every[i]:
                    # What is smaller than a square millimetre is pressed flat, on them as well.
                    if a.normal != block.normal or a.region.intersection(block.region).area > 1:
                        note(a, block, (self.panels[i]["name"], "contents"))
        out["overlaps"] = [{"of": list(k), "by": v[0], "layers": list(v[1:])} for k, v in sorted(worst.items())]
        out["exterior"] = self.exterior(every)
        out.update(self.opened())
        out["on_the_way"] = self.on_the_way(frames, every, rises)
        return out

    def plan(self, i, frame):
        return Solid(i, "plan", self.panels[i]["shape"], 0, self.t, frame).region

    def sinks(self, i, j, a, b, frames, loose):
        """How far the lower of two lids gives way where layers of both lie in one place: on its own wall it stays up, and
        where the wall is too high the hand that closes the next lid presses it down beyond that, its free end as far as
        its play."""
        k = i if self.above.get(i) and self.above.get(j) and self.above[i].order < self.above[j].order else j
        if k not in loose or not all(self.panels[x]["part"] == "lid" for x in (i, j)) or (a.normal, b.normal) != (2, 2):
            return 0.0
        h, (turn, move) = self.above[k], frames[k]
        edge = (turn @ numpy.append(h.a + h.v * h.width, self.panels[k]["level"]) + move)[:2]
        way = (turn @ numpy.append(h.v, 0.0))[:2]
        common = parts(a.region.intersection(b.region))
        # From the inner face of the wall on which it lies.
        out = [float((numpy.array(p) - edge) @ way) - self.t for g in common for p in g.exterior.coords]
        reach = self.height_of(k) - self.t
        return loose[k] * max(0.0, min(out)) / reach if out and reach > 0 else 0.0

    def under_side(self, i, frame):
        """The layers of a lid's inside as they look down: their plan, and how thick what hangs under its board is."""
        seen = []
        for what, region, low, high in self.layers[i]:
            # What is smaller than a square millimetre is pressed flat.
            if high > self.t - 1e-9 and region.area > 1 and what not in ("cloth on the edge", "patched edge"):
                s = Solid(i, what, region, low, high, frame)
                s.base_height = high - self.t
                seen.append(s)
        return seen

    def exterior(self, every):
        low, high = numpy.full(3, 1e9), numpy.full(3, -1e9)
        for solids in every.values():
            for s in solids:
                low, high = numpy.minimum(low, s.low_corner), numpy.maximum(high, s.high_corner)
        for h in self.hinges:
            # A crease goes round half a board beyond the line about which it turns, wherever its lid lies.
            if not h.is_joint and self.panels[h.child]["part"] == "lid":
                high[2] = max([high[2]] + [s.high_corner[2] + self.t / 2 for s in every[h.parent] if s.what == "board"])
        if self.seat == "on-base":
            # The joint's cloth stands outside the base's edge, and what of the liner it holds twice.
            for h in self.hinges:
                if h.is_joint and self.panels[h.child]["part"] == "wall":
                    lining = (2 * self.l if self.has_folds else self.l) if self.is_lined else 0.0
                    pressed = self.c if self.has_strips else lining
                    out = self.c + (2 * pressed if self.take_up > 0 else 0.0)
                    edge = numpy.append(h.a + h.v * out, 0.0)
                    for k in (0, 1):
                        if abs(h.v[k]) > 0.5:
                            low[k], high[k] = min(low[k], edge[k]), max(high[k], edge[k])
        return [float(x) for x in high - low]

    def opened(self):
        """What the open box shows: boards that nothing covers, and raw edges of cloth beside the liner."""
        if not self.is_lined:
            return {"bare": {}, "bare_mm2": 0.0, "with_gaps_mm2": 0.0, "raw_mm": 0.0}
        bare, raw, places, with_gaps = {}, 0.0, [], 0.0
        for i, p in enumerate(self.panels):
            if p["part"] == "outer-base":
                continue
            shape = self.open_shape(i)
            cloths = areas(unary_union([self.turned, self.patched, self.patched_paper, self.papers]).intersection(shape)) if self.c > 0 else Polygon()
            strips = self.strips.intersection(p["shape"])
            left = shape.difference(unary_union([cloths, strips, self.liner[i]]))
            with_gaps += left.buffer(-0.01).area if self.c > 0 else 0.0
            # A gap of less than a millimetre closes as the cloth is drawn round a corner: a designer's pleat.
            left = left.buffer(-0.5).buffer(0.5)
            if self.c > 0:
                bare[p["name"]] = left.area
                over = unary_union([self.liner[i], strips]).buffer(0.05)
                edges = cloths.boundary.difference(shape.boundary.buffer(0.05)).difference(over)
                raw += edges.length
            if self.c > 0:
                places += [[p["name"], round(g.area, 2), [round(x, 2) for x in g.bounds]] for g in parts(left)]
        return {"bare": {k: v for k, v in bare.items() if v > 0.01}, "bare_mm2": sum(bare.values()), "with_gaps_mm2": with_gaps, "raw_mm": raw, "places": places}

    # On the way.

    def on_the_way(self, frames, every, rises):
        found = []
        walls = [i for i, p in enumerate(self.panels) if p["part"] == "wall"]
        for h in self.hinges:
            part = self.panels[h.child]["part"]
            if part == "lid":
                others = [w for w in walls if w != h.parent]
            elif not h.is_joint:
                others = [w for w in walls if w != h.child]
            else:
                continue
            obstacles = [(w, solid) for w in others for solid in every[w]]
            depth, degrees, what = Sweep(self, h, frames, obstacles, rises.get(h.child, 0.0)).worst()
            if depth > TOLERANCE:
                of = [self.panels[h.child]["name"], self.panels[what[0]]["name"]]
                found.append({"of": of, "by": depth, "at": degrees, "layers": what[1:]})
        return found


def fold(line):
    try:
        return Box(json.loads(line)).run()
    except (ValueError, KeyError, IndexError, ZeroDivisionError, StopIteration, shapely.errors.ShapelyError) as why:
        return {"error": f"{type(why).__name__}: {why}"}


if __name__ == "__main__":
    for line in sys.stdin:
        if line.strip():
            print(json.dumps(fold(line)), flush=True)
