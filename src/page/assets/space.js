// The box in space: bodies drawn where their panels are, seen by an eye that goes round it.

import { faces, lines, look } from "page/shader.js";
import { between, placed } from "page/project.js";

const FIELD = 0.55;

/** Draw into a canvas; null if the browser cannot. `then(projector)` is called after each picture. */
export function space(canvas, then) {
  const gl = canvas.getContext("webgl2", { antialias: true, alpha: true, premultipliedAlpha: true });
  if (!gl) return null;
  let face, stroke;
  try {
    [face, stroke] = [faces(gl), lines(gl)];
  } catch {
    return null;
  }
  const eye = { turn: -0.5, tilt: 0.75, near: 1 };
  const one = {
    eye, frame: 0, hidden: new Set(), lit: null, scene: null, matrix: null, ink: [0.12, 0.1, 0.08, 0.85],
    show(scene) {
      one.scene = scene;
      build();
      one.draw();
    },
    draw() {
      if (asked) return;
      asked = true;
      requestAnimationFrame(() => { asked = false; paint(); });
    },
    pick, project,
  };
  let asked = false, bodies = [], spheres = [], place = [], ribbonBuffer = null, origin = [0, 0, 0], back = [0, 0, 1];
  const quad = buffer(new Float32Array([0, -1, 0, 1, 1, -1, 1, 1]));

  function buffer(data) {
    const it = gl.createBuffer();
    gl.bindBuffer(gl.ARRAY_BUFFER, it);
    gl.bufferData(gl.ARRAY_BUFFER, data, gl.STATIC_DRAW);
    return it;
  }

  function build() {
    for (const body of bodies) for (const it of [body.faces, body.lines]) gl.deleteBuffer(it);
    bodies = [];
    spheres = [];
    const scene = one.scene;
    if (!scene) return;
    for (const body of scene.bodies) {
      const faceData = trianglesOf(body);
      const lineData = segmentsOf(body);
      bodies.push({ body, faces: buffer(faceData), count: faceData.length / 6, lines: buffer(lineData), segments: lineData.length / 6, corners: cornersOf(body) });
    }
    const step = Math.max(1, Math.floor(scene.places.length / 12));
    for (let f = 0; f < scene.places.length; f += step) spheres.push(sphere(scene.places[f]));
    spheres.push(sphere(scene.places[scene.places.length - 1]));
  }

  function sphere(places) {
    const low = [Infinity, Infinity, Infinity], high = [-Infinity, -Infinity, -Infinity];
    for (const { body, corners } of bodies) for (const c of corners) {
      const p = placed(places, body.place, ...c);
      for (let i = 0; i < 3; i++) { low[i] = Math.min(low[i], p[i]); high[i] = Math.max(high[i], p[i]); }
    }
    return { centre: low.map((v, i) => (v + high[i]) / 2), radius: Math.hypot(...low.map((v, i) => high[i] - v)) / 2 };
  }

  function around(frame) {
    const at = (frame / (one.scene.places.length - 1)) * (spheres.length - 1);
    const i = Math.min(spheres.length - 2, Math.floor(at)), t = at - i;
    const [a, b] = [spheres[i], spheres[i + 1]];
    return { centre: a.centre.map((v, k) => v + (b.centre[k] - v) * t), radius: a.radius + (b.radius - a.radius) * t };
  }

  function size() {
    const scale = Math.min(2, devicePixelRatio || 1);
    const [w, h] = [Math.max(1, Math.round(canvas.clientWidth * scale)), Math.max(1, Math.round(canvas.clientHeight * scale))];
    if (canvas.width !== w || canvas.height !== h) [canvas.width, canvas.height] = [w, h];
    return scale;
  }

  function look_() {
    const { centre, radius } = around(one.frame);
    const wide = canvas.width / canvas.height;
    const distance = (radius / Math.sin(FIELD / 2) / Math.min(1, wide)) * eye.near;
    const [ct, st, cu, su] = [Math.cos(eye.tilt), Math.sin(eye.tilt), Math.cos(eye.turn), Math.sin(eye.turn)];
    back = [su * ct, -cu * ct, st];
    const right = [cu, su, 0], up = [-su * st, cu * st, ct];
    origin = back.map((v, i) => centre[i] + v * distance);
    const f = 1 / Math.tan(FIELD / 2), near = Math.max(distance - radius * 1.3, distance / 500), far = distance + radius * 1.3;
    const row = (v) => [...v, -(v[0] * origin[0] + v[1] * origin[1] + v[2] * origin[2])];
    const [r, u, b] = [row(right), row(up), row(back)];
    const [A, B] = [(far + near) / (near - far), (2 * far * near) / (near - far)];
    const rows = [r.map((v) => (v * f) / wide), u.map((v) => v * f), b.map((v, i) => v * A + (i === 3 ? B : 0)), b.map((v) => -v)];
    one.matrix = new Float32Array(16);
    for (let i = 0; i < 4; i++) for (let j = 0; j < 4; j++) one.matrix[j * 4 + i] = rows[i][j];
    return { distance, radius };
  }

  const matrixOf = (at) => {
    const m = at * 12;
    return new Float32Array([place[m], place[m + 4], place[m + 8], 0, place[m + 1], place[m + 5], place[m + 9], 0,
      place[m + 2], place[m + 6], place[m + 10], 0, place[m + 3], place[m + 7], place[m + 11], 1]);
  };
  const STAYS = new Float32Array([1, 0, 0, 0, 0, 1, 0, 0, 0, 0, 1, 0, 0, 0, 0, 1]);
  const isThere = (body) => !one.hidden.has(body.kind) && one.frame >= (body.from ?? 0);
  const isLit = (body) => one.lit?.on && ((body.piece && one.lit.pieces.has(body.piece) && alone(body)) || one.lit.parts.has(body.part));
  // A piece that lies on many parts is lit whole only where nothing less is pointed at.
  const alone = (body) => one.lit.parts.size === 0 || one.lit.parts.has(body.part);

  function paint() {
    const scale = size();
    gl.viewport(0, 0, canvas.width, canvas.height);
    gl.clearColor(0, 0, 0, 0);
    gl.clear(gl.COLOR_BUFFER_BIT | gl.DEPTH_BUFFER_BIT);
    if (!one.scene || !bodies.length) return;
    place = between(one.scene, one.frame);
    const { radius } = look_();
    gl.enable(gl.DEPTH_TEST);
    gl.useProgram(face.it);
    gl.uniformMatrix4fv(face.at.eye, false, one.matrix);
    gl.uniform3fv(face.at.toEye, back);
    gl.uniform1f(face.at.grain, Math.max(1.5, radius / 60));
    gl.enable(gl.POLYGON_OFFSET_FILL);
    gl.polygonOffset(1, 1);
    gl.enable(gl.CULL_FACE);
    const seen = bodies.filter(({ body }) => isThere(body));
    for (const { body, faces: data, count } of seen) {
      style(body);
      gl.uniformMatrix4fv(face.at.place, false, matrixOf(body.place));
      triangles(data, count);
    }
    ribbons();
    gl.disable(gl.CULL_FACE);
    gl.useProgram(stroke.it);
    gl.uniformMatrix4fv(stroke.at.eye, false, one.matrix);
    gl.uniform2f(stroke.at.screen, canvas.width, canvas.height);
    gl.bindBuffer(gl.ARRAY_BUFFER, quad);
    gl.enableVertexAttribArray(0);
    gl.vertexAttribPointer(0, 2, gl.FLOAT, false, 8, 0);
    gl.vertexAttribDivisor(0, 0);
    for (const { body, lines: data, segments } of seen) {
      if (!segments) continue;
      const on = isLit(body);
      const thin = body.kind === "board" || body.kind === "contents" ? 1.1 : 0.7;
      gl.uniform1f(stroke.at.width, (on ? 2.4 : thin) * scale);
      gl.uniform4fv(stroke.at.color, on ? [0.55, 0.25, 0, 1] : one.ink);
      gl.uniformMatrix4fv(stroke.at.place, false, matrixOf(body.place));
      gl.bindBuffer(gl.ARRAY_BUFFER, data);
      for (const [slot, from] of [[1, 0], [2, 12]]) {
        gl.enableVertexAttribArray(slot);
        gl.vertexAttribPointer(slot, 3, gl.FLOAT, false, 24, from);
        gl.vertexAttribDivisor(slot, 1);
      }
      gl.drawArraysInstanced(gl.TRIANGLE_STRIP, 0, 4, segments);
    }
    for (const slot of [1, 2]) { gl.vertexAttribDivisor(slot, 0); gl.disableVertexAttribArray(slot); }
    then?.(one);
  }

  function style(body) {
    const { color, pattern } = look(body.kind);
    gl.uniform3fv(face.at.color, color);
    gl.uniform1i(face.at.pattern, pattern);
    gl.uniform1f(face.at.lit, isLit(body) ? 1 : 0);
  }

  function triangles(data, count) {
    gl.bindBuffer(gl.ARRAY_BUFFER, data);
    for (const [slot, from] of [[0, 0], [1, 12]]) {
      gl.enableVertexAttribArray(slot);
      gl.vertexAttribPointer(slot, 3, gl.FLOAT, false, 24, from);
      gl.vertexAttribDivisor(slot, 0);
    }
    gl.drawArrays(gl.TRIANGLES, 0, count);
  }

  /** Strips of cloth between panels, where the frame has their edges. */
  function ribbons() {
    const data = [];
    for (const r of one.scene.ribbons ?? []) {
      if (one.hidden.has(r.kind)) continue;
      const [p, q] = [placed(place, r.placeA, ...r.a.slice(0, 3)), placed(place, r.placeA, ...r.a.slice(3))];
      const [s, t] = [placed(place, r.placeB, ...r.b.slice(0, 3)), placed(place, r.placeB, ...r.b.slice(3))];
      const n = cross(minus(q, p), minus(s, p));
      for (const v of [p, q, t, p, t, s]) data.push(...v, ...n);
    }
    if (!data.length) return;
    ribbonBuffer ??= gl.createBuffer();
    gl.bindBuffer(gl.ARRAY_BUFFER, ribbonBuffer);
    gl.bufferData(gl.ARRAY_BUFFER, new Float32Array(data), gl.DYNAMIC_DRAW);
    gl.disable(gl.CULL_FACE);
    style({ kind: "cloth" });
    gl.uniform1i(face.at.pattern, 0);
    gl.uniformMatrix4fv(face.at.place, false, STAYS);
    triangles(ribbonBuffer, data.length / 6);
  }

  /** Where a point of a panel is on the canvas, in CSS pixels. */
  function project(at, x, y, z) {
    if (!one.matrix) return null;
    const [px, py, pz] = placed(place, at, x, y, z);
    const m = one.matrix;
    const w = m[3] * px + m[7] * py + m[11] * pz + m[15];
    if (w <= 0) return null;
    return [((m[0] * px + m[4] * py + m[8] * pz + m[12]) / w + 1) * 0.5 * canvas.clientWidth,
      (1 - (m[1] * px + m[5] * py + m[9] * pz + m[13]) / w) * 0.5 * canvas.clientHeight];
  }

  /** The body under a point of the canvas. */
  function pick(x, y) {
    if (!one.scene || !one.matrix) return null;
    const [cu, su, ct, st] = [Math.cos(eye.turn), Math.sin(eye.turn), Math.cos(eye.tilt), Math.sin(eye.tilt)];
    const f = Math.tan(FIELD / 2), wide = canvas.clientWidth / canvas.clientHeight;
    const [u, v] = [((x / canvas.clientWidth) * 2 - 1) * f * wide, (1 - (y / canvas.clientHeight) * 2) * f];
    const way = [cu * u - su * st * v - back[0], su * u + cu * st * v - back[1], ct * v - back[2]];
    let best = null, nearest = Infinity;
    for (const { body } of bodies) {
      if (!isThere(body)) continue;
      const t = hit(body, way);
      if (t < nearest) [nearest, best] = [t, body];
    }
    return best;
  }

  function hit(body, way) {
    // The ray is brought into the panel's flat layout: places keep lengths, so their turn is undone by its transpose.
    const m = body.place * 12;
    const turn = (v) => [0, 1, 2].map((i) => place[m + i] * v[0] + place[m + 4 + i] * v[1] + place[m + 8 + i] * v[2]);
    const o = turn([origin[0] - place[m + 3], origin[1] - place[m + 7], origin[2] - place[m + 11]]), d = turn(way);
    const P = body.points;
    let best = Infinity;
    for (let i = 0; i < body.triangles.length; i += 3) {
      const [a, b, c] = [body.triangles[i] * 3, body.triangles[i + 1] * 3, body.triangles[i + 2] * 3];
      const p = [P[a], P[a + 1], P[a + 2]];
      const e = [P[b] - p[0], P[b + 1] - p[1], P[b + 2] - p[2]], g = [P[c] - p[0], P[c + 1] - p[1], P[c + 2] - p[2]];
      const n = cross(d, g), det = dot(e, n);
      if (Math.abs(det) < 1e-12) continue;
      const s = minus(o, p), u = dot(s, n) / det;
      if (u < 0 || u > 1) continue;
      const q = cross(s, e), v = dot(d, q) / det;
      if (v < 0 || u + v > 1) continue;
      const t = dot(g, q) / det;
      if (t > 0 && t < best) best = t;
    }
    return best;
  }

  return one;
}

const cross = (a, b) => [a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2], a[0] * b[1] - a[1] * b[0]];
const minus = (a, b) => [a[0] - b[0], a[1] - b[1], a[2] - b[2]];
const dot = (a, b) => a[0] * b[0] + a[1] * b[1] + a[2] * b[2];

function trianglesOf(body) {
  const data = new Float32Array(body.triangles.length * 6);
  let k = 0;
  for (let i = 0; i < body.triangles.length; i += 3) {
    const p = [0, 1, 2].map((j) => body.points.slice(body.triangles[i + j] * 3, body.triangles[i + j] * 3 + 3));
    const n = cross(minus(p[1], p[0]), minus(p[2], p[0]));
    const l = Math.hypot(...n) || 1;
    for (const v of p) for (const x of [...v, n[0] / l, n[1] / l, n[2] / l]) data[k++] = x;
  }
  return data;
}

function segmentsOf(body) {
  const data = [];
  for (const edge of body.edges) for (let i = 3; i < edge.length; i += 3) {
    data.push(edge[i - 3], edge[i - 2], edge[i - 1], edge[i], edge[i + 1], edge[i + 2]);
  }
  return new Float32Array(data);
}

function cornersOf(body) {
  const low = [Infinity, Infinity, Infinity], high = [-Infinity, -Infinity, -Infinity];
  for (let i = 0; i < body.points.length; i++) { low[i % 3] = Math.min(low[i % 3], body.points[i]); high[i % 3] = Math.max(high[i % 3], body.points[i]); }
  return [0, 1, 2, 3, 4, 5, 6, 7].map((i) => [0, 1, 2].map((k) => ((i >> k) & 1 ? high[k] : low[k])));
}
