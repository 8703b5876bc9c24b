// Every setting of the job, by sections that are opened one at a time, and the way from a finding to its field.

import { h, put } from "page/dom.js";
import { section } from "page/field.js";
import { edit, isUnsent, on, state } from "page/store.js";
import { dropFor } from "page/files.js";

/** The job as the host of its fields. */
export const job = {
  value: (key) => state.view?.values[key],
  isUnsent,
  edit,
  findings: (key) => (state.view?.findings ?? []).filter((f) => f.key === key),
};

let sections = [];
const first = new Map();

/** A field that stands on the drawing is gone to before the one in its section. */
export const stands = (key, element) => first.set(key, element);

/** Build the form into an element. */
export function build(within) {
  const box = h("div", { class: "sections" });
  within.append(h("h3", { class: "quiet-title", text: "Everything else" }),
    h("p", { class: "about", text: "What you leave alone is assumed. Open a section to see what, and to change it." }), box);
  on("form", (form) => {
    sections = form.sections.map((spec) => section(spec, job, spec.side ? [dropFor(spec.side)] : []));
    put(box, sections.map((one) => one.element));
    if (state.view) update();
  });
  on("view", update);
}

function update() {
  for (const one of sections) one.update();
}

/** Go to the field of a key; false if there is none. */
export function go(key) {
  if (!key) return false;
  const drawn = first.get(key);
  if (drawn?.isConnected && drawn.getClientRects().length) {
    focus(drawn);
    return true;
  }
  for (const one of sections) {
    const found = one.rows.find((r) => r.key === key) ?? one.rows.find((r) => key.startsWith(`${r.key}.`) || key.startsWith(`${r.key}[`));
    if (found) {
      one.open(found);
      focus(found.input);
      return true;
    }
  }
  const own = sections.find((one) => one.element.dataset.section === key)
    ?? sections.find((one) => key.startsWith(`${one.element.dataset.section}.`));
  if (!own) return false;
  own.element.open = true;
  focus(own.element.querySelector("summary"));
  return true;
}

function focus(element) {
  element.scrollIntoView({ block: "center", behavior: "auto" });
  element.focus({ preventScroll: true });
}
