// One field of a form: its label, what is typed, whether that is assumed, what it means, what is wrong with it.

import { fresh, h, button, put } from "page/dom.js";
import { icon } from "page/icons.js";

const YES_NO = [["true", "yes"], ["false", "no"]];
const isLong = (kind) => kind === "table-list";

/** What a value looks like in a list of choices. */
export const inWords = (text) => ({ true: "yes", false: "no" })[text] ?? text;

/**
 * An input for a key. `host` says what the value is (`value(key)`), whether it is on its way (`isUnsent(key)`), takes
 * edits (`edit(edits, note)`) and findings (`findings(key)`). Returns the element and how to show the newest.
 */
export function input(spec, host, attributes = {}) {
  const choices = spec.kind === "flag" ? YES_NO : spec.words?.map((word) => [word, word]);
  const isChoice = Boolean(choices) && (spec.kind === "flag" || spec.kind === "word");
  let element;
  const change = () => {
    const typed = element.value.trim();
    host.edit(spec.more?.(typed) ?? [{ key: spec.key, value: typed === "" ? null : typed }], spec.label);
  };
  if (isChoice) {
    element = h("select", { onchange: change, ...attributes }, h("option", { value: "" }),
      choices.map(([value, words]) => h("option", { value, text: words })));
  } else if (isLong(spec.kind)) {
    element = h("textarea", { rows: 3, spellcheck: "false", oninput: change, ...attributes });
  } else {
    const list = choices ? fresh("words") : null;
    element = h("input", { type: "text", autocomplete: "off", spellcheck: "false", list, oninput: change, ...attributes });
    if (list) element.append(h("datalist", { id: list }, choices.map(([value]) => h("option", { value }))));
  }
  element.dataset.key = spec.key;
  const update = () => {
    const value = host.value(spec.key);
    const given = value?.given ?? false;
    const assumed = value && !given ? value.text : given ? "" : spec.default ?? "";
    if (isChoice) element.options[0].text = assumed ? `${inWords(assumed)} (assumed)` : "not said";
    else element.placeholder = assumed;
    const mine = document.activeElement === element && !isChoice;
    if (!mine && !host.isUnsent(spec.key)) set(element, given ? value.text : "", isChoice);
    element.classList.toggle("assumed", !given);
    const wrong = host.findings(spec.key).some((f) => f.severity === "error");
    if (wrong) element.setAttribute("aria-invalid", "true");
    else element.removeAttribute("aria-invalid");
  };
  return { element, update, change };
}

function set(element, text, isChoice) {
  if (isChoice && text && ![...element.options].some((option) => option.value === text)) {
    element.append(h("option", { value: text, text }));
  }
  if (element.value !== text) element.value = text;
}

/** A whole row: label, input, a way back to what is assumed, the explanation and the findings. */
export function row(spec, host) {
  const id = fresh("field");
  const about = h("p", { class: "about", id: `${id}-about`, text: spec.about });
  const wrong = h("div", { class: "wrong", id: `${id}-wrong` });
  const own = input(spec, host, { id, "aria-describedby": `${id}-wrong ${id}-about`, "aria-required": spec.required ? "true" : null });
  const state = h("span", { class: "state" });
  const reset = button(`Assume ${spec.label} again`, { sign: "back", quiet: true, class: "reset" }, () => {
    if (own.element.tagName === "TEXTAREA" || own.element.tagName === "INPUT") own.element.value = "";
    host.edit([{ key: spec.key, value: null }], spec.label);
    own.element.focus();
  });
  const label = spec.label ? high(spec.label) : "";
  const element = h("div", { class: "row", "data-key": spec.key },
    h("label", { for: id, text: label }), h("span", { class: "entry" }, own.element, reset, state), wrong, about);
  const update = () => {
    own.update();
    const value = host.value(spec.key);
    const given = value?.given ?? false;
    state.textContent = given ? "" : spec.required ? "needed" : value || spec.default ? "assumed" : "";
    reset.hidden = !given || spec.required;
    put(wrong, host.findings(spec.key).map((finding) => h("p", { class: `is-${finding.severity}` },
      icon(finding.severity), h("span", { text: finding.message }))));
  };
  return { element, input: own.element, update, key: spec.key };
}

/** The sections of a form, each to be opened; answers the rows by key. */
export function section(spec, host, extra = []) {
  const rows = spec.fields.map((field) => row(field, host));
  const plain = rows.filter((_, i) => spec.fields[i].plain);
  const rest = rows.filter((_, i) => !spec.fields[i].plain);
  const more = plain.length && rest.length
    ? h("details", { class: "more" }, h("summary", { text: rest.length === 1 ? "One more" : `${rest.length} more` }), rest.map((r) => r.element))
    : null;
  const told = h("span", { class: "told" });
  const toggle = spec.optional ? button("", { class: "there" }, () => {
    const isThere = host.value(spec.key)?.given ?? false;
    host.edit([isThere ? { key: spec.key, remove: true } : { key: spec.key, add: true }], spec.title);
    if (!isThere) element.open = true;
  }) : null;
  const fields = h("div", { class: "fields" }, plain.map((r) => r.element), more ?? rest.map((r) => r.element));
  const element = h("details", { class: "section", "data-section": spec.key },
    h("summary", {}, h("span", { class: "title", text: high(spec.title) }), told),
    spec.about ? h("p", { class: "about", text: spec.about }) : null, toggle, extra, fields);
  const update = () => {
    const isThere = !spec.optional || (host.value(spec.key)?.given ?? false);
    fields.hidden = !isThere;
    for (const one of extra) one.hidden = !isThere;
    element.classList.toggle("absent", !isThere);
    if (toggle) put(toggle, icon(isThere ? "minus" : "plus"), h("span", { text: isThere ? `Leave out ${low(spec.title)}` : `Add ${low(spec.title)}` }));
    const errors = spec.fields.flatMap((f) => host.findings(f.key)).filter((f) => f.severity === "error").length;
    told.textContent = !isThere ? "none" : errors ? `${errors} to mend` : brief(spec, host);
    told.classList.toggle("is-error", errors > 0);
    if (isThere) for (const r of rows) r.update();
  };
  const open = (r) => {
    element.open = true;
    if (more && rest.includes(r)) more.open = true;
  };
  return { element, rows, update, open };
}

const high = (title) => title[0].toUpperCase() + title.slice(1);
const low = (title) => title[0].toLowerCase() + title.slice(1);

/** What a closed section says of itself: its plain fields, or how many are assumed. */
function brief(spec, host) {
  const plain = spec.fields.filter((f) => f.plain && host.value(f.key)?.text)
    .map((f) => `${f.kind === "word" || f.kind === "text" ? "" : `${f.label} `}${inWords(host.value(f.key).text)}`);
  if (plain.length) return plain.slice(0, 4).join(", ");
  const given = spec.fields.filter((f) => host.value(f.key)?.given).length;
  return given ? `${given} given, the rest assumed` : "assumed";
}
