"""Compares every DXF of exported folders with their manifest, by code that shares nothing with ours.

    check_export.py KERF DIR...

For each folder prints {"faults": [...], "lines": how many lines were compared, "worst": the largest
deviation of an offset from shapely's}. With KERF 0 every line of a DXF must be a line of the
manifest, placed as the manifest says: layer, open or closed, length and bounds within 1e-6 mm.
Otherwise outlines must be shapely's buffer of the nominal ones by half the kerf outwards, holes and
pockets inwards; chords stray from arcs by CHORD, so that the two may be a few of them apart.
"""

import hashlib
import json
import math
import pathlib
import sys

from shapely import STRtree
from shapely.geometry import LinearRing, LineString, Polygon

import check_dxf

SAME = 1e-6
CHORD = 1e-4


def place(vertices, at):
    """Mirrored in x first, then turned counter-clockwise, then moved, as the manifest has it."""
    angle = math.radians(at["rotation"])
    out = []
    for x, y, bulge in vertices:
        if at["mirrored"]:
            x, bulge = -x, -bulge
        out.append((
            x * math.cos(angle) - y * math.sin(angle) + at["x"],
            x * math.sin(angle) + y * math.cos(angle) + at["y"],
            bulge,
        ))
    return out


def pairs(vertices, closed):
    return list(zip(vertices, vertices[1:] + (vertices[:1] if closed else [])))


def measure(vertices, closed):
    length, points = 0.0, []
    for a, b in pairs(vertices, closed):
        part, extremes = check_dxf.arc(a[:2], b[:2], a[2])
        length += part
        points += extremes
    xs, ys = [p[0] for p in points], [p[1] for p in points]
    return length, [min(xs), min(ys), max(xs), max(ys)]


def flatten(vertices, closed):
    points = [vertices[0][:2]]
    for (x0, y0, bulge), (x1, y1, _) in pairs(vertices, closed):
        if bulge != 0.0:
            sweep = 4.0 * math.atan(bulge)
            chord = math.hypot(x1 - x0, y1 - y0)
            radius = chord / (2.0 * math.sin(abs(sweep) / 2.0))
            away = chord / (2.0 * math.tan(sweep / 2.0))
            cx = (x0 + x1) / 2.0 - (y1 - y0) / chord * away
            cy = (y0 + y1) / 2.0 + (x1 - x0) / chord * away
            first = math.atan2(y0 - cy, x0 - cx)
            count = math.ceil(abs(sweep) / (2.0 * math.acos(1.0 - min(CHORD / radius, 1.0))))
            for i in range(1, count):
                angle = first + sweep * i / count
                points.append((cx + radius * math.cos(angle), cy + radius * math.sin(angle)))
        points.append((x1, y1))
    return points[:-1] if closed else points


def expected(manifest, sheet):
    """Every line that should lie on a sheet: layer, vertices, closed, which way the kerf goes."""
    pieces = {p["id"]: p for p in manifest["pieces"]}
    lines = []
    for at in sheet["placed"]:
        p = pieces[at["piece"]]
        add = lambda layer, vertices, closed, way: lines.append((layer, place(vertices, at), closed, way))
        add("THROUGH-CUT", p["outline"], True, 1)
        for hole in p["holes"]:
            add("THROUGH-CUT", hole, True, -1)
        for slit in p["slits"]:
            add("THROUGH-CUT", slit, False, 0)
        for pocket in p["pockets"]:
            add("HALF-DEPTH-POCKET", pocket["outline"], True, -1)
        for crease in p["creases"]:
            add("CREASE-SCORE", crease, False, 0)
        for mark in p["marks"]:
            add("MARK", mark["points"], mark["closed"], 0)
    width, height = sheet["width"], sheet["height"]
    lines.append(("STOCK", [(0, 0, 0), (width, 0, 0), (width, height, 0), (0, height, 0)], True, 0))
    return lines


def expected_first(manifest, sheet):
    """The same of the first run of a sheet that is turned over left to right after it: what is cut into the other face of its
    pieces, and the holes for pins, seen from there. It lies x from the left edge what lies x from the right one later."""
    pieces = {p["id"]: p for p in manifest["pieces"]}
    width, height = sheet["width"], sheet["height"]
    lines = []
    for at in sheet["placed"]:
        for pocket in pieces[at["piece"]].get("back_pockets", []):
            there = [(width - x, y, -bulge) for x, y, bulge in place(pocket["outline"], at)]
            lines.append(("HALF-DEPTH-POCKET", there, True, -1))
    for pin in sheet["turned"]["pins"]:
        x, r = width - pin["x"], pin["diameter"] / 2.0
        lines.append(("THROUGH-CUT", [(x - r, pin["y"], 1.0), (x + r, pin["y"], 1.0)], True, -1))
    lines.append(("STOCK", [(0, 0, 0), (width, 0, 0), (width, height, 0), (0, height, 0)], True, 0))
    return lines


def doubled(entities):
    """Straight lines of one layer that run over each other."""
    found = []
    by_layer = {}
    for e in entities:
        for a, b in pairs(e["vertices"], e["closed"]):
            if a[2] == 0.0:
                by_layer.setdefault(e["layer"], []).append(LineString([a[:2], b[:2]]))
    for layer, lines in by_layer.items():
        near = STRtree(lines).query(lines, predicate="dwithin", distance=SAME)
        for i, j in zip(*near):
            # Lines that meet or cross share a point's surroundings; these share a stretch.
            if i < j and lines[i].intersection(lines[j].buffer(SAME)).length > 0.01:
                found.append(f"{layer}: {lines[i].wkt} lies over {lines[j].wkt}")
    return found


def check(folder, kerf):
    manifest = json.loads((folder / "manifest.json").read_text())
    faults, compared, worst = [], 0, 0.0
    for f in manifest["files"]:
        digest = hashlib.sha256((folder / f["file"]).read_bytes()).hexdigest()
        if digest != f["sha256"]:
            faults.append(f"{f['file']} is not what the manifest says")
    listed = {f["file"] for f in manifest["files"]} | {"manifest.json"}
    if {p.name for p in folder.iterdir()} != listed:
        faults.append(f"{folder} holds other files than the manifest lists")
    sides = [(s, s["drawings"], expected) for s in manifest["sheets"]]
    sides += [(s, s["turned"]["drawings"], expected_first) for s in manifest["sheets"] if "turned" in s]
    for sheet, names, lines_of in sides:
        drawings = sorted(folder / name for name in names if name.endswith("dxf"))
        if len(drawings) != 2:
            faults.append(f"{sheet['id']} has {len(drawings)} drawings, not one of each version")
        for path in drawings:
            seen = check_dxf.check(str(path))
            name = path.name
            for what in seen["errors"] + seen["fixes"]:
                faults.append(f"{name}: {what}")
            if seen["version"] == "AC1015" and seen["insunits"] != 4:
                faults.append(f"{name}: the unit is not the millimetre")
            faults += [f"{name}: {d}" for d in doubled(seen["entities"])]
            waiting = list(seen["entities"])
            for layer, vertices, closed, way in lines_of(manifest, sheet):
                compared += 1
                length, bounds = measure(vertices, closed)
                away = way * kerf / 2.0
                bounds = [bounds[0] - away, bounds[1] - away, bounds[2] + away, bounds[3] + away]
                ring = None
                if away != 0.0:
                    ring = Polygon(flatten(vertices, closed)).buffer(away, quad_segs=64)

                def same(e):
                    near = e["layer"] == layer and e["closed"] == closed and all(
                        abs(a - b) < (SAME if ring is None else 10 * CHORD) for a, b in zip(e["bounds"], bounds)
                    )
                    return near and (ring is not None or abs(e["length"] - length) < SAME)

                match = next((e for e in waiting if same(e)), None)
                if match is None:
                    faults.append(f"{name}: no {layer} line of {length:.6f} mm within {bounds}")
                    continue
                waiting.remove(match)
                if ring is not None:
                    moved = LinearRing(flatten([tuple(v) for v in match["vertices"]], True))
                    apart = LinearRing(ring.exterior.coords).hausdorff_distance(moved)
                    worst = max(worst, apart)
                    if apart > 4 * CHORD:
                        faults.append(f"{name}: {layer} line is {apart:.6f} mm from shapely's offset")
            faults += [f"{name}: {e['layer']} line of {e.get('length')} mm is nobody's" for e in waiting]
    return {"faults": faults, "lines": compared, "worst": worst}


if __name__ == "__main__":
    answers = [check(pathlib.Path(path), float(sys.argv[1])) for path in sys.argv[2:]]
    json.dump(answers, sys.stdout)
