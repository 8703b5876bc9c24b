"""Reads templates and guides back by pdfium, which shares nothing with what wrote them.

    check_pdf.py templates DIR...
    check_pdf.py measures DIR...
    check_pdf.py labels DIR...
    check_pdf.py pages KEPT-FOLDER DIR...

`templates`: for each exported folder prints {"faults": [...], "pieces": how many were found, "measured": the
pieces that the guide is said to have instead, "slivers": tiles that show less than 10 mm of their piece,
"worst": the largest distance in mm between a piece's lines in the manifest and on paper}. Tiles are
put together by nothing but what is printed on them: the row and the column, the frame, and an overlap
of 10 mm.

`measures`: for each folder what the guide's measured drawings say, compared with the manifest by nothing but the
figures and where they stand: {"faults": [...], "pieces": drawings found, "figures": how many figures, "pages": of the
guide and of the templates}. Every figure is the distance of something that the piece has, or of the base on the
cloth; every corner, end of a slit or crease, arc's outermost point is reached by a figure along each axis; figures stand
in their order; what is to be marked is the nearest half millimetre or 1/32 in, or a slot's or pocket's size on from
its near edge.

`labels`: for each folder the words on each page of its labels, and how many lines it is cut along.

`pages`: for each page of each guide, drawn grey at 40 dots an inch, prints {"page", "mean": the mean
difference from the kept image in grey levels of 255, "share": the share of pixels that differ by more
than a quarter of the scale}. With KEEP_PAGES set it writes the images instead.
"""

import ctypes
import json
import math
import os
import pathlib
import re
import sys
from fractions import Fraction

import pypdfium2 as pdfium
import pypdfium2.raw as raw
from shapely import affinity
from shapely.geometry import LineString, MultiLineString, Polygon, box

import check_export

INCH = 25.4
MM = INCH / 72.0
OVERLAP = 10.0
CUT, RULE, THIN = 0.35, 0.2, 0.13
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


def texts(page):
    """Every text of a page: what it says, its box in mm, whether it runs upwards."""
    held = page.get_textpage()
    found = []
    for item in page.get_objects(filter=[raw.FPDF_PAGEOBJ_TEXT], max_depth=4):
        size = raw.FPDFTextObj_GetText(item, held, None, 0)
        letters = (ctypes.c_ushort * (size // 2 + 1))()
        raw.FPDFTextObj_GetText(item, held, letters, size)
        text = bytes(letters)[:size].decode("utf-16-le").rstrip("\0").strip()
        if text:
            box_of = tuple(v * MM for v in item.get_bounds())
            found.append((text, box_of, abs(item.get_matrix().b) > 0.5))
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
    the excess of length, which shows what is drawn twice or not at all; and the piece as it lies there."""
    best = (float("inf"), 0.0, None)
    flat = affinity.scale(wanted(piece), -1 if is_mirrored else 1, 1, origin=(0, 0))
    for turn in (0, 90, -90):
        want = affinity.rotate(flat, turn, origin=(0, 0))
        want = affinity.translate(want, *[found.bounds[i] - want.bounds[i] for i in (0, 1)])
        if all(near(a, b, CLOSE) for a, b in zip(want.bounds, found.bounds)):
            best = min(best, (apart(want, found), found.length - want.length, want), key=lambda b: b[0])
    return best


def templates(folder):
    manifest = json.loads((folder / "manifest.json").read_text())
    pieces = {words(p["id"]): p for p in manifest["pieces"]}
    ids = {name: p["id"] for name, p in pieces.items()}
    # A piece that lies mirrored on its sheet lies mirrored under its template.
    mirrored = {words(at["piece"]): at["mirrored"] for s in manifest["sheets"] for at in s["placed"]}
    document = pdfium.PdfDocument(folder / "templates.pdf")
    faults, tiles, loose, worst, slivers, measured = [], {}, [], 0.0, [], []
    for number, page in enumerate(document, 1):
        all_lines = lines(page)
        faults += rule_faults(number, all_lines)
        # The list of pieces begins on the first page, and may go on.
        text = page.get_textpage().get_text_range()
        measured += [n for n in pieces if n not in measured and re.search(rf"\b{n} \d+ [\d x./]+ (mm|in) guide", text)]
        if len(document) == 1 and text.count("No page holds a piece of this box") == 1:
            # Where no page holds any there is no list either.
            measured = list(pieces)
        cuts = [r for r, w, c in all_lines if near(w, CUT, 0.01) and c == INK]
        frames = []
        for run, _, c in all_lines:
            if c == (0xBD, 0xBD, 0xBD) and len(run) == 5:
                xs, ys = [p[0] for p in run], [p[1] for p in run]
                frames.append((min(xs), min(ys), max(xs), max(ys)))
        for text, at, is_upright in texts(page):
            place = re.fullmatch(r"(.+): row (\d+), column (\d+)", text)
            if not place:
                continue
            # A label stands above its frame's left end, or upright at the right of its lower one; at the foot of a page
            # there is one alone.
            def off(f):
                corner = (f[2] + 3, f[1]) if is_upright else (f[0], f[3] + 2)
                return abs(at[0] - corner[0]) + abs(at[1] - corner[1])
            frame = min(frames, key=off)
            if len(frames) > 1 and off(frame) > 5:
                faults.append(f"page {number}: {text} stands at no tile")
            own = [c for c in cuts if box(*frame).buffer(0.02).contains(LineString(c))]
            cuts = [c for c in cuts if c not in own]
            tiles.setdefault(place[1], {})[int(place[2]), int(place[3])] = (frame, own)
        if number > 1:
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
        deviation, excess, lies = compare(piece, mirrored[name], union)
        area = Polygon(lies.geoms[0]) if lies else box(*union.bounds)
        for (row, column), (frame, _) in parts.items():
            wide, high = frame[2] - frame[0] - OVERLAP, frame[3] - frame[1] - OVERLAP
            window = box(column * wide, -row * high, column * wide + frame[2] - frame[0], -row * high + frame[3] - frame[1])
            seen = area.intersection(window).bounds
            if area.intersection(window).is_empty or min(seen[2] - seen[0], seen[3] - seen[1]) < 10.0 - 0.6:
                slivers.append(f"{name}: row {row}, column {column}")
        worst = max(worst, deviation)
        found += 1
        if deviation > CLOSE:
            faults.append(f"{name}: {deviation:.3f} mm off when its tiles are joined")
        if abs(excess) > 0.5:
            faults.append(f"{name}: {excess:.2f} mm more line than it has")
    for name, piece in pieces.items():
        if name in measured:
            continue
        want = wanted(piece)
        size = sorted((want.bounds[2] - want.bounds[0], want.bounds[3] - want.bounds[1]))
        for number, outline in loose:
            b = outline.bounds
            if not all(near(x, y, CLOSE) for x, y in zip(size, sorted((b[2] - b[0], b[3] - b[1])))):
                continue
            held = [o for n, o in loose if n == number and box(*b).buffer(0.01).contains(o)]
            deviation, excess, _ = compare(piece, mirrored[name], MultiLineString(held))
            if deviation <= CLOSE and abs(excess) <= 0.5:
                worst = max(worst, deviation)
                found += 1
                loose = [(n, o) for n, o in loose if all(o is not h for h in held)]
                break
        else:
            faults.append(f"{name}: not found on any page at its size")
    if loose:
        faults.append(f"{len(loose)} lines to cut that belong to no piece")
    return {"faults": faults, "pieces": found, "measured": [ids[n] for n in measured], "slivers": slivers, "worst": worst}


def length(text, unit):
    """A figure in mm: 26, 8 17/32, 0.119."""
    total = sum(float(Fraction(part)) for part in text.split())
    return total * (INCH if unit == "in" else 1.0)


def outermost(ring, is_closed):
    """Corners and ends, and the points of arcs farthest out along an axis. The two half circles of a circle give their
    centre alone, which is how it is marked, and its radius."""
    n = len(ring)
    if is_closed and n == 2 and all(abs(abs(v[2]) - 1) < 1e-6 for v in ring):
        across = math.hypot(ring[1][0] - ring[0][0], ring[1][1] - ring[0][1])
        return [((ring[0][0] + ring[1][0]) / 2, (ring[0][1] + ring[1][1]) / 2)], [across / 2]
    found, radii = [(v[0], v[1]) for v in ring], []
    for i in range(n if is_closed else n - 1):
        (x0, y0, b), (x1, y1) = ring[i], ring[(i + 1) % n][:2]
        if abs(b) < 1e-12:
            continue
        chord = math.hypot(x1 - x0, y1 - y0)
        k = (1 - b * b) / (4 * b)
        cx, cy = (x0 + x1) / 2 - (y1 - y0) * k, (y0 + y1) / 2 + (x1 - x0) * k
        r = chord * (1 + b * b) / (4 * abs(b))
        radii.append(r)
        start, sweep = math.atan2(y0 - cy, x0 - cx), 4 * math.atan(b)
        for quarter in range(4):
            turn = (quarter * math.pi / 2 - start) * (1 if b > 0 else -1)
            if 1e-6 < turn % (2 * math.pi) < abs(sweep) - 1e-6:
                a = quarter * math.pi / 2
                found.append((cx + r * math.cos(a), cy + r * math.sin(a)))
    return found, radii


def said(cell, all_texts, outline):
    """What a drawing says: figures along x and along y as (place on the page, to mark, exactly), and radii."""
    unit = None
    inside = sorted((t for t in all_texts if box(*cell).contains(box(*t[1]))), key=lambda t: (t[2], t[1]))
    exact = [t for t in inside if re.fullmatch(r"\([\d ./]+\)", t[0])]
    figures = []
    for text, at, is_upright in inside:
        is_radius = re.match(r"(?:\d+ \u00d7 )?(?:R|\u2300) ([\d ./]+)$", text)
        if not is_radius and not re.fullmatch(r"[\d ./]+", text):
            continue
        # The exact measure follows on the same line.
        follows = None
        for other in exact:
            if other[2] != is_upright:
                continue
            o = other[1]
            gap = o[1] - at[3] if is_upright else o[0] - at[2]
            aside = o[2] - at[2] if is_upright else o[1] - at[1]
            if -0.1 < gap < 1.6 and abs(aside) < 0.9:
                follows = other
        if follows:
            exact.remove(follows)
        figures.append((text if not is_radius else is_radius[1], follows and follows[0].strip("()"), at, is_upright, bool(is_radius)))
    xs, ys, radii = [], [], []
    left, low, right, high = outline
    for text, precisely, at, is_upright, is_radius in figures:
        middle = ((at[0] + at[2]) / 2, (at[1] + at[3]) / 2)
        if is_radius:
            radii.append((None, text, precisely))
        elif is_upright:
            # Above a vertical dimension line, or in line with an extension line below or above the piece.
            along_y = left - 12 < middle[0] < left and low < middle[1] < high
            (ys if along_y else xs).append(((middle[1] if along_y else middle[0], "" if along_y else middle[1] < low), text, precisely))
        else:
            along_x = left <= middle[0] <= right and middle[1] < low
            (xs if along_x else ys).append(((middle[0] if along_x else middle[1], "" if along_x else middle[0] < left), text, precisely))
    return xs, ys, radii, exact


def measures(folder):
    manifest = json.loads((folder / "manifest.json").read_text())
    unit = manifest["shown_in"]
    step = INCH / 32 if unit == "in" else 0.5
    # What is shown is rounded to a tenth of a millimetre or a thousandth of an inch, or a 1/32 in that is as near;
    # distances that differ by less than 0.03 mm are one.
    close = 0.03 + (0.0255 if unit == "in" else 0.0501)
    pieces = {words(p["id"]): p for p in manifest["pieces"]}
    mirrored = {words(at["piece"]): at["mirrored"] for s in manifest["sheets"] for at in s["placed"]}
    bases = [p for p in manifest["pieces"] if p["role"] == "base"]
    base = bases[0] if bases else None
    # A wrapper and the case round it have a cloth and a base each.
    of_case = next((p for p in bases if p["id"] == "board-back-cover"), base)
    # Of covers that are covered by part the spine alone lies whole on the cloth.
    if any(p["role"] == "side" for p in manifest["pieces"]):
        of_case = next((p for p in manifest["pieces"] if p["id"] == "board-spine"), of_case)
    document = pdfium.PdfDocument(folder / "guide.pdf")
    faults, seen, count = [], set(), 0
    for number, page in enumerate(document, 1):
        all_lines, all_texts = lines(page), texts(page)
        cells = [box(*_bounds(run)).bounds for run, w, c in all_lines if c == (0xBD, 0xBD, 0xBD) and near(w, 0.15, 0.01) and len(run) == 5]
        for cell in cells:
            inside = [t for t in all_texts if box(*cell).contains(box(*t[1]))]
            name = max(inside, key=lambda t: t[1][3])[0] if inside else ""
            piece = pieces.get(name)
            if piece is None:
                faults.append(f"page {number}: a drawing of {name!r}, which is no piece")
                continue
            seen.add(name)
            thick = [run for run, w, c in all_lines if near(w, CUT, 0.01) and c == INK and box(*cell).contains(LineString(run))]
            if len(thick) != 1:
                faults.append(f"{name}: {len(thick)} outlines")
                continue
            outline = _bounds(thick[0])
            xs, ys, radii, left_over = said(cell, all_texts, outline)
            thin = [run for run, w, _ in all_lines if near(w, THIN, 0.01) and box(*cell).buffer(0.01).contains(LineString(run))]
            faults += [f"{name}: {t[0]} follows no figure" for t in left_over]
            faults += compare_measures(name, piece, mirrored[name], of_case if piece["id"] == "cloth-case" else base, (xs, ys, radii), (outline, thin), unit, step, close)
            count += len(xs) + len(ys) + len(radii)
    faults += [f"{name}: no drawing" for name in pieces if name not in seen]
    sizes = [len(document), len(pdfium.PdfDocument(folder / "templates.pdf"))]
    return {"faults": faults, "pieces": len(seen), "figures": count, "pages": sizes}


def _bounds(run):
    xs, ys = [p[0] for p in run], [p[1] for p in run]
    return min(xs), min(ys), max(xs), max(ys)


def both(piece):
    """The recesses of both faces: those of the face that lies down are drawn too."""
    return piece["pockets"] + piece.get("back_pockets", [])


def compare_measures(name, piece, is_mirrored, base, figures, drawn, unit, step, close):
    outline, thin = drawn
    faults = []
    rings = [(piece["outline"], True)] + [(h, True) for h in piece["holes"]] + [(p["outline"], True) for p in both(piece)]
    rings += [(s, False) for s in piece["slits"]]
    if piece["stock"] == "board":
        rings += [(c, False) for c in piece["creases"]]
    points, radii = [], []
    for ring, is_closed in rings:
        more, arcs = outermost(ring, is_closed)
        points += more
        radii += arcs
    must = list(points)
    if piece["role"] == "tray" and piece["id"].endswith("-walls"):
        # Where the first wall lies on the strip.
        first = next(m for m in piece["marks"] if m["closed"])
        points += [(v[0], v[1]) for v in first["points"]]
    if piece["role"] == "cover" and base:
        points += [(v[0], v[1]) for v in base["outline"]]
    whole, _ = outermost(piece["outline"], True)
    low_x, high_x = min(p[0] for p in whole), max(p[0] for p in whole)
    low_y = min(p[1] for p in whole)
    local = [((high_x - x) if is_mirrored else (x - low_x), y - low_y) for x, y in points]
    sizes = []
    for ring in [*piece["holes"], *(p["outline"] for p in both(piece))]:
        there, _ = outermost(ring, True)
        there = [((high_x - x) if is_mirrored else (x - low_x), y - low_y) for x, y in there]
        sizes.append([(min(p[k] for p in there), max(p[k] for p in there)) for k in (0, 1)])
    scale = (outline[2] - outline[0]) / max(p[0] for p in local)
    for axis, told in enumerate(figures[:2]):
        # A length alone is from edge to edge; running figures say where they begin.
        values = [0.0] if len(told) == 1 else []
        for (place, band), text, precisely in told:
            exactly = length(precisely or text, unit)
            values.append(exactly)
            marked = length(text, unit)
            # A line leads to the figure from where on the drawing that is.
            at = outline[axis] + exactly * scale
            if not any(near(run[0][axis], at, close * scale + 0.02) and near(run[1][axis], at, close * scale + 0.02) for run in thin):
                faults.append(f"{name}: no line comes from {text} along {'xy'[axis]}")
            if not any(abs(exactly - p[axis]) <= close for p in local):
                faults.append(f"{name}: {text} ({precisely}) along {'xy'[axis]} is the distance of nothing")
            wide = [s[axis] for s in sizes if abs(s[axis][1] - exactly) <= close]
            if abs(marked - exactly) > step / 2 + close + 1e-6 and not wide:
                faults.append(f"{name}: {text} is not near {precisely}")
            if abs(marked / step - round(marked / step)) > 1e-3:
                faults.append(f"{name}: {text} is no line of a rule")
            for near_edge, far_edge in wide:
                before = [length(t, unit) for _, t, p in told if abs(length(p or t, unit) - near_edge) <= close]
                if not any(marked - b >= far_edge - near_edge - 0.1 - 2 * close for b in before):
                    faults.append(f"{name}: by its marks a slot or pocket up to {text} is too narrow")
        for at in (p[axis] for p in local[: len(must)]):
            if not any(abs(at - v) <= close for v in values):
                faults.append(f"{name}: nothing says that something lies {at:.2f} along {'xy'[axis]}")
        # In each band figures stand in the order of what they say, near where it is.
        for side in {band for (_, band), _, _ in told}:
            row = sorted((place, length(p or t, unit)) for (place, band), t, p in told if band == side)
            if any(a[1] > b[1] + 1e-9 for a, b in zip(row, row[1:])):
                faults.append(f"{name}: figures along {'xy'[axis]} stand out of order")
    for _, text, precisely in figures[2]:
        exactly = length(precisely or text, unit)
        whole_circles = [2 * r for r in radii]
        if not any(abs(exactly - r) <= close for r in radii + whole_circles):
            faults.append(f"{name}: R {text} is the radius of nothing")
    return faults


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


def labels(folder):
    """The words of each page, line by line, and the lines that it is cut along."""
    document = pdfium.PdfDocument(folder / "labels.pdf")
    return [{"lines": page.get_textpage().get_text_range().splitlines(), "cuts": len(lines(page))} for page in document]


if __name__ == "__main__":
    if sys.argv[1] == "labels":
        print(json.dumps([labels(pathlib.Path(f)) for f in sys.argv[2:]]))
    elif sys.argv[1] in ("templates", "measures"):
        check = templates if sys.argv[1] == "templates" else measures
        print(json.dumps([check(pathlib.Path(f)) for f in sys.argv[2:]]))
    else:
        print(json.dumps(pages(sys.argv[2], sys.argv[3:])))
