// Every setting of the job, by sections that are opened one at a time, and the way from a finding to its field.

import { h, put } from "page/dom.js";
import { tree } from "page/field.js";
import { edit, isUnsent, on, onSeen, plainly, state } from "page/store.js";
import { dropFor } from "page/files.js";

/** The job as the host of its fields. */
export const job = {
  value: (key) => state.view?.values[key],
  isUnsent,
  plainly,
  edit,
  findings: (key) => (state.view?.findings ?? []).filter((f) => f.key === key),
};

let sections = null;
const first = new Map();

/** A field that stands on the drawing is gone to before the one in its section. */
export const stands = (key, element) => first.set(key, element);

/** Build the form into an element. */
export function build(within) {
  const box = h("div", { class: "sections" });
  within.append(h("h3", { class: "quiet-title", text: "Everything else" }),
    h("p", { class: "about", text: "What you leave alone is assumed. Open a section to see what, and to change it." }), box);
  on("form", (form) => {
    // The unit is switched on the drawing, where no length changes by it.
    const specs = form.sections.map((spec) => ({ ...spec, fields: spec.fields.filter((f) => f.key !== "units") }));
    sections = tree(specs, job, (spec) => (spec.side && spec.key === `flap.${spec.side}` ? [dropFor(spec.side)] : []));
    put(box, sections.elements);
    if (state.view) update();
  });
  onSeen(box, "view", update);
}

function update() {
  sections?.update();
}

/** Go to the field of a key; false if there is none. */
export function go(key) {
  if (!key) return false;
  const drawn = first.get(key);
  if (drawn?.isConnected && drawn.getClientRects().length) {
    focus(drawn);
    return true;
  }
  const found = sections?.find(key);
  if (!found) return false;
  focus(found);
  return true;
}

function focus(element) {
  element.scrollIntoView({ block: "center", behavior: "auto" });
  element.focus({ preventScroll: true });
}
