// Fold: the box in space with the fold slider, what is pointed at in words, what is wrong marked where it is.

import { button, fresh, h, put, s, still } from "page/dom.js";
import { icon } from "page/icons.js";
import { light, lit } from "page/link.js";
import { between, fromCorner, groups, placed } from "page/project.js";
import { look, LOOKS } from "page/shader.js";
import { space } from "page/space.js";
import { on } from "page/store.js";

let scene = null, frame = 0, flat = null, world = null, timer = 0;
const hidden = new Set();
let parts = {};

/** Build the station; `toFinding(code)` leads from a marker to its sentence. */
export function build(within, { toFinding }) {
  const id = fresh("fold");
  const canvas = h("canvas", { tabindex: "0", role: "application", "aria-roledescription": "box in space", "aria-describedby": `${id}-keys` });
  const marks = h("div", { class: "marks" });
  const pointed = h("p", { class: "pointed" });
  const empty = h("p", { class: "empty", text: "The box is drawn here as soon as it can be built." });
  const stage = h("div", { class: "stage" }, canvas, marks, pointed, empty);
  const slider = h("input", { type: "range", id, min: 0, max: 60, step: 1, value: 0, oninput: () => { stop(); go(Number(slider.value)); } });
  const moment = h("output", { class: "moment", for: id });
  const play = button("Fold it", { sign: "play", class: "play" }, () => (timer ? stop() : start()));
  const moments = h("div", { class: "moments" });
  const eyes = h("div", { class: "eyes", role: "group", "aria-label": "Look at the box" },
    [["Turn left", "left", () => turn(-0.2, 0)], ["Turn right", "right", () => turn(0.2, 0)], ["From higher", "up", () => turn(0, 0.15)],
      ["From lower", "down", () => turn(0, -0.15)], ["Nearer", "plus", () => near(0.85)], ["Farther", "minus", () => near(1.18)],
      ["The whole box", "whole", whole]].map(([words, sign, then]) => button(words, { sign, quiet: true }, then)));
  const legend = h("fieldset", { class: "legend" });
  const list = h("ul", { class: "parts" });
  const size = h("dl", { class: "figures" });
  const sizes = h("h3", { class: "quiet-title", text: "Sizes" });
  parts = { canvas, marks, pointed, empty, slider, moment, play, moments, legend, list, size, sizes, stage, toFinding };
  put(within, stage, eyes,
    h("div", { class: "folding" }, play, h("label", { for: id, class: "unseen", text: "How far it is folded" }), slider, moment), moments,
    h("p", { class: "unseen", id: `${id}-keys`, text: "Arrow keys turn the box, plus and minus go nearer and farther, Home shows all of it. The parts are listed below." }),
    legend, sizes, size,
    h("details", { class: "section" }, h("summary", {}, h("span", { class: "title", text: "Parts in words" })), list));
  world = space(canvas, (it) => place(it));
  if (!world) {
    canvas.remove();
    flat = s("svg", { class: "flat-box", role: "img", "aria-label": "The box from a corner" });
    stage.prepend(flat);
    eyes.hidden = true;
  } else {
    steer(canvas);
    new ResizeObserver(() => world.draw()).observe(stage);
    const dark = matchMedia("(prefers-color-scheme: dark)");
    const ink = () => { world.ink = dark.matches ? [0.04, 0.03, 0.02, 0.9] : [0.14, 0.11, 0.08, 0.85]; world.draw(); };
    dark.addEventListener("change", ink);
    ink();
    canvas.addEventListener("webglcontextlost", (event) => event.preventDefault());
  }
  on("view", update);
  on("lit", () => { if (world) { world.lit = lit; world.draw(); } pointAt(); });
}

function update(view) {
  parts.empty.hidden = Boolean(view.scene || scene);
  parts.stage.classList.toggle("is-stale", !view.scene && Boolean(scene));
  put(parts.size, view.figures.flatMap((f) => [h("dt", { text: f.name }), h("dd", {}, f.value, f.about ? h("span", { class: "about", text: ` ${f.about}` }) : null)]));
  parts.sizes.hidden = !view.figures.length;
  if (!view.scene) {
    put(parts.marks);
    return;
  }
  const isFirst = !scene;
  const before = scene?.moments.find((m) => m.at === Math.round(frame))?.words;
  scene = view.scene;
  parts.slider.max = scene.frames - 1;
  if (isFirst) frame = Math.round((scene.moments[1]?.at ?? 0));
  // A moment stays the same moment where there are now more or fewer of them.
  frame = Math.min(scene.moments.find((m) => m.words === before)?.at ?? frame, scene.frames - 1);
  put(parts.moments, scene.moments.map((m) => h("button", { type: "button", class: "moment-step", "data-at": m.at, text: m.words, onclick: () => { stop(); glide(m.at); } })));
  put(parts.marks, (scene.faults ?? []).map((fault, i) => {
    const weight = view.findings.find((f) => f.code === fault.code)?.severity ?? "warning";
    return h("button", {
      type: "button", class: `fault is-${weight}`, title: fault.words, "data-part": fault.part, onclick: () => parts.toFinding(fault.code),
    }, icon(weight), h("span", { class: "unseen", text: `${i + 1}: ${fault.words}` }));
  }));
  const kinds = Object.keys(LOOKS).filter((kind) => scene.bodies.some((b) => b.kind === kind));
  const now = kinds.join();
  if (parts.legend.dataset.kinds !== now) {
    parts.legend.dataset.kinds = now;
    put(parts.legend, h("legend", { text: "Show in this picture" }), kinds.map((kind) => {
      const id = fresh("kind");
      return h("span", { class: "kind" }, h("input", { type: "checkbox", id, checked: !hidden.has(kind), onchange: (event) => {
        if (event.target.checked) hidden.delete(kind);
        else hidden.add(kind);
        if (world) world.draw();
        else drawFlat();
      } }), h("label", { for: id }, swatch(kind), h("span", { text: look(kind).words })));
    }));
  }
  const named = new Map();
  for (const b of scene.bodies) if (!named.has(b.words)) named.set(b.words, b);
  put(parts.list, [...named.values()].map((b) => h("li", {}, h("button", { type: "button", class: "part-words", "data-part": b.part, "data-piece": b.piece, text: b.words,
    onclick: () => light({ part: b.part, piece: b.piece }) }))));
  if (world) {
    world.hidden = hidden;
    world.show(scene);
  }
  go(frame);
}

function swatch(kind) {
  const [r, g, b] = look(kind).color.map((v) => Math.round(v * 255));
  const marks = { cloth: "M5 0V20M11 0V20M17 0V20M0 5H28M0 11H28M0 17H28", "turn-in": "M-4 20L16 0M4 20L24 0M12 20L32 0M20 20L40 0",
    "hinge-strip": "M5 0V20M11 0V20M17 0V20M0 5H28M0 11H28M0 17H28",
    patch: "M6 6h.1M14 6h.1M22 6h.1M6 14h.1M14 14h.1M22 14h.1", liner: "M0 6H28M0 14H28", paper: "M-4 20L16 0M12 20L32 0", strap: "M-4 0L16 20M6 0L26 20M16 0L36 20", contents: "M0 4H28M0 8H28M0 12H28M0 16H28" };
  return s("svg", { class: `swatch swatch-${kind}`, viewBox: "0 0 28 20", "aria-hidden": "true" },
    s("rect", { width: 28, height: 20, fill: `rgb(${r} ${g} ${b})` }), s("path", { d: marks[kind] ?? "" }));
}

function go(to) {
  frame = to;
  const at = Math.round(to);
  parts.slider.value = at;
  const past = scene?.moments.filter((m) => m.at <= at).at(-1);
  const words = past ? (past.at === at || past === scene.moments.at(-1) ? past.words : `${past.words}, on the way to ${scene.moments.find((m) => m.at > at)?.words ?? "closed"}`) : "";
  parts.moment.textContent = words;
  if (!timer) playing(false);
  parts.slider.setAttribute("aria-valuetext", words);
  for (const step of parts.moments.children) step.setAttribute("aria-pressed", String(Number(step.dataset.at) === at));
  if (world) {
    parts.canvas.setAttribute("aria-label", `The box, ${words || "not yet drawn"}`);
    world.frame = to;
    world.draw();
  } else drawFlat();
}

/** Move to a moment; at once where less motion is asked for. */
function glide(to) {
  if (still() || !scene) return go(to);
  const from = frame, began = performance.now(), takes = Math.min(1200, 250 + Math.abs(to - from) * 18);
  const step = (now) => {
    const t = Math.min(1, (now - began) / takes);
    go(from + (to - from) * (t * t * (3 - 2 * t)));
    if (t < 1) timer = requestAnimationFrame(step);
    else stop();
  };
  timer = requestAnimationFrame(step);
  playing(true);
}

function start() {
  if (!scene) return;
  const last = scene.frames - 1;
  const from = frame, isBack = isClosed();
  if (still()) {
    // A step at a time: the next moment.
    go(isBack ? 0 : scene.moments.find((m) => m.at > frame)?.at ?? last);
    return;
  }
  const began = performance.now();
  const step = (now) => {
    const way = (now - began) / 110;
    const to = isBack ? Math.max(0, from - way) : Math.min(last, from + way);
    go(to);
    if (to > 0 && to < last) timer = requestAnimationFrame(step);
    else stop();
  };
  timer = requestAnimationFrame(step);
  playing(true);
}

function stop() {
  cancelAnimationFrame(timer);
  timer = 0;
  playing(false);
}

const isClosed = () => Boolean(scene) && Math.round(frame) >= scene.frames - 1;

function playing(isOn) {
  const words = isOn ? "Hold" : isClosed() ? "Unfold it" : "Fold it";
  if (parts.play.textContent === words) return;
  put(parts.play, icon(isOn ? "pause" : "play"), h("span", { class: "words", text: words }));
}

function turn(by, up) {
  if (!world) return;
  world.eye.turn += by;
  world.eye.tilt = Math.max(-1.5, Math.min(1.55, world.eye.tilt + up));
  world.draw();
}

function near(by) {
  if (!world) return;
  world.eye.near = Math.max(0.15, Math.min(3, world.eye.near * by));
  world.draw();
}

function whole() {
  if (!world) return;
  Object.assign(world.eye, { turn: -0.5, tilt: 0.75, near: 1 });
  world.draw();
}

/** Mouse, fingers and keys. */
function steer(canvas) {
  const fingers = new Map();
  let apart = 0;
  canvas.addEventListener("pointerdown", (event) => {
    fingers.set(event.pointerId, [event.clientX, event.clientY]);
    canvas.setPointerCapture(event.pointerId);
  });
  canvas.addEventListener("pointermove", (event) => {
    const before = fingers.get(event.pointerId);
    if (!before) return pointer(event);
    const [dx, dy] = [event.clientX - before[0], event.clientY - before[1]];
    fingers.set(event.pointerId, [event.clientX, event.clientY]);
    if (fingers.size === 1) return turn(-dx * 0.008, dy * 0.008);
    const [a, b] = [...fingers.values()];
    const now = Math.hypot(a[0] - b[0], a[1] - b[1]);
    if (apart) near(apart / now);
    apart = now;
  });
  const up = (event) => { fingers.delete(event.pointerId); apart = 0; };
  canvas.addEventListener("pointerup", up);
  canvas.addEventListener("pointercancel", up);
  canvas.addEventListener("pointerleave", () => { if (!fingers.size) { light({}); } });
  canvas.addEventListener("wheel", (event) => {
    // A page that is scrolled past is not zoomed by chance.
    if (document.activeElement !== canvas && !event.ctrlKey) return;
    event.preventDefault();
    near(Math.exp(event.deltaY * 0.0012));
  }, { passive: false });
  canvas.addEventListener("keydown", (event) => {
    const does = { ArrowLeft: () => turn(-0.12, 0), ArrowRight: () => turn(0.12, 0), ArrowUp: () => turn(0, 0.1), ArrowDown: () => turn(0, -0.1),
      "+": () => near(0.88), "=": () => near(0.88), "-": () => near(1.14), Home: whole }[event.key];
    if (!does || event.ctrlKey || event.metaKey || event.altKey) return;
    event.preventDefault();
    does();
  });
}

function pointer(event) {
  const area = parts.canvas.getBoundingClientRect();
  const body = world.pick(event.clientX - area.left, event.clientY - area.top);
  light(body ? { part: body.part, piece: body.piece } : {});
  parts.pointed.textContent = body?.words ?? "";
}

/** Name what is lit from elsewhere. */
function pointAt() {
  if (!lit.on) parts.pointed.textContent = "";
  else if (!parts.canvas.matches(":hover")) {
    parts.pointed.textContent = scene?.bodies.find((b) => lit.parts.has(b.part) || lit.pieces.has(b.piece))?.words ?? "";
  }
}

/** Markers stand where their fault is. */
function place(it) {
  (scene?.faults ?? []).forEach((fault, i) => {
    const mark = parts.marks.children[i];
    const at = mark && it.project(fault.place, ...fault.at);
    if (!mark) return;
    mark.hidden = !at;
    if (at) mark.style.setProperty("transform", `translate(${at[0]}px, ${at[1]}px) translate(-50%, -50%)`);
  });
}

/** Without WebGL2: from a corner, on paper. */
function drawFlat() {
  if (!flat || !scene) return;
  const seen = new Set(Object.keys(LOOKS).filter((kind) => !hidden.has(kind)));
  const drawn = groups(scene, frame, fromCorner(-0.5, 0.75), seen);
  const all = drawn.flatMap((d) => d.flat);
  const [x, y] = [all.map((p) => p[0]), all.map((p) => p[1])];
  const low = (v) => v.reduce((a, b) => Math.min(a, b), Infinity), high = (v) => v.reduce((a, b) => Math.max(a, b), -Infinity);
  flat.setAttribute("viewBox", `${low(x) - 10} ${-high(y) - 10} ${high(x) - low(x) + 20} ${high(y) - low(y) + 20}`);
  put(flat, drawn.map((d) => d.group));
  const scale = Math.min(flat.clientWidth / (high(x) - low(x) + 20), flat.clientHeight / (high(y) - low(y) + 20));
  const [left, top] = [(flat.clientWidth - (high(x) + low(x)) * scale) / 2, (flat.clientHeight + (high(y) + low(y)) * scale) / 2];
  place({ project: (at, ...point) => {
    const [u, v] = fromCorner(-0.5, 0.75)(placed(between(scene, frame), at, ...point));
    return [left + u * scale, top - v * scale];
  } });
}

/** Show a part that a finding names. */
export function lookAt(part) {
  if (part) light({ part });
}
