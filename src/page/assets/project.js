// The box's bodies on a plane: for the drawing to measure on, and where the browser cannot draw in space.

import { s } from "page/dom.js";

/** A point of a body moved by its panel's place in a frame. */
export function placed(place, at, x, y, z) {
  const m = at * 12;
  return [
    place[m] * x + place[m + 1] * y + place[m + 2] * z + place[m + 3],
    place[m + 4] * x + place[m + 5] * y + place[m + 6] * z + place[m + 7],
    place[m + 8] * x + place[m + 9] * y + place[m + 10] * z + place[m + 11],
  ];
}

/** The places between two frames, for a share of the way. */
export function between(scene, frame) {
  const last = scene.places.length - 1;
  const low = Math.max(0, Math.min(last, Math.floor(frame)));
  const share = frame - low;
  const a = scene.places[low];
  if (share <= 0 || low === last) return a;
  const b = scene.places[low + 1];
  return a.map((v, i) => v + (b[i] - v) * share);
}

/** All points of a body in a frame. */
export function pointsOf(body, place) {
  const points = [];
  for (let i = 0; i < body.points.length; i += 3) points.push(placed(place, body.place, body.points[i], body.points[i + 1], body.points[i + 2]));
  return points;
}

/** Least and greatest of points, by coordinate. */
export function extent(points) {
  const low = [Infinity, Infinity, Infinity], high = [-Infinity, -Infinity, -Infinity];
  for (const p of points) for (let i = 0; i < 3; i++) {
    low[i] = Math.min(low[i], p[i]);
    high[i] = Math.max(high[i], p[i]);
  }
  return { low, high };
}

/** Looking straight down into the box from `height` above it: what stands up leans outwards. */
export function fromAbove(centre, height) {
  return ([x, y, z]) => {
    const by = height / (height - z);
    return [(x - centre[0]) * by, (y - centre[1]) * by, z];
  };
}

/** Looking from the front, turned by `turn` and from `tilt` above, without perspective. */
export function fromCorner(turn, tilt) {
  const [c, n, ct, nt] = [Math.cos(turn), Math.sin(turn), Math.cos(tilt), Math.sin(tilt)];
  return ([x, y, z]) => {
    const u = c * x + n * y, v = -n * x + c * y;
    return [u, v * nt + z * ct, z * nt - v * ct];
  };
}

const LIGHT = [-0.35, 0.45, 0.82];

/** Bodies seen through `view`, those behind first, as groups of an SVG; y counts down on paper. */
export function groups(scene, frame, view, kinds) {
  const place = between(scene, frame);
  const drawn = [];
  for (const body of scene.bodies) {
    if ((kinds && !kinds.has(body.kind)) || frame < (body.from ?? 0)) continue;
    const space = pointsOf(body, place);
    const flat = space.map(view);
    const faces = ["", "", ""];
    let depth = 0, n = 0;
    for (let i = 0; i < body.triangles.length; i += 3) {
      const [a, b, c] = [body.triangles[i], body.triangles[i + 1], body.triangles[i + 2]];
      const [p, q, r] = [flat[a], flat[b], flat[c]];
      if ((q[0] - p[0]) * (r[1] - p[1]) - (q[1] - p[1]) * (r[0] - p[0]) <= 1e-6) continue;
      const shade = tone(space[a], space[b], space[c]);
      faces[shade] += `M${xy(p)}L${xy(q)}L${xy(r)}Z`;
      depth += p[2] + q[2] + r[2];
      n += 3;
    }
    if (!n) continue;
    const lines = body.edges.map((edge) => {
      let d = "";
      for (let i = 0; i < edge.length; i += 3) d += `${i ? "L" : "M"}${xy(view(placed(place, body.place, edge[i], edge[i + 1], edge[i + 2])))}`;
      return d;
    }).join("");
    const group = s("g", { class: `body kind-${body.kind}`, "data-part": body.part, "data-piece": body.piece },
      s("title", { text: body.words }), faces.map((d, i) => d && s("path", { class: `face tone-${i}`, d })), s("path", { class: "edge", d: lines }));
    drawn.push({ group, depth: depth / n, flat, body });
  }
  return drawn.sort((a, b) => a.depth - b.depth);
}

const xy = (p) => `${p[0].toFixed(2)} ${(-p[1]).toFixed(2)}`;

/** Which of three tones a face has: light, middle, dark. */
function tone(a, b, c) {
  const u = [b[0] - a[0], b[1] - a[1], b[2] - a[2]], v = [c[0] - a[0], c[1] - a[1], c[2] - a[2]];
  const n = [u[1] * v[2] - u[2] * v[1], u[2] * v[0] - u[0] * v[2], u[0] * v[1] - u[1] * v[0]];
  const bright = (n[0] * LIGHT[0] + n[1] * LIGHT[1] + n[2] * LIGHT[2]) / (Math.hypot(...n) || 1);
  return bright > 0.6 ? 0 : bright > 0 ? 1 : 2;
}
