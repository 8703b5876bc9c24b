"""What lies inside boxes, laid out once more from what their jobs say: nothing of ours is used.

Standard input: a JSON list of boxes, each {"asked", "fit", "pieces"}; standard output: a list of lists of what is wrong.
`asked` has the numbers of the job (mm): stacks, clearance, board, cloth, liner, along, under, over, spacer, divider,
ribbon. Source of the sums: derived; every layer between floor and lid is counted one by one.
"""

import json
import math
import sys

from shapely.geometry import box

NEAR = 2e-3


def near(a, b):
    return abs(a - b) <= NEAR


def cover_of(word, asked):
    return {"cloth": asked["cloth"], "liner": asked["liner"], "none": 0.0}[word]


def boards_in(room, spacer, asked):
    """So many boards go into a height with their cover over, and a cloth under them too."""
    thin = cover_of(spacer["cover"], asked) * (2 if spacer["cover"] == "cloth" else 1)
    n = 0
    while (n + 1) * asked["board"] + thin <= room + 1e-6:
        n += 1
    return n, (n * asked["board"] + thin if n else 0.0)


def wanted(asked):
    """Interior, number and height of the boards under each stack, what is left over."""
    stacks, room = asked["stacks"], asked["clearance"]
    many = len(stacks) > 1
    divider = asked.get("divider")
    x = cover_of(divider["cover"], asked) if many else 0.0
    padding = sum(asked[k]["thickness"] for k in ("under", "over") if asked.get(k))
    leaf = asked.get("colophon")
    padding += leaf["thickness"] if leaf and leaf["held"] == "corners" else 0.0
    ribbon = asked.get("ribbon")
    bare = []
    for k, (_, _, depth) in enumerate(stacks):
        layers = [x, padding, depth]
        if ribbon and ribbon["stack"] == k + 1:
            layers += [ribbon["thickness"]] * 3
        bare.append(sum(layers))
    highest, spacer = max(bare), asked.get("spacer")
    level = None
    if spacer and spacer.get("interior_depth"):
        level = spacer["interior_depth"] - room[2]
    elif spacer and spacer.get("height"):
        thin = cover_of(spacer["cover"], asked) * (2 if spacer["cover"] == "cloth" else 1)
        n = max(1, math.floor((spacer["height"] - thin) / asked["board"] + 0.5))
        level = highest + n * asked["board"] + thin
    elif many:
        level = highest
    under, left = [], []
    for b in bare:
        n, high = boards_in(level - b, spacer, asked) if level is not None else (0, 0.0)
        under.append((n, high))
        left.append(level - b - high if level is not None else 0.0)
    axis = 1 if many and divider["along"] == "height" else 0
    row = sum(s[axis] + room[axis] for s in stacks) + (len(stacks) - 1) * (asked["board"] + 2 * x)
    across = max(s[1 - axis] + room[1 - axis] for s in stacks)
    plan = [row, across] if axis == 0 else [across, row]
    return plan + [(highest if level is None else level) + room[2]], under, left


def check(one):
    asked, fit, pieces = one["asked"], one["fit"], {p["id"]: p for p in one["pieces"]}
    told, inside, wrong = fit["inside"]["things"], fit["inside"], []
    interior, under, left = wanted(asked)
    for name, a, b in zip(("width", "height", "depth"), fit["interior"], interior):
        if not near(a, b):
            wrong.append(f"interior {name} {a}, wanted {b}")
    # Every stack lies there as it was measured.
    for k, stack in enumerate(asked["stacks"]):
        own = [t for t in told if t["kind"] == "stack" and t["stack"] == k + 1]
        size = [[t["high"][i] - t["low"][i] for i in range(3)] for t in own]
        if len(own) != 1 or not all(near(a, b) for a, b in zip(size[0], stack)):
            wrong.append(f"stack {k + 1} is {size}, measured {stack}")
        n, high = under[k]
        spacers = [t for t in told if t["kind"] == "spacer" and t["stack"] == k + 1]
        if n == 0 and spacers or n > 0 and (len(spacers) != 1 or spacers[0]["layers"] != n):
            wrong.append(f"under stack {k + 1} {spacers}, wanted {n} boards")
        elif n > 0 and not near(spacers[0]["high"][2] - spacers[0]["low"][2], high):
            wrong.append(f"the spacer under stack {k + 1} is not {high} high")
        if not near(inside["remainders"][k], left[k]):
            wrong.append(f"over stack {k + 1} {inside['remainders'][k]} left over, wanted {left[k]}")
    # Nothing shares space, and all lies within the interior.
    blocks = [(box(*t["low"][:2], *t["high"][:2]), t) for t in told]
    room = box(-interior[0] / 2 - NEAR, -interior[1] / 2 - NEAR, interior[0] / 2 + NEAR, interior[1] / 2 + NEAR)
    for i, (plan, t) in enumerate(blocks):
        if not room.contains(plan) or t["low"][2] < -NEAR or t["high"][2] < t["low"][2]:
            wrong.append(f"{t} stands out of the interior")
        for other, o in blocks[i + 1:]:
            deep = min(t["high"][2], o["high"][2]) - max(t["low"][2], o["low"][2])
            if deep > NEAR and plan.buffer(-NEAR, join_style=2).intersection(other).area > 1e-6:
                wrong.append(f"{t['kind']} {t['stack']} and {o['kind']} {o['stack']} share space")
    # What lies in each column adds up, layer on layer: a block stands on the floor or on another.
    for plan, t in blocks:
        if t["kind"] == "ribbon" or near(t["low"][2], 0.0):
            continue
        if not any(near(o["high"][2], t["low"][2]) and plan.intersects(p) for p, o in blocks if o is not t):
            wrong.append(f"{t['kind']} {t['stack']} lies on nothing")
    # A lid comes down to the highest and its clearance, no farther, and rests on nothing that stands higher.
    # A leaf that hangs on the lid's lining by its corners comes down on all of it.
    leaf = asked.get("colophon")
    highest = max(t["high"][2] for t in told) + (leaf["thickness"] if leaf and leaf["held"] == "corners" else 0.0)
    if not near(highest, inside["highest"]):
        wrong.append(f"the highest stands {highest}, told {inside['highest']}")
    # The lids of a box whose interior follows lie on the highest with just its clearance over it.
    if not near(interior[2] - highest, asked["clearance"][2] + min(left)):
        wrong.append(f"over the highest there is {interior[2] - highest}, wanted {asked['clearance'][2] + min(left)}")
    if interior[2] - highest < asked["clearance"][2] - NEAR:
        wrong.append("a lid would lie on less than its clearance")
    # The pieces are what the blocks are without their cover.
    for t in told:
        if t["piece"] is None:
            continue
        piece = pieces[t["piece"]]
        xs, ys = [v[0] for v in piece["outline"]], [v[1] for v in piece["outline"]]
        size = [max(xs) - min(xs), max(ys) - min(ys)]
        lies = [t["high"][i] - t["low"][i] for i in range(3)]
        if t["kind"].startswith("spacer"):
            c = asked["cloth"] if asked["spacer"]["cover"] == "cloth" else 0.0
            good = near(size[0] + 2 * c, lies[0]) and near(size[1] + 2 * c, lies[1]) and piece["count"] == t["layers"]
        elif t["kind"] == "divider":
            x = cover_of(asked["divider"]["cover"], asked)
            plan = sorted(lies[:2])
            good = near(plan[0], asked["board"] + 2 * x) or near(plan[1], asked["board"] + 2 * x)
            along = lies[1] if asked["divider"]["along"] == "width" else lies[0]
            good = good and near(size[0] + 2 * x, along) and near(size[1] + x, lies[2])
        else:
            good = near(size[0], lies[0]) and near(size[1], lies[1])
        if not good:
            wrong.append(f"{t['piece']} is {size}, and lies as {lies}")
    ribbon = asked.get("ribbon")
    if ribbon:
        wrong += lifted(asked, ribbon, inside, told, under)
    return wrong


def lifted(asked, ribbon, inside, told, under):
    """The length of the ribbon: its tails, what it goes round, the stack's footprint and depth."""
    k = ribbon["stack"] - 1
    axis = 1 if ribbon["glued_at"] in ("head", "tail") else 0
    towards = 1 if ribbon["glued_at"] in ("left", "tail") else -1
    own = [t for t in told if t["stack"] == k + 1]
    stack = next(t for t in own if t["kind"] == "stack")
    beneath = [t for t in own if t["kind"] in ("spacer", "under")]
    ends = [t["low"][axis] if towards > 0 else t["high"][axis] for t in beneath + [stack]]
    begins = min(ends) if towards > 0 else max(ends)
    far = stack["high"][axis] if towards > 0 else stack["low"][axis]
    rise = under[k][1] + (asked["under"]["thickness"] if asked.get("under") else 0.0)
    length = ribbon["glued"] + rise + abs(far - begins) + asked["stacks"][k][2] + ribbon["pull"]
    if near(length, inside["ribbon"]["length"]):
        return []
    return [f"the ribbon is {inside['ribbon']['length']} long, wanted {length}"]


print(json.dumps([check(one) for one in json.load(sys.stdin)]))
