// The page: five stations of the work at a bench, what is found above them.

import { h, put } from "page/dom.js";
import { icon } from "page/icons.js";
import * as box from "page/box.js";
import * as drawing from "page/drawing.js";
import * as files from "page/files.js";
import * as findings from "page/findings.js";
import * as form from "page/form.js";
import * as given from "page/given.js";
import * as link from "page/link.js";
import * as machines from "page/machines.js";
import * as sheets from "page/sheets.js";
import * as tools from "page/tools.js";
import { begin, on, state, tell } from "page/store.js";

const STATIONS = [["measure", "Measure"], ["fold", "Fold"], ["layout", "Lay out"], ["cut", "Cut"], ["take", "Take away"]];
const bench = document.getElementById("bench");
const inside = (id) => document.querySelector(`#${id} > .inside`);
const steps = new Map();
const wide = matchMedia("(min-width: 64rem)");

/** Bring a station forward; the narrow page shows one, the middle one Measure and another, the wide one three. */
function go(id, focus = true) {
  bench.dataset.narrow = id;
  if (id !== "measure") bench.dataset.right = id;
  if (id !== "measure" && id !== "fold") bench.dataset.third = id;
  // Where several stations are seen, what leads to a field lights no other step.
  if (focus || !wide.matches || id !== "measure") {
    for (const [name, step] of steps) {
      if (name === id) step.setAttribute("aria-current", "step");
      else step.removeAttribute("aria-current");
    }
  }
  tell("station", id);
  if (focus) {
    history.replaceState(null, "", `#${id}`);
    const section = document.getElementById(id);
    section.focus({ preventScroll: true });
    if (wide.matches) section.scrollIntoView({ block: "nearest" });
    else scrollTo(0, 0);
  }
}

/** To the field of a key, its station first. */
function goToKey(key) {
  if (!key) return;
  go("measure", false);
  if (!form.go(key)) document.getElementById("measure").focus();
}

function goToFinding(code) {
  go("measure", false);
  const item = document.querySelector(`.findings li[data-code="${CSS.escape(code)}"]`);
  item?.scrollIntoView({ block: "center" });
  item?.querySelector("button")?.focus();
}

function stations(names) {
  const nav = document.getElementById("stations");
  put(nav, h("ol", {}, names.map(([id, words]) => {
    const step = h("button", { type: "button", onclick: () => go(id) }, icon(id === "layout" ? "layout" : id), h("span", { text: words }));
    steps.set(id, step);
    return h("li", { "data-to": id }, step);
  })));
}

function build() {
  tools.banner(document.getElementById("banner"));
  const isAlone = state.given !== null;
  const names = isAlone ? given.stations(STATIONS) : STATIONS;
  document.body.classList.toggle("alone", isAlone);
  stations(names);
  for (const [id] of STATIONS) if (!names.some(([name]) => name === id)) document.getElementById(id).remove();
  tools.build(document.getElementById("jobname"), document.getElementById("tools"), { goToTake: () => { go("take"); files.name(); }, begin: () => { machines.forgetChoice(); go("fold", false); go("measure"); } });
  const toFindings = () => {
    go("measure", false);
    document.querySelector(".findings button, #measure")?.focus();
    document.getElementById("findings-title").scrollIntoView({ block: "center" });
  };
  findings.line(document.getElementById("verdict"), toFindings);
  const measure = inside("measure");
  if (isAlone) given.build(measure);
  else {
    const plan = h("div");
    measure.append(plan);
    drawing.build(plan);
  }
  findings.build(measure, { to: goToKey, look: box.lookAt });
  if (!isAlone) form.build(measure);
  box.build(inside("fold"), { toFinding: goToFinding });
  sheets.build(inside("layout"));
  // A folder without programs has nothing to watch.
  if (inside("cut")) machines.build(inside("cut"), { toFindings });
  if (!isAlone) {
    files.build(inside("take"), { goToCut: () => go("cut") });
    files.takeDrops();
  }
  link.follow();
  // What is drawn anew is not lit yet; where nothing is, nothing is to be marked.
  on("view", () => link.lit.on && link.show());
  const asked = location.hash.slice(1);
  const first = names.some(([id]) => id === asked) ? asked : names[0][0];
  go(first, false);
  steps.get(first).setAttribute("aria-current", "step");
  addEventListener("hashchange", () => { if (steps.has(location.hash.slice(1))) go(location.hash.slice(1)); });
}

const carried = JSON.parse(document.getElementById("given").textContent);
if (carried) {
  state.given = carried;
  state.view = carried.view;
}
build();
begin();
