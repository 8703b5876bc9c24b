// The open box seen from above, with the measurements typed into its dimension lines.

import { fresh, h, put, s } from "page/dom.js";
import { icon } from "page/icons.js";
import { input } from "page/field.js";
import { job, stands } from "page/form.js";
import { show } from "page/link.js";
import { extent, fromAbove, groups, pointsOf } from "page/project.js";
import { change, edit, on, state } from "page/store.js";
import { onto } from "page/files.js";

const SIDES = ["head", "left", "right", "tail"];
const KINDS = new Set(["board", "contents"]);
let fields = [];

const specOf = (form, key) => form.sections.flatMap((one) => one.fields).find((f) => f.key === key);
const given = (key) => state.view?.values[key]?.given ?? false;
const text = (key) => state.view?.values[key]?.text ?? "";

/** What a paper size makes of the width or the height, as the server writes it among the figures. */
function ofPaper(key) {
  const at = ["contents.width", "contents.height"].indexOf(key);
  if (at < 0 || !given("contents.size")) return null;
  const sizes = state.view?.figures.find((f) => f.name === "contents")?.value.split(" × ") ?? [];
  const unit = /[a-z]+$/.exec(sizes.at(-1) ?? "")?.[0];
  return sizes.length === 3 && unit ? `${sizes[at]} ${unit}` : null;
}

const shown = {
  ...job,
  value: (key) => {
    const own = job.value(key);
    const paper = own?.given ? null : ofPaper(key);
    return paper ? { text: paper, given: false } : own;
  },
};

/** A field on the drawing: its label is read, the dimension line shows what it measures. */
function dimension(form, key, label, more) {
  const spec = specOf(form, key);
  if (!spec) return null;
  const id = fresh("dim");
  const wrong = h("span", { class: "unseen", id: `${id}-wrong` });
  const own = input({ ...spec, label, more }, shown, { id, "aria-describedby": `${id}-wrong`, class: "dim" });
  stands(key, own.element);
  fields.push({ key, update: () => {
    own.update();
    wrong.textContent = job.findings(key).map((f) => f.message).join(" ");
  } });
  return { own: own.element, element: h("span", { class: "dimension" }, h("label", { for: id, text: label }), own.element, wrong) };
}

/** A measured width or height stands in place of a paper size, and the other way round. */
function instead(key, other) {
  return (typed) => {
    const own = { key, value: typed === "" ? null : typed };
    if (!given("contents.size")) return [own];
    const rest = shown.value(other)?.text;
    return [{ key: "contents.size", value: null }, { key: "contents.landscape", value: null }, own, ...(rest && !given(other) ? [{ key: other, value: rest }] : [])];
  };
}

const sized = (typed) => typed === ""
  ? [{ key: "contents.size", value: null }]
  : [{ key: "contents.size", value: typed }, { key: "contents.width", value: null }, { key: "contents.height", value: null }];

/** Build the drawing into an element. */
export function build(within) {
  on("form", (form) => {
    fields = [];
    put(within, bench(form));
    if (state.view) update(state.view);
  });
  on("view", update);
}

let plan = null, overlay = null, sides = {}, width = null, height = null, makings = [], units = [], kept = null, stale = null, hint = null;

function bench(form) {
  hint = h("span", { class: "quiet", text: "Press a side to give it a lid or take it away: a side without a lid has no wall and stays open." });
  plan = s("svg", { class: "plan", role: "img", "aria-label": "The open box from above" });
  width = dimension(form, "contents.width", "width", instead("contents.width", "contents.height"));
  height = dimension(form, "contents.height", "height", instead("contents.height", "contents.width"));
  sides = Object.fromEntries(SIDES.map((side) => [side, sideButton(side)]));
  stale = h("p", { class: "stale", hidden: true, text: "This is the last box that could be drawn." });
  overlay = h("div", { class: "on-plan" }, width?.element, height?.element, SIDES.map((side) => sides[side]));
  const depth = dimension(form, "contents.depth", "depth");
  const board = dimension(form, "board.thickness", "board");
  const size = dimension(form, "contents.size", "or a paper size", sized);
  makings = choice("making.by", "Made by", [["hand", "hand"], ["machine", "machine"]],
    (value) => edit([{ key: "making.by", value }], "made by"));
  units = choice("unit", "Measured in", [["mm", "mm"], ["in", "inches"]], (unit) => change("unit", { unit }));
  return h("div", { class: "drawing" },
    h("p", { class: "lead" }, "Type what you measured. ", hint),
    h("div", { class: "plan-box" }, plan, overlay), stale,
    h("div", { class: "edges" },
      h("figure", { class: "edge-on" }, stackEdge(), depth?.element),
      h("figure", { class: "edge-on" }, boardEdge(), board?.element)),
    h("div", { class: "choices" }, size ? h("div", { class: "choice" }, size.element) : null, makings.element, units.element));
}

function choice(name, title, options, then) {
  const id = fresh("choice");
  const inputs = options.map(([value, words]) => {
    const radio = h("input", { type: "radio", name: id, value, id: `${id}-${value}`, onchange: () => then(value) });
    return { value, radio, label: h("label", { for: radio.id, text: words }) };
  });
  return { inputs, element: h("fieldset", { class: "choice", "data-key": name === "unit" ? null : name },
    h("legend", { text: title }), h("span", { class: "pair" }, inputs.flatMap((i) => [i.radio, i.label]))) };
}

function sideButton(side) {
  const key = `flap.${side}`;
  const element = h("button", { type: "button", class: "side", "data-side": side, "data-part": `${side} lid`, "aria-pressed": "false", onclick: () => {
    const isThere = given(key);
    edit([isThere ? { key, remove: true } : { key, add: true }], `${side} lid`);
  } });
  onto(element, side);
  return element;
}

/** The stack from its edge: sheets of paper, not to scale. */
function stackEdge() {
  const sheets = [];
  for (let i = 0; i < 9; i++) sheets.push(`M${30 + (i * 7) % 3} ${16 + i * 4.5}H${150 - (i * 5) % 4}`);
  return s("svg", { viewBox: "0 0 170 72", class: "edge-view", role: "img", "aria-label": "The stack seen from its edge" },
    s("path", { class: "sheets", d: sheets.join("") }), s("path", { class: "table", d: "M8 57H162" }),
    s("path", { class: "line", d: "M16 14V54M11 14h10M11 54h10M13 19l3-5 3 5M13 49l3 5 3-5" }));
}

/** The board from its edge, not to scale. */
function boardEdge() {
  const grain = [];
  for (let i = 0; i < 4; i++) grain.push(`M36 ${29 + i * 7}q28 ${i % 2 ? 3 : -3} 56 0t52 0`);
  return s("svg", { viewBox: "0 0 170 72", class: "edge-view", role: "img", "aria-label": "The board seen from its edge" },
    s("rect", { class: "slab", x: 30, y: 22, width: 122, height: 35 }), s("path", { class: "fibres", d: grain.join("") }),
    s("path", { class: "table", d: "M8 57H162" }), s("path", { class: "line", d: "M16 22V57M11 22h10M11 57h10M13 27l3-5 3 5M13 52l3 5 3-5" }));
}

function update(view) {
  if (!plan) return;
  for (const field of fields) field.update();
  for (const { value, radio } of makings.inputs) radio.checked = text("making.by") === value;
  for (const { value, radio } of units.inputs) radio.checked = view.unit === value;
  const crossed = text("box.construction") === "crossed-strips";
  hint.hidden = crossed;
  for (const side of SIDES) {
    const isThere = given(`flap.${side}`);
    const element = sides[side];
    element.hidden = crossed;
    element.setAttribute("aria-pressed", String(isThere));
    const tier = isThere ? text(`flap.${side}.tier`) : "";
    put(element, icon(isThere ? "check" : "plus"), h("span", { class: "words" }, side, h("span", { class: "lid-word", text: " lid" })),
      tier ? h("span", { class: "order" }, h("span", { class: "unseen", text: ", closes " }), h("span", { text: nth(tier) })) : null);
  }
  stale.hidden = Boolean(view.scene) || !kept;
  if (view.scene) kept = view.scene;
  plan.classList.toggle("is-stale", !view.scene);
  draw(kept, view.scene);
}

const nth = (tier) => ({ 1: "1st", 2: "2nd", 3: "3rd" })[tier] ?? `${tier}th`;

/** A box of no size, while there has been none yet. */
const BLANK = { low: [-105, -148, 0], high: [105, 148, 0] };

function draw(scene) {
  let stack = BLANK, all = { low: [-170, -215], high: [170, 215] }, drawn = [], lids = {};
  if (scene) {
    const up = scene.moments.find((m) => /wall/.test(m.words)) ?? scene.moments[1] ?? scene.moments[0];
    const place = scene.places[up.at];
    const { high, low } = extent(scene.bodies.filter((b) => KINDS.has(b.kind)).flatMap((b) => pointsOf(b, place)));
    const base = scene.bodies.find((b) => b.part === "base" && b.kind === "board") ?? scene.bodies[0];
    const flat = extent(pointsOf(base, place));
    const centre = [0, 1].map((i) => (flat.low[i] + flat.high[i]) / 2);
    const span = Math.max(flat.high[0] - flat.low[0], flat.high[1] - flat.low[1]);
    const eye = fromAbove(centre, Math.max((high[2] - low[2]) * 2.5, span * 1.2) + low[2]);
    drawn = groups(scene, up.at, eye, KINDS);
    const held = drawn.find((d) => d.body.kind === "contents") ?? drawn.find((d) => d.body === base);
    stack = extent(held.flat);
    all = extent(drawn.flatMap((d) => d.flat));
    for (const side of SIDES) {
      const lid = drawn.find((d) => d.body.part === `${side} lid` && d.body.kind === "board");
      if (lid) lids[side] = extent(lid.flat);
    }
  }
  const [w, t] = [stack.high[0] - stack.low[0], stack.high[1] - stack.low[1]];
  const unit = Math.max(w, t);
  const ghost = 0.2 * unit;
  const ghosts = {
    left: [stack.low[0] - ghost, stack.low[1] + ghost * 0.5, stack.low[0] - ghost * 0.3, stack.high[1] - ghost * 0.5],
    right: [stack.high[0] + ghost * 0.3, stack.low[1] + ghost * 0.5, stack.high[0] + ghost, stack.high[1] - ghost * 0.5],
    head: [stack.low[0] + ghost * 0.5, stack.high[1] + ghost * 0.3, stack.high[0] - ghost * 0.5, stack.high[1] + ghost],
    tail: [stack.low[0] + ghost * 0.5, stack.low[1] - ghost, stack.high[0] - ghost * 0.5, stack.low[1] - ghost * 0.3],
  };
  const margin = 0.03 * unit;
  const low = [0, 1].map((i) => Math.min(all.low[i], stack.low[i] - ghost) - margin);
  const high = [0, 1].map((i) => Math.max(all.high[i], stack.high[i] + ghost) + margin);
  const [W, H] = [high[0] - low[0], high[1] - low[1]];
  plan.setAttribute("viewBox", `${low[0]} ${-high[1]} ${W} ${H}`);
  plan.parentElement.style.setProperty("aspect-ratio", `${W} / ${H}`);
  plan.parentElement.style.setProperty("--shape", String(W / H));
  const a = 0.022 * unit;
  const yw = stack.low[1] + 0.2 * t, xh = stack.low[0] + 0.26 * w;
  const arrows = (x0, y0, x1, y1) => {
    const flat = y0 === y1;
    const tick = (x, y) => flat ? `M${x} ${-(y - 2 * a)}V${-(y + 2 * a)}` : `M${x - 2 * a} ${-y}H${x + 2 * a}`;
    const head = (x, y, d) => flat ? `M${x + d * 2 * a} ${-(y + a)}L${x} ${-y}L${x + d * 2 * a} ${-(y - a)}` : `M${x - a} ${-(y + d * 2 * a)}L${x} ${-y}L${x + a} ${-(y + d * 2 * a)}`;
    return `M${x0} ${-y0}L${x1} ${-y1}${tick(x0, y0)}${tick(x1, y1)}${head(x0, y0, 1)}${head(x1, y1, -1)}`;
  };
  put(plan,
    SIDES.filter((side) => !lids[side] && !sides[side].hidden).map((side) => {
      const [x0, y0, x1, y1] = ghosts[side];
      return s("rect", { class: "ghost", x: x0, y: -y1, width: x1 - x0, height: y1 - y0 });
    }),
    drawn.map((d) => d.group),
    scene ? null : s("rect", { class: "ghost", x: stack.low[0], y: -stack.high[1], width: w, height: t }),
    s("path", { class: "line", d: arrows(stack.low[0], yw, stack.high[0], yw) + arrows(xh, stack.low[1], xh, stack.high[1]) }));
  show(plan);
  const at = (element, x, y) => {
    element?.style.setProperty("left", `${((x - low[0]) / W) * 100}%`);
    element?.style.setProperty("top", `${((high[1] - y) / H) * 100}%`);
  };
  at(width?.element, stack.low[0] + 0.62 * w, yw);
  at(height?.element, xh, stack.low[1] + 0.66 * t);
  for (const side of SIDES) {
    const [x0, y0, x1, y1] = lids[side] ? [...lids[side].low.slice(0, 2), ...lids[side].high.slice(0, 2)] : ghosts[side];
    const out = { left: [low[0], (y0 + y1) / 2], right: [high[0], (y0 + y1) / 2],
      head: [(x0 + x1) / 2, (high[1] + stack.high[1]) / 2], tail: [(x0 + x1) / 2, (low[1] + stack.low[1]) / 2] }[side];
    at(sides[side], ...out);
  }
}
