"""A knife's tip pulled along behind its pivot, step by step.

Reads {"offset": d, "heading": radians, "step": h, "runs": [[[x, y], ...], ...]} from standard input:
the pivot's way while the knife is down, run after run; between them the heading stays. At each step
the tip moves along the rod until it is d behind the pivot again. Prints the tip's places, one for
every 50 steps and one at the end of every chord of 1 mm and more.
"""

import json
import math
import sys

told = json.load(sys.stdin)
d, step, heading = told["offset"], told["step"], told["heading"]
tips = []
count = 0
for run in told["runs"]:
    x, y = run[0]
    tx, ty = x - d * math.cos(heading), y - d * math.sin(heading)
    for (ax, ay), (bx, by) in zip(run, run[1:]):
        length = math.hypot(bx - ax, by - ay)
        n = max(1, math.ceil(length / step))
        for i in range(1, n + 1):
            x, y = ax + (bx - ax) * i / n, ay + (by - ay) * i / n
            dx, dy = x - tx, y - ty
            rod = math.hypot(dx, dy)
            tx, ty = x - dx / rod * d, y - dy / rod * d
            count += 1
            if count % 50 == 0 or (i == n and length >= 1):
                tips.append([tx, ty])
    heading = math.atan2(y - ty, x - tx)
json.dump(tips, sys.stdout)
