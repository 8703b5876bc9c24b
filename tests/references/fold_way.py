"""The way of a lid to closed, for fold_boxes.py: what it meets, and whether it can pass by as its joint gives.

A lid hangs on its wall by cloth as wide as the joint. On the way its hinge edge may be anywhere that this cloth
reaches, as long as the lid does not go into its own wall: a hand that closes the box lifts it past what is in the
way, or draws it out. It is in the way only if that holds for every way from flat to closed.
"""

import math

import numpy
from fold_shapes import TOLERANCE, into
from shapely.geometry import LineString

STEPS = 60
# Into how many places the reach of the cloth is divided to either side, and how far a hand moves between two of them.
PLACES = 12
NEXT = 1.5


class Sweep:
    """A panel that turns by its hinge against solids at rest, in cuts across the hinge."""

    def __init__(self, box, h, frames, obstacles, rise):
        self.box, self.h, self.rise = box, h, rise
        self.turn, self.move = frames[h.parent]
        e = self.turn @ numpy.append(h.u, 0.0)
        along = int(numpy.argmax(abs(e)))
        self.across = [k for k in range(3) if k != along]
        level = box.panels[h.child]["level"]
        k = 0 if abs(h.u[0]) > 0.5 else 1
        turn, move = frames[h.child]
        start = (turn @ numpy.array([h.a[0], h.a[1], level]) + move)[along]
        ahead = turn[along, k]
        flat, others, self.names = [], [], []
        for what, region, low, high in box.layers[h.child]:
            bounds = region.bounds
            for panel, solid in obstacles:
                # Cuts at both ends of what the two have in common along the hinge, and in its middle.
                own = sorted(start + (bounds[j] - h.a[k]) * ahead for j in (k, k + 2))
                a = max(own[0], solid.low_corner[along]) + TOLERANCE
                b = min(own[1], solid.high_corner[along]) - TOLERANCE
                cuts = {a, (a + b) / 2, b} if a < b else set()
                for cut in sorted(cuts):
                    # The flat coordinate along the hinge that this cut has.
                    value = h.a[k] + (cut - start) / ahead
                    if not bounds[k] < value < bounds[k + 2]:
                        continue
                    other = solid.cut(along, cut)
                    if other is None:
                        continue
                    far = (bounds[1 - k] - 1, bounds[3 - k] + 1)
                    line = LineString([(value, f) if k == 0 else (f, value) for f in far])
                    seen = region.intersection(line)
                    for own in getattr(seen, "geoms", [seen]):
                        if own.geom_type == "LineString" and own.length > 1e-3:
                            p, q = own.coords[0], own.coords[-1]
                            flat.append([(*f[:2], z + level) for f, z in ((p, low), (q, low), (q, high), (p, high))])
                            others.append(other)
                            self.names.append((panel, what, solid.what))
        self.flat, self.others = numpy.array(flat).reshape(-1, 4, 3), numpy.array(others).reshape(-1, 4)

    def depths(self, degrees, corner, which=slice(None), grown=0.0):
        """How deep each of the cuts lies in what it is cut with, the outer edge of the hinge edge at `corner`."""
        turn, move = self.box.local(self.h, degrees, corner)
        turn, move = self.turn @ turn, self.turn @ move + self.move
        there = (self.flat[which] @ turn.T + move)[:, :, self.across]
        return into(there, self.others[which] + grown * numpy.array([-1, -1, 1, 1]))

    def natural(self, degrees):
        return self.box.corner(self.h, degrees, self.rise)

    def worst(self):
        """How deep it goes into what is in its way, at which angle, and of what: panel and layers."""
        worst = (0.0, 0.0, None)
        if not self.names:
            return worst
        # The end of the turn is the closed box, which is judged as such.
        for step in range(STEPS):
            d = 90.0 * step / STEPS
            depths = self.depths(d, self.natural(d))
            n = int(numpy.argmax(depths))
            if depths[n] > worst[0]:
                worst = (float(depths[n]), d, self.names[n])
        if worst[0] > TOLERANCE and self.h.is_joint:
            worst = min(worst, self.best(), key=depth)
        return worst

    def places(self, degrees):
        """Where the hinge edge may be: within what the cloth reaches, the lid beside or over its own wall."""
        g, thick, need = self.h.width, self.box.settled[self.h.child], self.box.needs[self.h.child]
        s, k = math.sin(math.radians(degrees)), math.cos(math.radians(degrees))
        found = [self.natural(degrees)]
        for i in range(-PLACES, PLACES + 1):
            for j in range(-PLACES, PLACES + 1):
                v, w = g * i / PLACES, g * j / PLACES
                is_over, is_beside = v >= thick * s, w * s + v * k >= need * s
                if math.hypot(v, w) <= g and (is_over or is_beside):
                    found.append((v, w))
        return numpy.array(found)

    def best(self):
        """The same on the way on which it goes in least deep."""
        far = 2 * self.h.width
        near = numpy.zeros(len(self.names), bool)
        for step in range(STEPS):
            d = 90.0 * step / STEPS
            near |= self.depths(d, self.natural(d), grown=far) > 0
        which = numpy.nonzero(near)[0]
        # For each place the deepest that the best way to it goes in: from place to place beside it, at the same angle
        # and to the next.
        before, reached = None, None
        for step in range(STEPS + 1):
            d = 90.0 * step / STEPS
            places, here = self.places(d), []
            for corner in places:
                depths = self.depths(d, corner, which)
                n = int(numpy.argmax(depths))
                here.append((float(depths[n]), d, self.names[which[n]]))
            if step == STEPS:
                # The end itself is judged as the closed box.
                here[0] = (0.0, d, None)
            now = here if before is None else over(self.beside(places, before), reached, here)
            beside = self.beside(places, places)
            while True:
                then = over(beside, now, here)
                if list(map(depth, then)) == list(map(depth, now)):
                    break
                now = then
            before, reached = places, now
        return reached[0]

    def beside(self, some, others):
        """Which of some places lie beside which of others."""
        apart = numpy.hypot(*(some[:, None] - others[None]).transpose(2, 0, 1))
        return apart <= NEXT * self.h.width / PLACES


def depth(found):
    return found[0]


def over(beside, reached, here):
    """The deepest on the way to each place, over the best of those beside it."""
    best = [min((reached[n] for n in numpy.nonzero(row)[0]), key=depth, default=(math.inf, 0.0, None)) for row in beside]
    return [max(ways, own, key=depth) for ways, own in zip(best, here)]
