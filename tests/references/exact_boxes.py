"""The best layouts of a few rectangles, proved by OR-Tools' constraint solver (CP-SAT).

Reads [{"width", "height", "gap", "turn", "boxes": [[w, h], ...]}, ...], lengths whole numbers. For
each prints {"sheets": the fewest sheets of width x height, "length": the least height that a sheet
of that width needs for all, "proved": whether both are proved}. Rectangles keep the gap; they may
be turned by a quarter where "turn" is true.
"""

import json
import sys

from ortools.sat.python import cp_model

SECONDS = 20


def solver():
    s = cp_model.CpSolver()
    s.parameters.max_time_in_seconds = SECONDS
    s.parameters.num_workers = 2
    return s


def sizes(model, case, i):
    """Width and height of a box, grown by the gap, as it lies."""
    w, h = (v + case["gap"] for v in case["boxes"][i])
    if not case["turn"] or w == h:
        return w, h
    turned = model.new_bool_var("")
    return w + (h - w) * turned, h + (w - h) * turned


def boxes(model, case, width, height):
    """Rectangles that do not overlap within width x height; gives where each ends above."""
    across, up, tops = [], [], []
    for i in range(len(case["boxes"])):
        w, h = sizes(model, case, i)
        x, y = model.new_int_var(0, width, ""), model.new_int_var(0, height, "")
        right, top = model.new_int_var(0, width, ""), model.new_int_var(0, height, "")
        across.append(model.new_interval_var(x, w, right, ""))
        up.append(model.new_interval_var(y, h, top, ""))
        tops.append(top)
    model.add_no_overlap_2d(across, up)
    return up, tops, height


def least_length(case):
    model = cp_model.CpModel()
    total = sum(max(b) + case["gap"] for b in case["boxes"])
    _, tops, _ = boxes(model, case, case["width"] + case["gap"], total)
    most = model.new_int_var(0, total, "")
    model.add_max_equality(most, tops)
    model.minimize(most)
    s = solver()
    status = s.solve(model)
    return s.value(most) - case["gap"], status == cp_model.OPTIMAL


def fits(case, count):
    """Whether all go on so many sheets: sheets stand on each other, and none crosses a seam."""
    model = cp_model.CpModel()
    tall = case["height"] + case["gap"]
    across, up = [], []
    for i in range(len(case["boxes"])):
        w, h = sizes(model, case, i)
        width = case["width"] + case["gap"]
        x, right = model.new_int_var(0, width, ""), model.new_int_var(0, width, "")
        y, top = model.new_int_var(0, tall, ""), model.new_int_var(0, tall, "")
        sheet = model.new_int_var(0, count - 1, "")
        start, end = model.new_int_var(0, tall * count, ""), model.new_int_var(0, tall * count, "")
        model.add(start == y + tall * sheet)
        model.add(top == y + h)
        across.append(model.new_interval_var(x, w, right, ""))
        up.append(model.new_interval_var(start, h, end, ""))
    model.add_no_overlap_2d(across, up)
    return solver().solve(model)


def fewest_sheets(case):
    area = sum((w + case["gap"]) * (h + case["gap"]) for w, h in case["boxes"])
    count = -(-area // ((case["width"] + case["gap"]) * (case["height"] + case["gap"])))
    while True:
        status = fits(case, count)
        if status in (cp_model.OPTIMAL, cp_model.FEASIBLE):
            return count, True
        if status != cp_model.INFEASIBLE:
            return count, False
        count += 1


def main():
    answers = []
    for case in json.load(sys.stdin):
        (sheets, a), (length, b) = fewest_sheets(case), least_length(case)
        answers.append({"sheets": sheets, "length": length, "proved": a and b})
    json.dump(answers, sys.stdout)


main()
