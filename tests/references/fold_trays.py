"""Boxes of trays glued together and closed from their pieces, every layer counted; shares no code with the program.

Reads a list of boxes as JSON, {"pieces", "fit"} each, and writes a list of what it found. Lengths are mm. All that it
takes from the program is the pieces and how thick the stocks are; what lies where is derived here:

- a tray is a base and three walls; cloth lies on the outside, the top and the inside of each wall, on the rim of the
  floor and under it; the floor's lining lies on the rim, and at the spine the lining of the spine between them;
- the small tray stands on the back cover, on the cloth turned in there; the large one hangs from the front cover;
- both begin at the edge of their cover at the spine.
"""

import json
import sys


def box(piece):
    xs = [v[0] for v in piece["outline"]]
    ys = [v[1] for v in piece["outline"]]
    return max(xs) - min(xs), max(ys) - min(ys)


def tray(pieces, name, t, c, l, on_base):
    base = box(pieces[f"board-{name}-base"])
    head = box(pieces[f"board-{name}-head-wall"])
    tail = box(pieces[f"board-{name}-tail-wall"])
    fore = box(pieces[f"board-{name}-fore-edge-wall"])
    wrong = []
    # Walls of one tray are as high as each other; laid flat the one at the fore-edge has its height across.
    if abs(head[1] - tail[1]) > 1e-6 or abs(head[1] - fore[0]) > 1e-6:
        wrong.append(f"{name}: walls of {head[1]}, {tail[1]}, {fore[0]}")
    wall = head[1]
    # Where the inner faces of the walls' boards are, from the spine edge of the base and between head and tail.
    if on_base:
        inner = (base[0] - t, base[1] - 2 * t)
        outer = base
        long, short = base[0], base[1] - 2 * t
        stands = t
    else:
        inner = base
        outer = (base[0] + t, base[1] + 2 * t)
        long, short = base[0] + t, base[1]
        stands = 0.0
    if abs(head[0] - long) > 1e-6 or abs(tail[0] - long) > 1e-6:
        wrong.append(f"{name}: walls at head and tail are {head[0]}, {tail[0]} long, and {long} is wanted")
    if abs(fore[1] - short) > 1e-6:
        wrong.append(f"{name}: the wall at the fore-edge is {fore[1]} long, and {short} is wanted")
    # From under the base's board: the floor's board, and the tops.
    floor = t
    top = stands + wall + c
    return {
        "inside": (inner[0] - c, inner[1] - 2 * c),
        "outside": (outer[0] + c, outer[1] + 2 * c),
        "rim": floor + c + l,
        # At the spine in the corners: cloth, the lining of the spine, that of the floor.
        "deepest": floor + 2 * c + l,
        "top": top,
    }, wrong


def closed_tray(pieces, name, t, c, l, on_base):
    """A tray with four walls: cloth on all of them, on the rim of the floor and under it, and over that its own."""
    base = box(pieces[f"board-{name}-base"])
    sides = {s: box(pieces[f"board-{name}-{s}-wall"]) for s in ("head", "tail", "left", "right")}
    wall = sides["head"][1]
    wrong = []
    if max(abs(h - wall) for h in (sides["tail"][1], sides["left"][0], sides["right"][0])) > 1e-6:
        wrong.append(f"{name}: walls of different heights")
    more = 0.0 if on_base else 2 * t
    long, short = base[0] + more, base[1] - (2 * t if on_base else 0)
    if max(abs(sides["head"][0] - long), abs(sides["tail"][0] - long)) > 1e-6:
        wrong.append(f"{name}: walls at head and tail do not cover the ends of the others")
    if max(abs(sides["left"][1] - short), abs(sides["right"][1] - short)) > 1e-6:
        wrong.append(f"{name}: walls at left and right do not go between the others")
    inner = [b - (2 * t if on_base else 0) - 2 * c for b in base]
    outer = [b + more + 2 * c for b in base]
    under = box(pieces[f"cloth-{name}-underside"])
    if any(not 0 < o - u < 6 for o, u in zip(outer, under)):
        wrong.append(f"{name}: an underside of {under} under {outer}")
    across = box(pieces[f"cloth-{name}-walls"])[0]
    round_it = 2 * (long + base[1] + more)
    if not round_it < across < round_it + 40:
        wrong.append(f"{name}: its cloth is {across} long, and {round_it} is to be covered")
    return {"inside": inner, "outside": outer, "rim": t + c + l, "top": (t if on_base else 0.0) + wall + c}, wrong


def fold_lid(pieces, dressed):
    t, c, l = dressed["board"], dressed["cloth"], dressed["liner"]
    on_base = dressed["seat"] == "on-base"
    tray_, wrong = closed_tray(pieces, "tray", t, c, l, on_base)
    lid, more = closed_tray(pieces, "lid", t, c, l, on_base)
    wrong += more
    # The lid's rim rests on the tray's, and what covers both undersides is two cloths thick.
    rests = tray_["top"] + lid["rim"]
    interior = (*tray_["inside"], rests - lid["rim"] - tray_["rim"])
    slide = [a - b for a, b in zip(lid["inside"], tray_["outside"])]
    # From under the tray to where the lid's walls end: below zero they would stand on the table.
    ends = 2 * c + rests + 2 * c - (2 * c + lid["top"])
    if ends < -1e-6:
        wrong.append(f"the lid stands {-ends} higher than its tray")
    return {"interior": interior, "slide": slide, "depth": 2 * c + rests + 2 * c, "ends": ends, "wrong": wrong}


def strip(pieces, name, t, c, on_base, turn_in):
    """The strip of cloth goes round all walls and covers both of their faces."""
    across, high = box(pieces[f"cloth-{name}-walls"])
    head = box(pieces[f"board-{name}-head-wall"])
    base = box(pieces[f"board-{name}-base"])
    round_it = 2 * head[0] + base[1] + (0 if on_base else 2 * t)
    outside = head[1] + (t if on_base else 0)
    inside = head[1] - (0 if on_base else t)
    wrong = []
    # Tabs round both ends, rows under and on the base; bends take less than two cloths each.
    least = (round_it + 2 * (t + turn_in), 2 * turn_in + outside + t + inside)
    for what, is_, want in [("long", across, least[0]), ("high", high, least[1])]:
        if not want - 1e-6 <= is_ <= want + 8 * c + 1e-6:
            wrong.append(f"{name}: its cloth is {is_} {what}, and about {want} is wanted")
    return wrong


def fold(line):
    pieces = {p["id"]: p for p in line["pieces"]}
    dressed = line["fit"]["dressed"]
    if "board-lid-base" in pieces:
        return fold_lid(pieces, dressed)
    t, c, l = dressed["board"], dressed["cloth"], dressed["liner"]
    on_base = dressed["seat"] == "on-base"
    small, wrong = tray(pieces, "small-tray", t, c, l, on_base)
    large, more = tray(pieces, "large-tray", t, c, l, on_base)
    wrong += more
    for name in ("small-tray", "large-tray"):
        wrong += strip(pieces, name, t, c, on_base, dressed["turn_in"])
    # Room for the stack: between the walls, from the spine edge to the wall, under the floor of the large tray, which
    # rests on the small one's rim with as much less where only its rim lies.
    rests = small["top"] + large["rim"]
    interior = (small["inside"][0], small["inside"][1], rests - large["deepest"] - small["deepest"])
    slide = (large["inside"][0] - small["outside"][0], large["inside"][1] - small["outside"][1])
    # From under the small tray's cloth to over the large one's: by what rests, and by the large walls.
    closed = max(c + rests + c, large["top"] + c)
    back, front, spine = (box(pieces[f"board-{n}"]) for n in ("back-cover", "front-cover", "spine"))
    if max(abs(a - b) for a, b in zip(back, front)) > 1e-6:
        wrong.append(f"covers of {back} and {front}")
    # The ends of the walls at the spine are covered.
    out = (c + large["outside"][0], large["outside"][1])
    squares = (back[0] - out[0], (back[1] - out[1]) / 2)
    # Between the covers: the cloth turned in on either, and of one that is covered by part the paper lapped over it.
    p = dressed.get("paper", 0.0)
    on = [c + (p if f"paper-{n}-cover" in pieces else 0.0) for n in ("back", "front")]
    between = closed + sum(on)
    if abs(spine[0] - (between + 2 * t)) > 1e-6:
        wrong.append(f"the spine is {spine[0]} wide, and {between + 2 * t} is wanted")
    joint = line["fit"]["joint"]
    # The spine stands in it; cloth turned in and the spine's own lining lie on both faces.
    if joint < t + 4 * c - 1e-9:
        wrong.append(f"a joint of {joint} passes less than {t + 4 * c}")
    return {
        "interior": interior,
        "slide": slide,
        "squares": squares,
        "depth": between + 2 * t + sum(on),
        "wrong": wrong,
    }


print(json.dumps([fold(one) for one in json.load(sys.stdin)]))
