"""Offsets polygons with shapely, as an opinion that shares no code with ours.

Reads a JSON array of cases from standard input: {"polygon": [[x, y], ...], "distance": d,
"join": "round" | "mitre", "moved": [[x, y], ...]}. Prints for each the largest distance between
the boundary of shapely's offset and `moved` (both ways, Hausdorff), how many parts shapely's
offset has and its area. Arcs come flattened; shapely's round joins have 64 chords a quarter.
"""

import json
import sys

from shapely.geometry import LinearRing, Polygon


def check(case):
    out = Polygon(case["polygon"]).buffer(
        case["distance"], quad_segs=64, join_style=case["join"], mitre_limit=10.0
    )
    parts = list(getattr(out, "geoms", [out]))
    parts = [p for p in parts if not p.is_empty]
    deviation = None
    if len(parts) == 1:
        deviation = LinearRing(parts[0].exterior.coords).hausdorff_distance(LinearRing(case["moved"]))
    return {"parts": len(parts), "area": sum(p.area for p in parts), "deviation": deviation}


if __name__ == "__main__":
    json.dump([check(case) for case in json.load(sys.stdin)], sys.stdout)
