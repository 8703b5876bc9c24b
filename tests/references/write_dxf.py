"""Writes drawings with ezdxf for our reader to read, and prints their paths as a JSON list.

    write_dxf.py DIR

Lines, arcs, circles and polylines of both kinds, with bulges either way, on the layers of cutters:
in R12, R2000, R2010 and R2018, in millimetres and in inches. The same numbers on every run.
"""

import json
import pathlib
import random
import sys

import ezdxf
from ezdxf import units

LAYERS = ["MARK", "CREASE-SCORE", "HALF-DEPTH-POCKET", "THROUGH-CUT"]


def draw(path, version, unit):
    doc = ezdxf.new(version)
    doc.units = unit
    for name in LAYERS:
        doc.layers.add(name)
    space = doc.modelspace()
    dice = random.Random(7)
    at = lambda: (dice.uniform(0, 300), dice.uniform(0, 200))
    for k in range(8):
        on = {"layer": LAYERS[k % 4]}
        space.add_line(at(), at(), dxfattribs=on)
        space.add_circle(at(), dice.uniform(0.5, 60), dxfattribs=on)
        space.add_arc(at(), dice.uniform(0.5, 60), dice.uniform(-360, 360), dice.uniform(-360, 360), dxfattribs=on)
        points = [(*at(), dice.choice([0.0, dice.uniform(-2.5, 2.5)])) for _ in range(dice.randint(3, 9))]
        if version != "R12":
            space.add_lwpolyline(points, format="xyb", close=k % 2 == 0, dxfattribs=on)
        space.add_polyline2d(points, format="xyb", close=k % 2 == 1, dxfattribs=on)
    doc.saveas(path)


home = pathlib.Path(sys.argv[1])
paths = []
for version in ["R12", "R2000", "R2010", "R2018"]:
    for unit, word in [(units.MM, "mm"), (units.IN, "in")]:
        paths.append(str(home / f"{version}-{word}.dxf"))
        draw(paths[-1], version, unit)
print(json.dumps(paths))
