"""Our DXF writer against ezdxf on the same 100,000 contours, in one run.

    target/references/bin/python benches/dxf_reference.py

(`tests/run` makes that Python; any with ezdxf will do.) Runs `cargo bench --bench dxf`, then lets
ezdxf write the same contours as closed LWPOLYLINEs of R2000 into memory, best of three, and prints
the ratio. The drawing is built in memory beforehand on both sides; ezdxf's time for building it is
printed as well. Also prints our time a contour at each size, which should not grow.
"""

import io
import json
import pathlib
import subprocess
import time

import ezdxf

ROOT = pathlib.Path(__file__).resolve().parent.parent
COUNT = 100_000


def slot(i):
    x, y = (i % 300) * 10.1234567 + 0.1, (i // 300) * 3.7654321 + 0.2
    return [(x, y, 0.0), (x + 8.5, y, 1.0), (x + 8.5, y + 1.5, 0.0), (x, y + 1.5, 0.0)]


def ours(name, count):
    path = ROOT / "target" / "criterion" / "dxf" / name / str(count) / "new" / "estimates.json"
    return json.loads(path.read_text())["median"]["point_estimate"] / 1e9


def ezdxf_seconds():
    start = time.perf_counter()
    doc = ezdxf.new("R2000")
    doc.layers.add("THROUGH-CUT", color=7)
    model = doc.modelspace()
    for i in range(COUNT):
        model.add_lwpolyline(slot(i), format="xyb", close=True, dxfattribs={"layer": "THROUGH-CUT"})
    built = time.perf_counter() - start
    writes = []
    for _ in range(3):
        start = time.perf_counter()
        doc.write(io.StringIO())
        writes.append(time.perf_counter() - start)
    return built, min(writes)


if __name__ == "__main__":
    subprocess.run(["cargo", "bench", "--bench", "dxf"], cwd=ROOT, check=True)
    for name in ("r2000", "r12"):
        for count in (1_000, 10_000, COUNT):
            seconds = ours(name, count)
            print(f"ours {name:5} {count:7}: {seconds * 1e3:8.2f} ms, {seconds / count * 1e9:6.0f} ns a contour")
    built, written = ezdxf_seconds()
    print(f"ezdxf r2000 {COUNT:7}: built in {built:.2f} s, written in {written:.2f} s")
    ratio = written / ours("r2000", COUNT)
    print(f"writing alone, ezdxf / ours: {ratio:.0f} (the bar is 20)")
    raise SystemExit(0 if ratio >= 20 else 1)
