"""Reads artwork sheets back, the SVG by an XML parser and the PDF by pdfium, and compares them with the manifest.

    check_artwork.py BLEED DIR...

For each artwork sheet of each exported folder prints {"piece": id, "faults": [...], "size": page in mm, "marks": {name: [x, y]}, "lids": how many lids
were looked at, "worst": the largest distance of the cloth's outline on paper from that of the manifest, mm}.

What is asked: the page is as large in both files; the cloth's outline is that of the manifest, mirrored (seen from
outside) and moved, nothing else; letters are not mirrored; every lid's arrow points to the head once the lid is folded
over its hinge; what bleeds lies BLEED mm round the cloth; register marks lie beyond that and fit no turned or
turned-over sheet; the layer to draw in is empty and nothing is filled.
"""

import json
import math
import pathlib
import re
import sys
import xml.etree.ElementTree as xml

import pypdfium2 as pdfium
from shapely import affinity
from shapely.geometry import LineString, MultiPoint, Point, Polygon
from shapely.ops import unary_union

import check_export
import check_pdf

SVG = "{http://www.w3.org/2000/svg}"
NUMBER = r"-?\d+(?:\.\d+)?"


def runs(d, height):
    """The runs of points of a path's data, y up; of an arc its ends alone."""
    all_runs = []
    for command, rest in re.findall(r"([MLAZ])([^MLAZ]*)", d):
        numbers = [float(n) for n in re.findall(NUMBER, rest)]
        if command == "M":
            all_runs.append([(numbers[0], height - numbers[1])])
        elif command in "LA":
            all_runs[-1].append((numbers[-2], height - numbers[-1]))
        else:
            all_runs[-1].append(all_runs[-1][0])
    return all_runs


def arc(start, end, radius, large, sweep):
    """An arc of a path (SVG 2, 9.5.1 and B.2.4), y up, as short chords; its start left out."""
    (x0, y0), (x1, y1) = start, end
    half = math.hypot(x1 - x0, y1 - y0) / 2
    rise = math.sqrt(max(radius * radius - half * half, 0.0))
    # With y up a sweep of 0 runs counter-clockwise: its middle lies to the left of a chord of less than a half turn.
    side = (1 if sweep == 0 else -1) * (-1 if large else 1)
    nx, ny = -(y1 - y0) / (2 * half), (x1 - x0) / (2 * half)
    cx, cy = (x0 + x1) / 2 + side * rise * nx, (y0 + y1) / 2 + side * rise * ny
    a, b = math.atan2(y0 - cy, x0 - cx), math.atan2(y1 - cy, x1 - cx)
    turn = (b - a) % math.tau if sweep == 0 else -((a - b) % math.tau)
    return [(cx + radius * math.cos(a + turn * i / 64), cy + radius * math.sin(a + turn * i / 64)) for i in range(1, 65)]


def whole(d, height):
    """The first run of a path's data with its arcs as chords."""
    points = []
    for command, rest in re.findall(r"([MLAZ])([^MLAZ]*)", d):
        numbers = [float(n) for n in re.findall(NUMBER, rest)]
        if command == "Z":
            break
        to = (numbers[-2], height - numbers[-1])
        if command == "A":
            points += arc(points[-1], to, numbers[0], numbers[3] == 1, numbers[4])
        else:
            points.append(to)
    return points


def apart(a, b):
    return max(a.hausdorff_distance(b), b.hausdorff_distance(a))


def sheets(folder, bleed):
    """Every artwork sheet of a folder: of the cover, and of each paper by its name; none may be missing."""
    folder = pathlib.Path(folder)
    manifest = json.loads((folder / "manifest.json").read_text())
    covers = [p for p in manifest["pieces"] if p["stock"] == "cloth" and p["role"] == "cover"]
    papers = [p for p in manifest["pieces"] if p["stock"] == "paper" and p["role"] == "side"]
    files = {f"artwork{'-' + p['id'] if i else ''}.svg": p for i, p in enumerate(covers + papers)}
    there = {f.name for f in folder.glob("artwork*.svg")}
    faults = [] if there == set(files) else [f"sheets {sorted(there)} of {sorted(files)}"]
    found = [check(folder, name, piece, manifest, bleed) for name, piece in files.items() if name in there]
    found[0]["faults"] += faults
    return found


def check(folder, name, cover, manifest, bleed):
    faults = []
    root = xml.parse(folder / name).getroot()
    width, height = (float(root.get(k).removesuffix("mm")) for k in ("width", "height"))
    if root.get("viewBox") != f"0 0 {root.get('width')[:-2]} {root.get('height')[:-2]}":
        faults.append("a unit is no millimetre")
    layers = {g.get("id"): g for g in root.iter(SVG + "g")}
    tops = [g.get("id") for g in root]
    if tops != ["artwork", "guides", "register", "words"] or len(layers["artwork"]):
        faults.append(f"layers {tops}")
    for path in root.iter():
        if path.tag not in (SVG + "svg", SVG + "g", SVG + "path"):
            faults.append(f"a {path.tag} that some program may read otherwise")
        if path.tag == SVG + "path" and path.get("fill") != "none":
            faults.append("something is filled")
    of = {name: [r for p in g.iter(SVG + "path") for r in runs(p.get("d"), height)] for name, g in layers.items()}

    outline = Polygon(check_export.flatten(cover["outline"], True))
    # Seen from outside: mirrored. Where it lies on the page is read off the page.
    mirrored = affinity.scale(outline, -1.0, 1.0, origin=(0, 0))
    drawn = MultiPoint(max(of[cover["stock"]], key=lambda r: Polygon(r).area if len(r) > 3 else 0))
    corners = [(-x, y) for x, y, _ in cover["outline"]]
    own = MultiPoint(corners)
    by = (drawn.bounds[0] - own.bounds[0], drawn.bounds[1] - own.bounds[1])
    worst = apart(drawn, affinity.translate(own, *by))
    if worst > 0.002:
        faults.append(f"the SVG's cloth is off by {worst:.3f} mm")

    # The PDF: the same page, and every corner of the cloth where the SVG has it.
    with pdfium.PdfDocument(folder / name.replace(".svg", ".pdf")) as document:
        if len(document) != 1:
            faults.append(f"{len(document)} pages")
        page = document[0]
        size = [v * check_pdf.MM for v in page.get_size()]
        if abs(size[0] - width) > 0.01 or abs(size[1] - height) > 0.01:
            faults.append(f"the PDF's page is {size}, the SVG's {width} x {height}")
        points = [p for run, _, _ in check_pdf.lines(page) for p in run]
    paper = MultiPoint(points)
    for x, y in corners:
        off = paper.distance(Point(x + by[0], y + by[1]))
        worst = max(worst, off)
        if off > 0.01:
            faults.append(f"the PDF has no corner of the cloth at {x + by[0]:.2f} {y + by[1]:.2f}")

    # What bleeds: so far round the cloth, at least, and nowhere less.
    cloth = affinity.translate(mirrored, *by)
    bled = Polygon(whole(layers["bleed"].find(SVG + "path").get("d"), height))
    # A tenth of a millimetre of three is nothing, and arcs are chords here.
    if cloth.buffer(bleed, quad_segs=32).difference(bled.buffer(0.1)).area > 1e-3:
        faults.append("ink does not run past the cloth everywhere")

    # Register marks: middles of their circles; beyond the bleed; and of no symmetry.
    marks = {}
    for name in "ABCD":
        cross = [r for r in of[f"register-{name}"] if len(r) == 2 and abs(Point(r[0]).distance(Point(r[1])) - 10) < 1e-6]
        middle = LineString(cross[0]).intersection(LineString(cross[1]))
        marks[name] = (middle.x, middle.y)
        if bled.distance(middle) < 5.0:
            faults.append(f"mark {name} lies in the bleed")
    a, b, c, d = (marks[k] for k in "ABCD")
    if not (a[0] < b[0] and a[1] < c[1] and a[0] == d[0] and c[1] - d[1] > 5.0):
        faults.append(f"marks {marks}")
    middle = ((a[0] + c[0]) / 2, (a[1] + c[1]) / 2)
    all_marks = MultiPoint(list(marks.values()))
    for turned in (
        affinity.rotate(all_marks, 180, origin=middle),
        affinity.scale(all_marks, -1, 1, origin=middle),
        affinity.scale(all_marks, 1, -1, origin=middle),
    ):
        if apart(all_marks, turned) < 5.0:
            faults.append("a sheet laid otherwise fits its marks")

    # Words stand clear of the marks and of what stands beside them.
    words = unary_union([LineString(r).buffer(0.8) for r in of["words"] if len(r) > 1])
    if any(words.intersects(LineString(r)) for name in "ABCD" for r in of[f"register-{name}"] if len(r) > 1):
        faults.append("words run into a mark")

    # Letters: the stem of a B is at its left. It is the one stroke of twelve points (own lettering).
    for run in [r for r in of["register-B"] if len(r) == 12]:
        if run[0][0] != min(p[0] for p in run):
            faults.append("letters are mirrored")
    if not any(len(r) == 12 for r in of["register-B"]):
        faults.append("no B beside its mark")

    # Lids: the shaft is the longest line of two points on each.
    lids = []
    for lid in [p for p in manifest["pieces"] if p["role"] == "flap"]:
        on_it = Polygon(check_export.flatten(lid["outline"], True)).intersection(outline)
        if on_it.area > 100.0:
            lids.append((lid, on_it))
    outward = {"left": (-1, 0), "right": (1, 0), "head": (0, 1), "tail": (0, -1)}
    for lid, on_it in lids:
        where = affinity.translate(affinity.scale(on_it, -1.0, 1.0, origin=(0, 0)), *by)
        openings = unary_union([Polygon(check_export.flatten(h, True)) for h in lid["holes"]] or [Polygon()])
        openings = affinity.translate(affinity.scale(openings, -1.0, 1.0, origin=(0, 0)), *by)
        written = [LineString(r) for k in ("names", "head") for r in of[k] if len(r) > 1]
        if any(line.intersects(openings) for line in written):
            faults.append(f"something is written in an opening of {lid['id']}")
        inside = [LineString(r) for r in of["head"] if len(r) == 2 and where.contains(LineString(r))]
        if not inside:
            faults.append(f"no arrow on {lid['id']}")
            continue
        (x0, y0), (x1, y1) = max(inside, key=lambda s: s.length).coords
        # From the page to the pattern, seen from inside; then folded over the hinge, which runs across `n`.
        direction, n = (-(x1 - x0), y1 - y0), outward[lid["side"]]
        along = direction[0] * n[0] + direction[1] * n[1]
        folded = (direction[0] - 2 * along * n[0], direction[1] - 2 * along * n[1])
        if not (abs(folded[0]) < 1e-6 and folded[1] > 0):
            faults.append(f"the arrow on {lid['id']} does not point to the head: {folded}")
    return {"piece": cover["id"], "faults": faults, "size": [width, height], "marks": marks, "lids": len(lids), "worst": worst}


if __name__ == "__main__":
    print(json.dumps([sheets(folder, float(sys.argv[1])) for folder in sys.argv[2:]]))
