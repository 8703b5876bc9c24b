"""Reads templates and guides back by pdfium, which shares nothing with what wrote them.

    check_pdf.py templates DIR...
    check_pdf.py pages KEPT-FOLDER DIR...

`templates`: for each exported folder prints {"faults": [...], "pieces": how many were found,
"worst": the largest distance in mm between a piece's lines in the manifest and on paper}. Tiles are
put together by nothing but what is printed on them: the row and the column, the frame, and an overlap
of 10 mm.

`pages`: for each page of each guide, drawn grey at 40 dots an inch, prints {"page", "mean": the mean
difference from the kept image in grey levels of 255, "share": the share of pixels that differ by more
than a quarter of the scale}. With KEEP_PAGES set it writes the images instead.
"""

import ctypes
import json
import os
import pathlib
import re
import sys

import pypdfium2 as pdfium
import pypdfium2.raw as raw
from shapely import affinity
from shapely.geometry import LineString, MultiLineString, box

import check_export

MM = 25.4 / 72.0
OVERLAP = 10.0
CUT, RULE = 0.35, 0.2
CLOSE = 0.05
INK = (0x1A, 0x1A, 0x1A)


def words(piece):
    """A piece's name on its template: the side before the word, and a flap is called lid."""
    out = piece.split("-")
    for word, called in (("wall", "wall"), ("flap", "lid")):
        if word in out[:-1]:
            at = out.index(word)
            out[at:at + 2] = [out[at + 1], called]
    return " ".join(out)


def lines(page):
    """Every stroked line of a page: its points in mm from the lower left corner, its weight in mm, its colour."""
    found = []
    for item in page.get_objects(filter=[raw.FPDF_PAGEOBJ_PATH], max_depth=4):
        fill, stroke = ctypes.c_int(), ctypes.c_int()
        raw.FPDFPath_GetDrawMode(item, fill, stroke)
        if not stroke.value:
            continue
        weight = ctypes.c_float()
        raw.FPDFPageObj_GetStrokeWidth(item, weight)
        r, g, b, a = (ctypes.c_uint() for _ in range(4))
        raw.FPDFPageObj_GetStrokeColor(item, r, g, b, a)
        matrix = item.get_matrix()
        runs, x, y = [], ctypes.c_float(), ctypes.c_float()
        beziers = []
        for k in range(raw.FPDFPath_CountSegments(item)):
            segment = raw.FPDFPath_GetPathSegment(item, k)
            raw.FPDFPathSegment_GetPoint(segment, x, y)
            p = matrix.on_point(x.value, y.value)
            p = (p[0] * MM, p[1] * MM)
            kind = raw.FPDFPathSegment_GetType(segment)
            if kind == raw.FPDF_SEGMENT_MOVETO:
                runs.append([p])
            elif kind == raw.FPDF_SEGMENT_LINETO:
                runs[-1].append(p)
            else:
                beziers.append(p)
                if len(beziers) == 3:
                    start = runs[-1][-1]
                    for i in range(1, 65):
                        t = i / 64
                        c = ((1 - t) ** 3, 3 * (1 - t) ** 2 * t, 3 * (1 - t) * t * t, t**3)
                        q = [start, *beziers]
                        runs[-1].append(tuple(sum(w * v[d] for w, v in zip(c, q)) for d in (0, 1)))
                    beziers = []
            if raw.FPDFPathSegment_GetClose(segment) and runs[-1][-1] != runs[-1][0]:
                runs[-1].append(runs[-1][0])
        scale = abs(matrix.a) or abs(matrix.b)
        found += [(run, weight.value * scale * MM, (r.value, g.value, b.value)) for run in runs if len(run) > 1]
    return found


def near(a, b, by=0.02):
    return abs(a - b) <= by


def rule_faults(number, all_lines):
    """100 mm below and 4 in above one line, from one zero."""
    level = [r for r, w, _ in all_lines if near(w, RULE) and len(r) == 2 and near(r[0][1], r[1][1], 1e-3)]
    spans = [r for r in level if near(abs(r[1][0] - r[0][0]), 4 * 25.4, 0.05)]
    if len(spans) != 1:
        return [f"page {number}: {len(spans)} lines of 4 in to check it by"]
    zero, y = min(p[0] for p in spans[0]), spans[0][0][1]
    ticks = [r for r, w, _ in all_lines if near(w, RULE) and len(r) == 2 and near(r[0][0], r[1][0], 1e-3)]
    below = max((r[0][0] - zero for r in ticks if near(max(r[0][1], r[1][1]), y) and min(r[0][1], r[1][1]) < y - 1), default=0)
    above = max((r[0][0] - zero for r in ticks if near(min(r[0][1], r[1][1]), y) and max(r[0][1], r[1][1]) > y + 1), default=0)
    faults = []
    if not near(below, 100.0, 0.01):
        faults.append(f"page {number}: 100 mm measure {below:.3f}")
    if not near(above, 101.6, 0.01):
        faults.append(f"page {number}: 4 in measure {above:.3f} mm")
    return faults


def wanted(piece):
    """The lines of a piece that are cut through, in one."""
    rings = [piece["outline"], *piece["holes"]]
    parts = []
    for ring in rings:
        points = check_export.flatten([tuple(v) for v in ring], True)
        parts.append(LineString([*points, points[0]]))
    for slit in piece.get("slits", []):
        parts.append(LineString(check_export.flatten([tuple(v) for v in slit], False)))
    return MultiLineString(parts)


def apart(a, b):
    """The largest distance of either's points, a millimetre apart, from the other."""
    def farthest(a, b):
        a = a.segmentize(1.0)
        return max(b.distance(p) for part in getattr(a, "geoms", [a]) for p in map(pt, part.coords))
    return max(farthest(a, b), farthest(b, a))


def pt(coordinates):
    from shapely.geometry import Point

    return Point(coordinates)


def compare(piece, is_mirrored, found):
    """The distance between a piece as it should be, mirrored or not, and as found, by the best of three turns; and
    the excess of length, which shows what is drawn twice or not at all."""
    best = (float("inf"), 0.0)
    flat = affinity.scale(wanted(piece), -1 if is_mirrored else 1, 1, origin=(0, 0))
    for turn in (0, 90, -90):
        want = affinity.rotate(flat, turn, origin=(0, 0))
        want = affinity.translate(want, *[found.bounds[i] - want.bounds[i] for i in (0, 1)])
        if all(near(a, b, CLOSE) for a, b in zip(want.bounds, found.bounds)):
            best = min(best, (apart(want, found), found.length - want.length))
    return best


def templates(folder):
    manifest = json.loads((folder / "manifest.json").read_text())
    pieces = {words(p["id"]): p for p in manifest["pieces"]}
    # A piece that lies mirrored on its sheet lies mirrored under its template.
    mirrored = {words(at["piece"]): at["mirrored"] for s in manifest["sheets"] for at in s["placed"]}
    document = pdfium.PdfDocument(folder / "templates.pdf")
    faults, tiles, loose, worst = [], {}, [], 0.0
    for number, page in enumerate(document, 1):
        all_lines = lines(page)
        faults += rule_faults(number, all_lines)
        text = page.get_textpage().get_text_range()
        cuts = [r for r, w, c in all_lines if near(w, CUT, 0.01) and c == INK]
        place = re.search(r"^(.+): row (\d+), column (\d+)", text, re.M)
        if place:
            frames = [r for r, w, c in all_lines if c == (0xBD, 0xBD, 0xBD) and len(r) == 5]
            xs, ys = [p[0] for p in frames[0]], [p[1] for p in frames[0]]
            frame = (min(xs), min(ys), max(xs), max(ys))
            tiles.setdefault(place[1], {})[int(place[2]), int(place[3])] = (frame, cuts)
        elif number > 1:
            loose += [(number, LineString(r)) for r in cuts]
    found = 0
    for name, parts in tiles.items():
        whole = []
        for (row, column), (frame, cuts) in parts.items():
            wide, high = frame[2] - frame[0] - OVERLAP, frame[3] - frame[1] - OVERLAP
            half = OVERLAP / 2
            # A tile's own part ends in the middle of the overlap, or goes on where no tile follows.
            beyond = [
                0 if (row, column - 1) in parts else half,
                0 if (row + 1, column) in parts else half,
                0 if (row, column + 1) in parts else half,
                0 if (row - 1, column) in parts else half,
            ]
            own = box(
                frame[0] + half - beyond[0], frame[1] + half - beyond[1],
                frame[2] - half + beyond[2], frame[3] - half + beyond[3],
            )
            for cut in cuts:
                part = LineString(cut).intersection(own)
                if part.length > 0:
                    whole.append(affinity.translate(part, column * wide - frame[0], -row * high - frame[1]))
        piece = pieces.pop(name, None)
        if piece is None:
            faults.append(f"{name}: tiles of no piece")
            continue
        union = MultiLineString([g for part in whole for g in getattr(part, "geoms", [part]) if g.length > 0])
        deviation, excess = compare(piece, mirrored[name], union)
        worst = max(worst, deviation)
        found += 1
        if deviation > CLOSE:
            faults.append(f"{name}: {deviation:.3f} mm off when its tiles are joined")
        if abs(excess) > 0.5:
            faults.append(f"{name}: {excess:.2f} mm more line than it has")
    for name, piece in pieces.items():
        want = wanted(piece)
        size = sorted((want.bounds[2] - want.bounds[0], want.bounds[3] - want.bounds[1]))
        for number, outline in loose:
            b = outline.bounds
            if not all(near(x, y, CLOSE) for x, y in zip(size, sorted((b[2] - b[0], b[3] - b[1])))):
                continue
            held = [o for n, o in loose if n == number and box(*b).buffer(0.01).contains(o)]
            deviation, excess = compare(piece, mirrored[name], MultiLineString(held))
            if deviation <= CLOSE and abs(excess) <= 0.5:
                worst = max(worst, deviation)
                found += 1
                loose = [(n, o) for n, o in loose if all(o is not h for h in held)]
                break
        else:
            faults.append(f"{name}: not found on any page at its size")
    if loose:
        faults.append(f"{len(loose)} lines to cut that belong to no piece")
    return {"faults": faults, "pieces": found, "worst": worst}


def pages(kept, folders):
    from PIL import Image, ImageChops

    kept = pathlib.Path(kept)
    said = []
    for folder in map(pathlib.Path, folders):
        for number, page in enumerate(pdfium.PdfDocument(folder / "guide.pdf"), 1):
            name = f"{folder.name}-{number}.png"
            image = page.render(scale=40 / 72, grayscale=True).to_pil().convert("L")
            if os.environ.get("KEEP_PAGES"):
                kept.mkdir(exist_ok=True)
                image.quantize(16).save(kept / name, optimize=True)
                continue
            if not (kept / name).exists():
                said.append({"page": name, "mean": 255.0, "share": 1.0})
                continue
            before = Image.open(kept / name).convert("L")
            if before.size != image.size:
                said.append({"page": name, "mean": 255.0, "share": 1.0})
                continue
            counts = ImageChops.difference(before, image).histogram()
            total = sum(counts)
            mean = sum(level * n for level, n in enumerate(counts)) / total
            said.append({"page": name, "mean": mean, "share": sum(counts[64:]) / total})
    return said


if __name__ == "__main__":
    if sys.argv[1] == "templates":
        print(json.dumps([templates(pathlib.Path(f)) for f in sys.argv[2:]]))
    else:
        print(json.dumps(pages(sys.argv[2], sys.argv[3:])))
