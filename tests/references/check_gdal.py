"""Opens every DXF of exported folders with GDAL and compares each line with the manifest.

    check_gdal.py DIR...

For each folder prints {"faults": [...], "lines": how many lines were compared}. GDAL gives arcs as chords of
a tenth of a degree; so a line is the manifest's where its layer is the same, its ends meet or not, its bounds
lie within WIDE and its length within as much a metre. Text and other entities are not looked at.
"""

import json
import os
import pathlib
import sys

os.environ["OGR_ARC_STEPSIZE"] = "0.1"

import shapely
from pyogrio.raw import read

import check_export

WIDE = 1e-3


def lines_of(path):
    meta, _, shapes, fields = read(path)
    layers = fields[list(meta["fields"]).index("Layer")]
    found = []
    for layer, shape in zip(layers, shapely.from_wkb(shapes)):
        # A closed polyline comes as a polygon or as a line whose ends meet.
        if shape.geom_type == "Polygon":
            shape = shape.exterior
        if shape.geom_type in ("LineString", "LinearRing"):
            first, last = shape.coords[0], shape.coords[-1]
            closed = abs(first[0] - last[0]) < 1e-9 and abs(first[1] - last[1]) < 1e-9
            found.append((layer, closed, shape.length, shape.bounds))
    return found


def check(folder):
    manifest = json.loads((folder / "manifest.json").read_text())
    faults, compared = [], 0
    for sheet in manifest["sheets"]:
        for name in (n for n in sheet["drawings"] if n.endswith("dxf")):
            waiting = lines_of(folder / name)
            for layer, vertices, closed, _ in check_export.expected(manifest, sheet):
                compared += 1
                length, bounds = check_export.measure(vertices, closed)
                meets = closed or vertices[0][:2] == vertices[-1][:2]

                def same(e):
                    return (
                        e[0] == layer
                        and e[1] == meets
                        and abs(e[2] - length) < WIDE * (1.0 + length / 1000.0)
                        and all(abs(a - b) < WIDE for a, b in zip(e[3], bounds))
                    )

                match = next((e for e in waiting if same(e)), None)
                if match is None:
                    faults.append(f"{name}: no {layer} line of {length:.4f} mm within {bounds}")
                else:
                    waiting.remove(match)
            faults += [f"{name}: {e[0]} line of {e[2]:.4f} mm is nobody's" for e in waiting]
    return {"faults": faults, "lines": compared}


if __name__ == "__main__":
    json.dump([check(pathlib.Path(path)) for path in sys.argv[1:]], sys.stdout)
