"""Opens DXF files with ezdxf and prints what it sees in them as JSON.

    check_dxf.py FILE...

One object a file, in the order given: the audit's counts, the unit declared, the layers with
their colours and what these show as, and each entity of the drawing with its layer, whether it is closed, its exact
length and its bounds (arcs reckoned from their bulges, not from chords).
"""

import json
import math
import sys

import ezdxf
from ezdxf import recover
from ezdxf.colors import aci2rgb


def arc(start, end, bulge):
    """Length and extreme points of the segment that starts with this bulge (tan of sweep / 4)."""
    (x0, y0), (x1, y1) = start, end
    chord = math.hypot(x1 - x0, y1 - y0)
    points = [start, end]
    if bulge == 0.0 or chord == 0.0:
        return chord, points
    sweep = 4.0 * math.atan(bulge)
    radius = chord / (2.0 * math.sin(abs(sweep) / 2.0))
    # The centre lies left of the chord for a counter-clockwise arc of less than half a turn.
    away = chord / (2.0 * math.tan(sweep / 2.0))
    cx = (x0 + x1) / 2.0 - (y1 - y0) / chord * away
    cy = (y0 + y1) / 2.0 + (x1 - x0) / chord * away
    first = math.atan2(y0 - cy, x0 - cx)
    low, high = (first, first + sweep) if sweep > 0 else (first + sweep, first)
    quarter = math.ceil(low / (math.pi / 2.0))
    while quarter * math.pi / 2.0 <= high:
        angle = quarter * math.pi / 2.0
        points.append((cx + radius * math.cos(angle), cy + radius * math.sin(angle)))
        quarter += 1
    return radius * abs(sweep), points


def round_entity(e, kind):
    """A circle or an arc: its length and bounds, from its centre, radius and angles."""
    cx, cy, r = e.dxf.center.x, e.dxf.center.y, e.dxf.radius
    first, sweep = 0.0, 2.0 * math.pi
    if kind == "ARC":
        first = math.radians(e.dxf.start_angle)
        sweep = math.radians((e.dxf.end_angle - e.dxf.start_angle) % 360.0)
    angles = [first, first + sweep]
    quarter = math.ceil(first / (math.pi / 2.0))
    while quarter * math.pi / 2.0 <= first + sweep:
        angles.append(quarter * math.pi / 2.0)
        quarter += 1
    xs, ys = [cx + r * math.cos(a) for a in angles], [cy + r * math.sin(a) for a in angles]
    return {
        "kind": kind,
        "layer": e.dxf.layer,
        "closed": kind == "CIRCLE",
        "length": r * sweep,
        "bounds": [min(xs), min(ys), max(xs), max(ys)],
    }


def entity(e):
    kind = e.dxftype()
    if kind == "LINE":
        vertices = [(e.dxf.start.x, e.dxf.start.y, 0.0), (e.dxf.end.x, e.dxf.end.y, 0.0)]
        closed = False
    elif kind == "LWPOLYLINE":
        vertices = [tuple(v) for v in e.get_points("xyb")]
        closed = bool(e.closed)
    elif kind == "POLYLINE":
        vertices = [(v.dxf.location.x, v.dxf.location.y, v.dxf.bulge) for v in e.vertices]
        closed = bool(e.is_closed)
    elif kind in ("CIRCLE", "ARC"):
        return round_entity(e, kind)
    else:
        return {"kind": kind, "layer": e.dxf.layer}
    pairs = list(zip(vertices, vertices[1:] + (vertices[:1] if closed else [])))
    length, points = 0.0, []
    for a, b in pairs:
        part, extremes = arc(a[:2], b[:2], a[2])
        length += part
        points += extremes
    xs, ys = [p[0] for p in points], [p[1] for p in points]
    return {
        "kind": kind,
        "layer": e.dxf.layer,
        "closed": closed,
        "vertices": vertices,
        "length": length,
        "bounds": [min(xs), min(ys), max(xs), max(ys)],
    }


def check(path):
    # The strict reader first: it refuses what breaks the format. The other mends what it can and
    # counts what it mended, so that nothing passes because it was repaired on the way.
    doc = ezdxf.readfile(path)
    auditor = doc.audit()
    _, mended = recover.readfile(path)
    return {
        "file": path,
        "version": doc.dxfversion,
        "insunits": doc.header.get("$INSUNITS", None),
        "errors": [e.message for e in auditor.errors] + [e.message for e in mended.errors],
        "fixes": [e.message for e in auditor.fixes] + [e.message for e in mended.fixes],
        "layers": {layer.dxf.name: layer.color for layer in doc.layers},
        "shown": {layer.dxf.name: list(aci2rgb(layer.color)) for layer in doc.layers},
        "entities": [entity(e) for e in doc.modelspace()],
    }


if __name__ == "__main__":
    json.dump([check(path) for path in sys.argv[1:]], sys.stdout)
