// One field of a form: its label, what is typed, whether that is assumed, what it means, what is wrong with it.

import { fresh, h, button, put, sentence } from "page/dom.js";
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
  } else if (isLong(spec.kind) || spec.lines) {
    element = h("textarea", { rows: 3, spellcheck: "false", oninput: change, ...attributes });
  } else {
    const list = choices ? fresh("words") : null;
    element = h("input", { type: "text", autocomplete: "off", spellcheck: "false", list, oninput: change, ...attributes });
    if (list) element.append(h("datalist", { id: list }, choices.map(([value]) => h("option", { value }))));
  }
  element.dataset.key = spec.key;
  // While a field is typed in, the answers leave it alone; left, it shows what the job says.
  element.addEventListener("blur", () => update());
  let shown = "";
  const update = () => {
    const value = host.value(spec.key);
    const given = value?.given ?? false;
    const assumed = value && !given ? value.text : given ? "" : spec.default ?? "";
    if (isChoice) element.options[0].text = assumed ? `${inWords(assumed)} (assumed)` : "not said";
    else element.placeholder = assumed;
    // What is being typed stays; a field that is only looked at follows what another window does.
    const mine = document.activeElement === element && !isChoice && element.value !== shown;
    if (!mine && !host.isUnsent(spec.key)) {
      shown = given ? value.text : "";
      set(element, shown, isChoice);
      shown = element.value;
    }
    element.title = given && value.text.length > 12 ? value.text : "";
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
  const reset = button("as assumed", { sign: "back", class: "reset", "aria-label": `Assume ${spec.label} again` }, () => {
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
      icon(finding.severity), h("span", { text: sentence(host.plainly?.(finding.message) ?? finding.message) }))));
  };
  return { element, input: own.element, update, key: spec.key };
}

/** A section of a form, to be opened; `extra` stands before its fields. */
function section(spec, host, extra = []) {
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
  const beneath = h("div", { class: "beneath" });
  const element = h("details", { class: "section", "data-section": spec.key },
    h("summary", {}, h("span", { class: "title", text: high(spec.title) }), told),
    spec.about ? h("p", { class: "about", text: spec.about }) : null, toggle, extra, fields, beneath);
  const errors = () => spec.fields.flatMap((f) => host.findings(f.key)).filter((f) => f.severity === "error").length
    + inner.reduce((sum, one) => sum + one.errors(), 0);
  const inner = [];
  const update = () => {
    const isThere = !spec.optional || (host.value(spec.key)?.given ?? false);
    for (const one of [fields, beneath, ...extra]) one.hidden = !isThere;
    element.classList.toggle("absent", !isThere);
    if (toggle) put(toggle, icon(isThere ? "minus" : "plus"), h("span", { text: isThere ? `Leave out: ${low(spec.title)}` : `Add: ${low(spec.title)}` }));
    if (isThere) for (const one of [...rows, ...inner]) one.update();
    const wrong = isThere ? errors() : 0;
    told.textContent = !isThere ? "none" : wrong ? `${wrong} to mend` : brief(spec, host);
    told.classList.toggle("is-error", wrong > 0);
  };
  const open = (r) => {
    element.open = true;
    if (more && rest.includes(r)) more.open = true;
  };
  const find = (key) => {
    const own = rows.find((r) => r.key === key) ?? rows.find((r) => key.startsWith(`${r.key}.`) || key.startsWith(`${r.key}[`));
    if (own) {
      open(own);
      return own.input;
    }
    for (const one of inner) {
      const found = one.find(key);
      if (found) {
        open();
        return found;
      }
    }
    if (key !== spec.key && !key.startsWith(`${spec.key}.`)) return null;
    open();
    return toggle && !host.value(spec.key)?.given ? toggle : element.querySelector("summary");
  };
  return { element, update, find, errors, hold: (one) => { inner.push(one); beneath.append(one.element); } };
}

/** A section with entries counted from 0, each with the same fields. */
function list(spec, host) {
  const key = spec.key.replace(/\.N$/, "");
  const told = h("span", { class: "told" });
  const entries = h("div", { class: "beneath" });
  const add = button(`Add: ${low(spec.title)}`, { sign: "plus", class: "there" }, () => host.edit([{ key, add: true }], spec.title));
  const element = h("details", { class: "section", "data-section": key },
    h("summary", {}, h("span", { class: "title", text: high(spec.title) }), told), spec.about ? h("p", { class: "about", text: spec.about }) : null, entries, add);
  let inner = [], nested = [];
  const numbered = (text, i) => text.replace(spec.key, `${key}.${i}`);
  const build = (n) => {
    inner = Array.from({ length: n }, (_, i) => {
      const one = section({ ...spec, key: `${key}.${i}`, title: `${spec.title} ${i + 1}`, about: "", fields: spec.fields.map((f) => ({ ...f, key: numbered(f.key, i) })) }, host);
      for (const deeper of nested) one.hold(made({ ...deeper, key: numbered(deeper.key, i), fields: deeper.fields.map((f) => ({ ...f, key: numbered(f.key, i) })) }, host));
      return one;
    });
    put(entries, inner.map((one) => one.element));
  };
  const update = () => {
    const n = Number(host.value(key)?.text) || 0;
    if (n !== inner.length) build(n);
    for (const one of inner) one.update();
    const wrong = errors();
    told.textContent = wrong ? `${wrong} to mend` : n ? String(n) : "none";
    told.classList.toggle("is-error", wrong > 0);
  };
  const errors = () => inner.reduce((sum, one) => sum + one.errors(), 0);
  const find = (wanted) => {
    if (wanted !== key && !wanted.startsWith(`${key}.`) && !wanted.startsWith(`${key}[`)) return null;
    element.open = true;
    const plain = wanted.replace(/\[(\d+)\]/g, ".$1");
    for (const one of inner) {
      const found = one.find(plain);
      if (found) return found;
    }
    return add;
  };
  return { element, update, find, errors, hold: null, nest: (deeper) => { nested.push(deeper); build(inner.length); } };
}

const made = (spec, host, extra) => (spec.list ? list(spec, host) : section(spec, host, extra));

/** All sections of a form, those beneath another within it. `extra(spec)` stands before a section's fields. */
export function tree(specs, host, extra = () => []) {
  const all = [], top = [];
  for (const spec of specs) {
    const parent = all.filter(({ key }) => spec.key !== key && key && spec.key.startsWith(`${key}.`)).sort((a, b) => b.key.length - a.key.length)[0];
    if (parent?.one.nest) {
      parent.one.nest({ ...spec, title: within(spec.title) });
      continue;
    }
    const one = made(parent ? { ...spec, title: within(spec.title) } : spec, host, extra(spec));
    all.push({ key: spec.key, one });
    if (parent) parent.one.hold(one);
    else top.push(one);
  }
  return {
    elements: top.map((one) => one.element),
    update: () => { for (const one of top) one.update(); },
    find: (key) => {
      for (const one of top) {
        const found = one.find(key);
        if (found) return found;
      }
      return null;
    },
  };
}

// Within its parent a section needs only the end of its title.
const within = (title) => title.replace(/^[^:]*: */, "");
const high = (title) => title.charAt(0).toUpperCase() + title.slice(1);
const low = (title) => title.charAt(0).toLowerCase() + title.slice(1);

/** What a closed section says of itself: its plain fields, or how many are assumed. */
function brief(spec, host) {
  const plain = spec.fields.filter((f) => f.plain && host.value(f.key)?.text)
    .map((f) => `${f.kind === "word" || f.kind === "text" ? "" : `${f.label} `}${inWords(host.value(f.key).text)}`);
  if (plain.length) return plain.slice(0, 4).join(", ");
  const given = spec.fields.filter((f) => host.value(f.key)?.given).length;
  if (!spec.fields.length) return "";
  return given ? `${given} given, the rest assumed` : "assumed";
}
