"""Portfolios set together from their pieces, every layer counted; shares no code with the program.

Reads a list of portfolios as JSON, {"pieces", "fit", "square", "lining", "depth"} each, the depth that is
there for loose sheets, and writes a list of what it found. Lengths are mm.
A wrapper is folded by fold_boxes.py. All that is taken of the case is its pieces and how thick the stocks are; what lies
where on its covers is derived here, on a cover whose edge at the spine is x = 0 and whose tail is y = 0:

- cloth is turned in over the three free edges, as far as it reaches past the board's thickness and its own; of a covering
  by part every piece is turned in as it was cut (`fold_flat.py`), paper over cloth where it laps;
- a strip lines the spine: what of it the spine and both joints do not take lies half on either cover;
- a lining is pasted into the middle of the front cover, and of the back cover where no wrapper is glued to it;
- what is within lies from the edge at the spine on, in the middle between head and tail; a board lies as high over it as
  the thickest of the layers that share a place there.
"""

import copy
import itertools
import json
import sys

# Nothing is left beside the sources.
sys.dont_write_bytecode = True

import fold_boxes
import fold_flat
from fold_flat import Hinge
from fold_shapes import outline
from shapely import affinity, union_all
from shapely.geometry import LineString, box

SIDES = [f"{stock}-{cover}-cover{of}" for cover in ("back", "front") for stock, of in (("paper", ""), ("cloth", "-edge"), ("cloth", "-corner-1"), ("cloth", "-corner-2"))]
CASE = ("board-back-cover", "board-spine", "board-front-cover", "cloth-case", "cloth-spine-lining", "liner-front-cover", "liner-back-cover", *SIDES)


def size(piece):
    xs = [v[0] for v in piece["outline"]]
    ys = [v[1] for v in piece["outline"]]
    return max(xs) - min(xs), max(ys) - min(ys)


def folded(line):
    """What the wrapper spans, folded without its case."""
    line = copy.deepcopy(line)
    line["pieces"] = [p for p in line["pieces"] if p["id"] not in CASE]
    dressed = line["fit"]["dressed"]
    kept = [i for i, p in enumerate(dressed["panels"]) if p["part"] in ("base", "wall", "lid")]
    dressed["panels"] = [dressed["panels"][i] for i in kept]
    hinges = [h for h in dressed["hinges"] if h["parent"] in kept and h["child"] in kept]
    dressed["hinges"] = [{**h, "parent": kept.index(h["parent"]), "child": kept.index(h["child"])} for h in hinges]
    seen = fold_boxes.Box(line).run()
    wrong = [f"overlap {o}" for o in seen["overlaps"]] + [f"on the way {o}" for o in seen["on_the_way"]]
    return seen["exterior"], wrong


def cover_layers(cover, t, c, l, turn_in, strip, lap, lining):
    """Each layer on the inside of a cover: where it lies and how thick it is."""
    wide, high = cover
    deep = turn_in - t - c
    whole = box(0, 0, wide, high)
    turned = whole.difference(box(0, deep, wide - deep, high - deep))
    rest = (high - strip) / 2
    layers = [(turned, c), (box(0, rest, lap, high - rest), c)]
    if lining is not None:
        x, y = (wide - lining[0]) / 2, (high - lining[1]) / 2
        layers.append((box(x, y, wide - x, high - y), l))
    return layers


def by_part(line, c, p):
    """Where cloth and paper of the case lie once turned in, and on the outside of which cover paper lies, each on a cover
    whose edge at the spine is x = 0 and whose tail is y = 0."""
    dressed = line["fit"]["dressed"]
    of_case = [i for i, panel in enumerate(dressed["panels"]) if panel["piece"] in CASE]
    panels = [dict(dressed["panels"][i]) for i in of_case]
    for panel in panels:
        panel["shape"] = outline(panel["outline"])
    own = [h for h in dressed["hinges"] if h["parent"] in of_case and h["child"] in of_case]
    hinges = [Hinge({**h, "parent": of_case.index(h["parent"]), "child": of_case.index(h["child"])}, panels) for h in own]
    # Beside a wrapper the pieces lie elsewhere than the panels.
    boards = {q["id"]: outline(q["outline"]) for q in line["pieces"] if q["stock"] == "board"}
    first = panels[0]
    x, y = (a - b for a, b in zip(first["shape"].bounds[:2], boards[first["piece"]].bounds[:2]))
    pieces = [copy.deepcopy(q) for q in line["pieces"] if q["id"] in CASE]
    for q in pieces:
        for v in q["outline"] + [v for s in q["slits"] for v in s]:
            v[0], v[1] = v[0] + x, v[1] + y
    found = {}
    turn_in, t = dressed["turn_in"], dressed["board"]
    turned = [(fold_flat.turned_in(pieces, panels, hinges, turn_in, t, thick, stock), thick) for stock, thick in (("cloth", c), ("paper", p))]
    for name, panel in ((panel["piece"].removeprefix("board-"), panel) for panel in panels):
        left, low, right, _ = panel["shape"].bounds

        def on(region, name=name, shape=panel["shape"], left=left, low=low, right=right):
            region = affinity.translate(region.intersection(shape), -left, -low)
            return affinity.scale(region, -1, 1, origin=((right - left) / 2, 0)) if name == "front-cover" else region

        outside = {s: on(union_all([outline(q["outline"]) for q in fold_flat.covers_of(pieces, s)])) for s in ("cloth", "paper")}
        found[name] = [(on(region[0]), thick) for region, thick in turned if region], outside
    return found


def thickest(layers, where):
    most = 0.0
    for n in range(1, len(layers) + 1):
        for some in itertools.combinations(layers, n):
            shared = where
            for region, _ in some:
                shared = shared.intersection(region)
            if shared.area > 1.0:
                most = max(most, sum(thick for _, thick in some))
    return most


def bare(cover, layers):
    """What of a cover's board shows, without slivers."""
    left = box(0, 0, *cover).difference(union_all([region for region, _ in layers]))
    return left.buffer(-0.01).area


def fold(line):
    pieces = {p["id"]: p for p in line["pieces"]}
    dressed = line["fit"]["dressed"]
    t, c = dressed["board"], dressed["cloth"]
    liners = [p for p in line["pieces"] if p["id"].startswith("liner-") and p["id"] in CASE]
    l = line["lining"] if liners else 0.0
    square, turn_in = line["square"], dressed["turn_in"]
    back, front, spine, strip = (size(pieces[n]) for n in ("board-back-cover", "board-front-cover", "board-spine", "cloth-spine-lining"))
    is_wrapper = any(p["part"] == "back-cover" for p in dressed["panels"])
    wrong = []
    if max(abs(a - b) for a, b in zip(back, front)) > 1e-6:
        wrong.append(f"covers of {back} and {front}")
    if abs(spine[1] - back[1]) > 1e-6:
        wrong.append(f"a spine {spine[1]} high between covers {back[1]} high")
    # The joints of the case: its spine hangs on the back cover.
    panels = dressed["panels"]
    of_spine = [i for i, p in enumerate(panels) if p["piece"] == "board-spine"]
    joints = {h["width"] for h in dressed["hinges"] if h["kind"] == "joint" and (h["parent"] in of_spine or h["child"] in of_spine)}
    if len(joints) != 1:
        wrong.append(f"joints of {joints}")
    joint = joints.pop()
    # The spine stands in it, turned in at its ends; what lines it lies on both faces.
    if joint < t + 4 * c - 1e-9:
        wrong.append(f"a joint of {joint} passes less than {t + 4 * c}")
    p = dressed.get("paper", 0.0)
    parted = by_part(line, c, p) if p > 0 else {}
    # One cloth covers three boards and two joints, or as much of the covers as paper leaves to it.
    cloth = size(pieces["cloth-case"])
    reach = {}
    for name, cover in (("back-cover", back), ("front-cover", front)):
        reach[name] = cover[0] + turn_in
        if f"paper-{name}" in pieces:
            outside = parted[name][1]
            # Cloth from the spine on: where it ends in the middle of the cover's height.
            middle = LineString([(-1, cover[1] / 2), (cover[0] + 1, cover[1] / 2)])
            reach[name] = min(g.bounds[2] for g in getattr(outside["cloth"].intersection(middle), "geoms", [outside["cloth"].intersection(middle)]))
            if abs(outside["cloth"].union(outside["paper"]).area - cover[0] * cover[1]) > 0.01:
                wrong.append(f"the {name} is not covered")
            if outside["cloth"].intersection(outside["paper"]).area < 1:
                wrong.append(f"paper does not lap over cloth on the {name}")
    across = sum(reach.values()) + spine[0] + 2 * joint
    if abs(cloth[0] - across) > 1e-6 or abs(cloth[1] - back[1] - 2 * turn_in) > 1e-6:
        wrong.append(f"a cloth of {cloth} where {across} x {back[1] + 2 * turn_in} is wanted")
    # Rubbed down into a joint it takes as much more as a liner there.
    lap = (strip[0] - spine[0] - 2 * (joint + dressed["take_up"])) / 2
    if not 0 < lap < back[0]:
        wrong.append(f"the strip lies {lap} on a cover {back[0]} wide")
    if is_wrapper:
        held, more = folded(line)
        wrong += more
    else:
        held = [back[0] - square, back[1] - 2 * square, line["depth"]]
    # What is within, on either cover.
    where = box(0, square, back[0] - square, back[1] - square)
    layers = {}
    for name, cover in (("back-cover", back), ("front-cover", front)):
        lining = size(pieces[f"liner-{name}"]) if f"liner-{name}" in pieces else None
        layers[name] = cover_layers(cover, t, c, l, turn_in, strip[1], lap, lining)
        if f"paper-{name}" in pieces:
            layers[name][:1] = parted[name][0]
    between = [thickest(layers[name], where) for name in ("back-cover", "front-cover")]
    wanted = 2 * t + held[2] + sum(between)
    bares = {} if not liners else {"front cover": bare(front, layers["front-cover"])}
    if liners and not is_wrapper:
        bares["back cover"] = bare(back, layers["back-cover"])
    if is_wrapper:
        # What shows of the back cover beside the wrapper is cloth.
        shown = box(0, 0, *back).difference(where)
        left = shown.difference(union_all([region for region, _ in layers["back-cover"]])).buffer(-0.01).area
        bares["back cover"] = left
    for name, area in bares.items():
        if area > 0.5:
            wrong.append(f"{area} mm2 of the {name} are bare")
    # What covers the outside, and goes over the edges: cloth, or where one laps over the other both.
    over, edges = {}, {}
    for name, cover in (("back-cover", back), ("front-cover", front)):
        over[name], edges[name] = c, [c, c]
        if f"paper-{name}" in pieces:
            over[name] = c + p
            for k, edge in enumerate((LineString([(cover[0], 0), (cover[0], cover[1])]), LineString([(0, 0), (cover[0], 0)]))):
                lies = [(edge.intersection(parted[name][1][s].buffer(1e-6)), thick) for s, thick in (("cloth", c), ("paper", p))]
                both = lies[0][0].intersection(lies[1][0]).length > 0.01
                edges[name][k] = c + p if both else max(thick for part, thick in lies if part.length > 0.01)
    fore, ends = (max(e[k] for e in edges.values()) for k in (0, 1))
    return {
        "squares": [back[0] - held[0], (back[1] - held[1]) / 2],
        "room": spine[0] - wanted,
        # Cloth outside on both covers; round the spine, and about the edges.
        "exterior": [back[0] + joint + c + fore, back[1] + 2 * ends, spine[0] + sum(over.values())],
        "held": held,
        "wrong": wrong,
    }


print(json.dumps([fold(one) for one in json.load(sys.stdin)]))
