"""Judges laid out sheets by shapely, which shares no code with the layout.

Reads [{"id", "width", "height", "margin", "gap", "pieces": [[[x, y], ...], ...]}, ...] in mm and
prints the faults found, as text: pieces that overlap, that are nearer than the gap, that reach into
the margin. CHORD is how far the points given stray from true arcs.
"""

import json
import sys

from shapely import STRtree
from shapely.geometry import Polygon, box

CHORD = 2e-3


def faults(sheet):
    shapes = [Polygon(p) for p in sheet["pieces"]]
    for n, shape in enumerate(shapes):
        if not shape.is_valid:
            yield f"{sheet['id']}: piece {n} is no polygon"
    rim = sheet["margin"] - 1e-6
    usable = box(rim, rim, sheet["width"] - rim, sheet["height"] - rim)
    for n, shape in enumerate(shapes):
        if not usable.covers(shape):
            yield f"{sheet['id']}: piece {n} reaches into the margin"
    gap = sheet["gap"]
    for i, j in zip(*STRtree(shapes).query(shapes, predicate="dwithin", distance=gap + 1.0)):
        if i < j:
            near = shapes[i].distance(shapes[j])
            shared = shapes[i].intersection(shapes[j]).area
            if shared > 1e-6 or near < gap - CHORD:
                yield f"{sheet['id']}: pieces {i} and {j} are {near:.4f} mm apart and share {shared:.4f} mm2"


json.dump([f for sheet in json.load(sys.stdin) for f in faults(sheet)], sys.stdout)
