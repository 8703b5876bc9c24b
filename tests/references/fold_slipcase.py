"""Slipcases glued together and covered from their pieces, every layer counted; shares no code with the program.

Reads a list of cases as JSON, {"pieces", "open", "faces", "back", "contents", "stands_out", "board", "cloth", "liner",
"turn_in"} each, and writes a list of what it found. Lengths are mm. All that it takes from the program is the pieces;
what lies where is derived here, in a frame of its own: x from the back to the mouth, y from end to end, z from the lower
face up, the origin in the middle of the lower face's board.

- five boards are set together as the words say; they must make a shell without a gap or an overlap;
- the lining lies flat on the boards before they are glued: no lining under a glued edge, none in another;
- the cloth is laid under the lower face and rolled round: a bend of a right angle takes pi / 4 of its thickness; its
  parts are cut at the folds and mapped onto the outside, the ends, the edges at the mouth and the inside;
- the works are pushed in from the mouth between what lies there.
"""

import json
import math
import sys

from shapely import affinity
from shapely.geometry import LineString, Point, Polygon, box
from shapely.ops import unary_union

# Bare stretches narrower than this close as the cloth is drawn over an edge.
NARROW = 0.7
# Where three layers of cloth lie on less than this, they are pressed flat, mm2.
PRESSED = 1.0
TURNS = {"right": 0, "head": 90, "left": 180, "tail": 270}


def ring(vertices):
    """Chords for a contour of [x, y, bulge]."""
    points = []
    for i, (x0, y0, bulge) in enumerate(vertices):
        x1, y1, _ = vertices[(i + 1) % len(vertices)]
        points.append((x0, y0))
        if abs(bulge) < 1e-9:
            continue
        sweep = 4 * math.atan(bulge)
        chord = math.hypot(x1 - x0, y1 - y0)
        radius = chord / 2 / math.sin(abs(sweep) / 2)
        middle = ((x0 + x1) / 2, (y0 + y1) / 2)
        # The centre lies to the left of the chord where the arc turns left by less than a half circle.
        off = radius * math.cos(sweep / 2) * (1 if bulge > 0 else -1)
        nx, ny = -(y1 - y0) / chord, (x1 - x0) / chord
        cx, cy = middle[0] + nx * off, middle[1] + ny * off
        start = math.atan2(y0 - cy, x0 - cx)
        n = 64
        points += [
            (cx + radius * math.cos(start + sweep * k / n), cy + radius * math.sin(start + sweep * k / n))
            for k in range(1, n)
        ]
    return points


def size(shape):
    x0, y0, x1, y1 = shape.bounds
    return x1 - x0, y1 - y0


def solid(shell):
    return shell.buffer(0)


def bare(whole, covers):
    """The area of a shape that is left bare more widely than NARROW, by a share of its own to either side."""
    left = whole.difference(unary_union(covers)) if covers else whole
    return left.buffer(-NARROW / 2).area


def mapped(part, matrix):
    return affinity.affine_transform(part, matrix)


def volume(b):
    return max(0.0, b[1] - b[0]) * max(0.0, b[3] - b[2]) * max(0.0, b[5] - b[4])


def shared(a, b):
    return volume([f(a[k], b[k]) for k, f in enumerate([max, min] * 3)])


def fold(case):
    wrong = []
    t, c, l = case["board"], case["cloth"], case["liner"]
    bend = math.pi / 4 * c
    turned = -TURNS[case["open"]]
    pieces, slits, count = {}, {}, {}
    for p in case["pieces"]:
        shape = affinity.rotate(Polygon(ring(p["outline"])), turned, origin=(0, 0))
        pieces[p["id"]] = shape
        if not shape.is_valid:
            wrong.append(f"{p['id']} crosses itself")
            return {"wrong": wrong}
        slits[p["id"]] = [
            affinity.rotate(LineString([v[:2] for v in s]), turned, origin=(0, 0)) for s in p["slits"]
        ]
        count[p["id"]] = p["count"]
    want = {"board-face": 2, "board-back": 1, "board-end": 2, "cloth-cover": 1}
    want |= {"cloth-notch": 2} if case["notch"] else {}
    want |= {"liner-face": 2, "liner-back": 1, "liner-end": 2} if l > 0 else {}
    if count != want:
        return {"wrong": [f"pieces {count}, and {want} are wanted"]}

    # The boards as boxes [x0, x1, y0, y1, z0, z1]; z from the underside of the lower face.
    face = pieces["board-face"]
    fw, fh = size(face)
    back, end = size(pieces["board-back"]), size(pieces["board-end"])
    high = back[0]
    if abs(end[1] - high) > 1e-6:
        wrong.append(f"the back is {high} high and the ends {end[1]}")
    outside = case["faces"] == "outside"
    z0, z1 = (t, t + high) if outside else (0.0, high)
    thick = high + 2 * t if outside else high
    mouth = fw / 2
    deep = fw if outside else fw + t
    across = fh if outside else fh + 2 * t
    rear = mouth - deep
    back_y = across / 2 if case["back"] == "outside" else across / 2 - t
    end_x = rear + t if case["back"] == "outside" else rear
    lower = [mouth - fw, mouth, -fh / 2, fh / 2, 0.0, t]
    boxes = {
        "lower face": lower,
        "upper face": lower[:4] + [thick - t, thick],
        "back": [rear, rear + t, -back_y, back_y, z0, z1],
        "head end": [end_x, mouth, across / 2 - t, across / 2, z0, z1],
        "tail end": [end_x, mouth, -across / 2, -across / 2 + t, z0, z1],
    }
    if abs(back[1] - 2 * back_y) > 1e-6:
        wrong.append(f"the back is {back[1]} long, and {2 * back_y} is wanted")
    if abs(end[0] - (mouth - end_x)) > 1e-6:
        wrong.append(f"an end is {end[0]} long, and {mouth - end_x} is wanted")
    names = list(boxes)
    for i, a in enumerate(names):
        for b in names[i + 1 :]:
            if shared(boxes[a], boxes[b]) > 1e-6:
                wrong.append(f"the {a} and the {b} share {shared(boxes[a], boxes[b])} mm3")
    hole = [rear + t, mouth, -across / 2 + t, across / 2 - t, t, thick - t]
    whole = [rear, mouth, -across / 2, across / 2, 0.0, thick]
    if abs(sum(volume(b) for b in boxes.values()) - volume(whole) + volume(hole)) > 1e-3:
        wrong.append("the boards do not make a shell")
    room = [hole[1] - hole[0], hole[3] - hole[2], hole[5] - hole[4]]

    # At the mouth lining and cloth lie on all four sides.
    interior = [room[0] - l + c + case["stands_out"], room[1] - 2 * (l + c), room[2] - 2 * (l + c)]

    # The lining: off the glue, and none in another.
    if l > 0:
        lined = {k: pieces[f"liner-{k}"].bounds for k in ("face", "back", "end")}
        lf = lined["face"]
        gaps = [
            lf[0] - (rear + t),
            across / 2 - t - lf[3],
            lf[1] - (-across / 2 + t),
        ]
        # The back lies flat to the left of the lower face, an end beyond its head, each on its lower edge.
        back_at = pieces["board-back"].bounds
        up = lambda x: back_at[2] - x + z0  # noqa: E731
        lb = lined["back"]
        back_gaps = [up(lb[2]) - t, thick - t - up(lb[0]), lb[1] - (-across / 2 + t), across / 2 - t - lb[3]]
        end_at = pieces["board-end"].bounds
        le = lined["end"]
        end_gaps = [le[1] - end_at[1] + z0 - t, thick - t - (le[3] - end_at[1] + z0), le[0] - (rear + t)]
        for what, all_, clear in [
            ("face", gaps, l),
            ("back", back_gaps, 0.0),
            ("end", end_gaps[:2], 0.0),
            ("end at the back", end_gaps[2:], l),
        ]:
            # Between 0.3 and 1 mm of bare board along the glue.
            if any(not clear + 0.3 < g < clear + 0.8 for g in all_):
                wrong.append(f"lining of the {what}: {all_} from the glue, where {clear} of lining stands")
        if abs(lf[2] - mouth) > 1e-6 or abs(le[2] - mouth) > 1e-6:
            wrong.append("the lining does not end at the mouth")
        if abs(face.intersection(box(*lf)).area - pieces["liner-face"].area) > 1e-3:
            wrong.append("the lining of a face stands over its notch, or short of it")

    # The cloth, cut along its slits by next to nothing.
    cloth = pieces["cloth-cover"]
    for s in slits["cloth-cover"]:
        cloth = cloth.difference(s.buffer(1e-4, cap_style="flat"))
    far = 1e4
    b_back = rear - bend
    b_upper = b_back - thick - bend
    other = b_upper - deep  # the mouth of the upper face
    half = across / 2
    notch = Polygon()
    if case["notch"]:
        width, depth = case["notch"]
        radius = (width**2 / 4 + depth**2) / (2 * depth)
        disc = Point(mouth + radius - depth, 0).buffer(radius, quad_segs=64)
        notch = disc.intersection(box(-far, -far, mouth + 1e-9, far))
    flip = [-1, 0, 0, 1, mouth + other, 0]
    on_upper = mapped(notch, flip) if case["notch"] else notch

    # Outside: lower face, back, upper face.
    for what, place in [
        ("lower face", box(rear, -half, mouth, half).difference(notch)),
        ("back", box(b_back - thick, -half, b_back, half)),
        ("upper face", box(other, -half, b_upper, half).difference(on_upper)),
    ]:
        left = place.difference(cloth).area
        if left > 0.5:
            wrong.append(f"outside {left} mm2 of the {what} are bare")

    # One half at a time, each mirrored so that its end is at y > 0.
    depths = []
    for name, sign in [("head", 1), ("tail", -1)]:
        own = cloth if sign > 0 else mapped(cloth, [1, 0, 0, -1, 0, 0])
        beyond = half + bend
        flaps = box(-far, beyond, far, far)
        # Onto the end's plane (x, z): the lower face's flap, the back's tab, the upper face's flap.
        low = mapped(own.intersection(flaps).intersection(box(rear - bend / 2, 0, mouth, far)), [1, 0, 0, 1, 0, -beyond])
        tab = own.intersection(flaps).intersection(box(b_back - thick - bend / 2, 0, rear - bend / 2, far))
        tab = mapped(tab, [0, 1, -1, 0, rear - beyond, b_back])
        top = own.intersection(flaps).intersection(box(other, 0, b_upper + bend / 2, far))
        top = mapped(top, [-1, 0, 0, -1, mouth + other, thick + beyond])
        end_plane = box(rear, 0, mouth, thick)
        left = bare(end_plane, [low, tab, top])
        if left > 0.05:
            wrong.append(f"{left} mm2 of the {name} end are bare outside")
        three = low.intersection(tab).intersection(top).area
        if three > PRESSED:
            wrong.append(f"three layers lie on {three} mm2 of the {name} end")
        if low.intersection(tab).area > PRESSED:
            wrong.append(f"beneath the last flap cloth lies double on {low.intersection(tab).area} mm2 of the {name} end")
        for what, flap in [("lower", low), ("back's", tab), ("upper", top)]:
            x0, y0, x1, y1 = flap.bounds
            if x0 < rear - c or x1 > mouth + c or y0 < -c or y1 > thick + c:
                wrong.append(f"the {what} flap stands over the {name} end: {flap.bounds}")

        # The edges at the mouth, in (y, z), cloth from the outside in; v from the fold.
        tabs = {
            "lower": mapped(own.intersection(box(mouth + bend, -far, far, half)), [0, 1, 1, 0, 0, -mouth - bend]),
            "upper": mapped(
                own.intersection(box(-far, -far, other - bend, half)), [0, 1, 1, 0, 0, thick - other + bend]
            ),
            "end": mapped(
                own.intersection(box(-far, half, other - bend, far)), [1, 0, 0, -1, half - other + bend, thick + beyond]
            ),
        }
        row = {
            "lower": box(-far, -1e-9, far, t + bend),
            "upper": box(-far, thick - t - bend, far, thick + 1e-9),
            "end": box(half - t - bend, -far, half + 1e-9, far),
        }
        on_edges = {k: tabs[k].intersection(row[k]) for k in tabs}
        frame = box(0, 0, half, thick).difference(box(-1, t, half - t, thick - t))
        if case["notch"]:
            for z in (0, thick - t):
                frame = frame.difference(box(-1, z - 1e-6, case["notch"][0] / 2 + 1.6 * t, z + t + 1e-6))
        left = bare(frame, list(on_edges.values()))
        if left > 0.05:
            wrong.append(f"{left} mm2 of the edges at the mouth are bare near the {name} end")

        # Inside: how far each reaches in, and that none lies in another.
        # Just past the bend, so that what ends there is not taken for a part.
        past = t + bend + 0.02
        inside = {
            "lower": tabs["lower"].intersection(box(-far, past, far, far)),
            "upper": tabs["upper"].intersection(box(-far, -far, far, thick - past)),
            "end": tabs["end"].intersection(box(-far, -far, half - past, far)),
        }
        reach = {
            "lower": inside["lower"].bounds[3] - t - bend,
            "upper": thick - t - bend - inside["upper"].bounds[1],
            "end": half - t - bend - inside["end"].bounds[0],
        }
        depths += reach.values()
        for k in ("lower", "upper"):
            # To the lining of the end, not into it.
            y1 = inside[k].bounds[2]
            if not half - t - l - 0.5 < y1 < half - t - l + 0.05:
                wrong.append(f"inside the {k} face the cloth ends at {y1}, the lining of the {name} end at {half - t - l}")
        _, low_z, _, top_z = inside["end"].bounds
        # A step that is too small for a blade is cut aslant: what lies double there by less than half of it is pressed flat.
        if not (-0.2 < low_z - (t + l + c) < 0.5 + c and -0.05 < thick - (t + l + c) - top_z < 2.0):
            wrong.append(f"inside the {name} end the cloth lies from {low_z} to {top_z} of {thick}")

    if min(depths) < 3.0:
        wrong.append(f"the cloth reaches {min(depths)} in")
    if max(depths) > case["turn_in"] or max(depths) > room[0] - 3.0:
        wrong.append(f"the cloth reaches {max(depths)} in")

    # The notches: their edges are lined by a strip, and cloth goes in over it.
    if case["notch"]:
        width, depth = case["notch"]
        whole_arc = 2 * radius * math.asin(min(1.0, width / 2 / radius))
        strip = pieces["cloth-notch"]
        length, broad = max(size(strip)), min(size(strip))
        if abs(length - whole_arc) > 0.05:
            wrong.append(f"the strip of a notch is {length} long, its edge {whole_arc}")
        # The plain part is as wide as the board; slits of the margin stay clear of it.
        if broad < t + bend + 3.0:
            wrong.append(f"the strip of a notch is {broad} wide")
        # Across the strip as it lies, whichever way it is turned.
        sx0, sy0, sx1, sy1 = strip.bounds
        deep_slits = max((s.length for s in slits["cloth-notch"]), default=0.0)
        if deep_slits > broad - t - bend - 0.5:
            wrong.append(f"slits of {deep_slits} in a strip of {broad} reach the board's edge")
        for face_name, at in [("lower", mouth), ("upper", other)]:
            centre = mouth + radius - depth if at == mouth else other - radius + depth
            ways = []
            # Away from the corners, where the cloth is cut aslant.
            limit = math.asin(min(1.0, width / 2 / radius)) * 0.5
            for k in range(-4, 5):
                angle = limit * k / 4 * 0.97 + 0.011
                direction = (-math.cos(angle), math.sin(angle)) if at == mouth else (math.cos(angle), math.sin(angle))
                start = (centre + direction[0] * radius, direction[1] * radius)
                stop = (centre + direction[0] * 1e-3, direction[1] * 1e-3)
                got = LineString([start, stop]).intersection(pieces["cloth-cover"]).length
                ways.append(got)
            if min(ways) < min(t + c + 3.0, radius - 0.1):
                wrong.append(f"in the notch of the {face_name} face cloth reaches {min(ways)} in, over a board of {t}")

    works = case["contents"]
    play = [interior[1] - works[1], interior[2] - works[2]]
    if min(play) < -1e-9:
        wrong.append(f"the works do not slide in: {play}")
    # Outside: cloth on the faces and the strip of a notch beneath; one on the back; two on the ends, and round their
    # edges at the mouth.
    more = 2 * c if case["notch"] else 0.0
    exterior = [deep + 3 * c, across + 4 * c, thick + 2 * c + more]
    return {"interior": interior, "exterior": exterior, "play": play, "boards": [deep, across, thick], "wrong": wrong}


print(json.dumps([fold(one) for one in json.load(sys.stdin)]))
