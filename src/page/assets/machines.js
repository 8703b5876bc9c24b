// Cut: by hand or with a machine; the machine's figures, what it can do, its programs played back, its coupon.

import { button, download, h, holding, note, notes, put, say } from "page/dom.js";
import { tree } from "page/field.js";
import * as coupon from "page/coupon.js";
import { icon } from "page/icons.js";
import { player } from "page/playback.js";
import { alone, ask, askJson, on, problem, state, tell } from "page/store.js";

const KEPT = "flapwright machine";
let parts = null, run = null, newest = null, unsent = new Map(), timer = 0, sections = null, shape = "", loaded = "", wanted = 0;

/** Build the station. */
export function build(within, { toFindings = () => {} } = {}) {
  run = player();
  if (alone()) {
    put(within, run.element);
    run.set(state.given.machines ?? []);
    return;
  }
  const list = h("fieldset", { class: "machines" });
  const about = h("div", { class: "machine-about" });
  const form = h("div", { class: "sections" });
  const found = h("div");
  const own = h("details", { class: "section" }, h("summary", {}, h("span", { class: "title", text: "Figures of this machine" }), h("span", { class: "told", text: "look, or change them in a copy of your own" })), found, form);
  const waits = h("p", { class: "about", role: "status" });
  const trial = h("details", { class: "section" }, h("summary", {}, h("span", { class: "title", text: "Measure the machine with a coupon" })), h("div", { class: "fields" }));
  parts = { list, about, form, own, found, waits, trial, toFindings };
  put(within, list, about, own, trial, h("h3", { class: "quiet-title", text: "How it will run" }), waits, run.element);
  run.set([]);
  coupon.build(trial.querySelector(".fields"), { kept: (id, machine) => take(id, machine) });
  try { state.machine = sessionStorage.getItem(KEPT) || null; } catch { /* None is kept. */ }
  on("form", load);
  on("view", () => later(700));
  on("station", () => later(0));
  choose(state.machine);
}

async function load() {
  try {
    state.machines = await askJson("machines");
  } catch (error) {
    return problem(error);
  }
  if (!state.machines.some((m) => m.id === state.machine)) state.machine = null;
  draw();
  tell("machines", state.machines);
  choose(state.machine);
}

function draw() {
  const option = (id, name, about, isOwn) => {
    const input = h("input", { type: "radio", name: "machine", id: `machine-${id || "hand"}`, value: id, checked: (state.machine ?? "") === id, onchange: () => choose(id || null) });
    return h("div", { class: "machine" }, input, h("label", { for: input.id }, h("span", { class: "name", text: name }), isOwn ? h("span", { class: "own", text: "yours" }) : null, about ? h("span", { class: "about", text: about }) : null));
  };
  put(parts.list, h("legend", { text: "What cuts it" }), option("", "By hand", "With knife and straight edge, from the guide and the templates under Take away.", false),
    state.machines.map((m) => option(m.id, m.name, m.about, m.own)));
}

async function choose(id) {
  state.machine = id;
  try {
    if (id) sessionStorage.setItem(KEPT, id);
    else sessionStorage.removeItem(KEPT);
  } catch { /* It is chosen for now. */ }
  tell("machine", id);
  for (const part of [parts.about, parts.own, parts.trial]) part.hidden = !id;
  if (!id) {
    newest = null;
    run.set([]);
    loaded = "";
    parts.waits.textContent = "Choose a machine to see its programs run over the sheets.";
    return;
  }
  try {
    show(await askJson(`machine/${encodeURIComponent(id)}`));
  } catch (error) {
    problem(error);
  }
  later(0);
}

/** A new job begins with the hand. */
export function forgetChoice() {
  choose(null);
  draw();
}

/** A machine as the server has changed it; a copy gets a name of its own. */
async function take(id, machine) {
  const isNew = machine.id !== id;
  holding(() => show(machine));
  loaded = "";
  if (isNew) {
    state.machine = machine.id;
    try { sessionStorage.setItem(KEPT, machine.id); } catch { /* It is chosen for now. */ }
    say("Changed in a copy of your own.");
    state.machines = await askJson("machines").catch(() => state.machines);
    show(machine);
    draw();
    tell("machines", state.machines);
    tell("machine", machine.id);
  }
  later(400);
}

const host = {
  value: (key) => newest?.values[key],
  isUnsent: (key) => unsent.has(key),
  findings: (key) => (newest?.findings ?? []).filter((f) => f.key === key),
  edit: (edits) => {
    for (const one of edits) unsent.set(one.key, one);
    clearTimeout(timer);
    timer = setTimeout(send, 250);
  },
};

async function send() {
  const id = newest?.id;
  if (!id || !unsent.size) return;
  const edits = [...unsent.values()];
  try {
    const machine = await askJson(`machine/${encodeURIComponent(id)}/edit`, { edits });
    for (const one of edits) if (unsent.get(one.key) === one) unsent.delete(one.key);
    await take(id, machine);
  } catch (error) {
    if (!state.away) unsent.clear();
    problem(error);
  }
}

function show(machine) {
  newest = machine;
  coupon.machine(machine);
  const isOwn = state.machines.find((m) => m.id === machine.id)?.own;
  put(parts.about,
    h("div", { class: "able" },
      h("div", {}, h("h3", { text: "It can" }), h("ul", {}, machine.can.map((text) => h("li", {}, icon("check"), h("span", { text }))))),
      machine.cannot.length ? h("div", {}, h("h3", { text: "It cannot" }), h("ul", {}, machine.cannot.map((text) => h("li", {}, icon("minus"), h("span", { text }))))) : null),
    h("p", { class: "ways" }, button("Download these figures", { sign: "take" }, async () => {
      try {
        download(`${machine.id}.toml`, await (await ask(`machine/${encodeURIComponent(machine.id)}/profile.toml`)).blob());
      } catch (error) {
        problem(error);
      }
    }), isOwn ? button("Forget this copy", { sign: "minus" }, () => forget(machine.id)) : null));
  put(parts.found, notes(machine.findings.filter((f) => f.severity !== "hint" || !f.key).map((f) => note(f.severity, f.message, f.help))));
  const now = JSON.stringify(machine.form.sections.map((one) => [one.key, one.fields.map((f) => f.key)]));
  if (now !== shape) {
    shape = now;
    sections = tree(machine.form.sections.map((spec) => (spec.key ? spec : { ...spec, title: "Name and cautions", about: "" })), host);
    put(parts.form, sections.elements);
  }
  sections.update();
}

async function forget(id) {
  try {
    state.machines = await askJson(`machine/${encodeURIComponent(id)}/forget`, {});
  } catch (error) {
    return problem(error);
  }
  state.machine = null;
  draw();
  tell("machines", state.machines);
  say("The copy is gone.");
  await choose(null);
  parts.list.querySelector("input")?.focus();
}

/** Read the programs again when they are looked at and the job or the machine has changed. */
function later(wait) {
  clearTimeout(wanted);
  if (!state.machine || alone()) return;
  wanted = setTimeout(async () => {
    const mark = `${state.machine} ${state.view?.revision}`;
    if (mark === loaded || !parts.list.getClientRects().length || !state.view) return;
    if (!state.view.scene || state.view.findings.some((f) => f.severity === "error")) {
      put(parts.waits, "Programs are made of a box that fits: ", button("see what stops it", { class: "linklike" }, () => parts.toFindings()));
      return;
    }
    loaded = mark;
    parts.waits.textContent = "Programs are being made.";
    try {
      const programs = await askJson(`playback/${encodeURIComponent(state.machine)}`);
      if (loaded !== mark) return;
      run.set(programs);
      parts.waits.textContent = programs.length ? "" : "This machine has nothing to cut here.";
    } catch (error) {
      loaded = "";
      run.set([]);
      const all = error.message.split("\n");
      put(parts.waits, ...(all.length === 1 ? [all[0]] : [`${all.length} things stand in the way:`, h("ul", {}, all.map((text) => h("li", { text })))]));
    }
  }, wait);
}
