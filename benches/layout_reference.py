"""Irregular pieces on a strip, by spyrrow: a strip packer on jagua-rs's collision engine.

Reads [{"across", "gap", "seconds", "workers", "pieces": [{"id", "count", "turns", "points"}, ...]}, ...] from
standard input, lengths in mm, the strip running along y. Prints for each the length that it found in
"seconds" (whole ones) on as many "workers".
"""

import json
import sys

import spyrrow


def length(case):
    # Its strip runs along x: everything is seen in a mirror, which changes no length.
    items = [
        spyrrow.Item(p["id"], [(y, x) for x, y in p["points"]], demand=p["count"], allowed_orientations=p["turns"])
        for p in case["pieces"]
    ]
    instance = spyrrow.StripPackingInstance("strip", strip_height=case["across"], items=items)
    config = spyrrow.StripPackingConfig(
        total_computation_time=case["seconds"],
        min_items_separation=case["gap"] or None,
        num_workers=case["workers"],
        early_termination=False,
        seed=1,
    )
    return instance.solve(config).width


if __name__ == "__main__":
    json.dump([length(case) for case in json.load(sys.stdin)], sys.stdout)
