"""What discs leave of pieces, by shapely.

Reads a JSON array of {"outline": [[x, y], ...], "holes": [...], "ways": [[[x, y], ...], ...],
"radius": r} from standard input; prints for each {"nominal": the piece's area, "left": the area of
what is left of it, grown by r to the middle of the cut, once discs of r went along the ways}, mm2.
Bits of waste under a hundredth of the piece are none of it.
"""

import json
import sys

from shapely.geometry import LineString, Polygon
from shapely.ops import unary_union


def left(case):
    body = Polygon(case["outline"], case["holes"])
    r = case["radius"]
    swept = unary_union([LineString(w).buffer(r, quad_segs=64) for w in case["ways"]])
    kept = body.buffer(r, quad_segs=64).difference(swept)
    parts = getattr(kept, "geoms", [kept])
    return {"nominal": body.area, "left": sum(p.area for p in parts if p.area > 0.01 * body.area)}


json.dump([left(case) for case in json.load(sys.stdin)], sys.stdout)
