// The coupon: a small sheet that the machine cuts, what was measured on it, and the change that follows.

import { button, bytes, download, fresh, h, note, notes, picture, put, say } from "page/dom.js";
import { viewer } from "page/picture.js";
import { askJson, problem, state } from "page/store.js";

let now = null, kept = null, parts = null;

/** Build the coupon's part; `kept(id, machine)` takes the machine as changed. */
export function build(within, then) {
  kept = then.kept;
  const id = fresh("coupon");
  const stock = h("select", { id: `${id}-stock`, onchange: thickness_ }, ["board", "cloth", "paper", "liner"].map((value) => h("option", { value, text: value })));
  const thickness = h("input", { type: "text", id: `${id}-thickness`, autocomplete: "off" });
  function thickness_() { thickness.value = state.view?.values[`${stock.value}.thickness`]?.text ?? ""; }
  const made = h("div", { class: "made" });
  const changed = h("div", { class: "changed", "aria-live": "polite" });
  parts = { stock, thickness, made, changed };
  const steps = h("ol", { class: "coupon-steps" },
    h("li", {}, h("p", { text: "Make the coupon of the stock you cut." }),
      h("div", { class: "row" }, h("label", { for: stock.id, text: "Stock" }), h("span", { class: "entry" }, stock)),
      h("div", { class: "row" }, h("label", { for: thickness.id, text: "Thickness" }), h("span", { class: "entry" }, thickness)),
      button("Make the coupon", { sign: "layout" }, make)),
    h("li", {}, h("p", { text: "Cut it, measure it, and type what you measured." }), made),
    h("li", {}, h("p", { text: "Look at the change, and keep it." }), changed));
  put(within, steps);
  within.parentElement.addEventListener("toggle", () => { if (!thickness.value) thickness_(); });
}

/** The machine that the coupon is for. */
export function machine(it) {
  // A copy that was made by changing a figure is still the machine that the coupon was made for.
  const isSame = now && it.id.startsWith(now.id);
  now = it;
  if (isSame) return;
  put(parts.made, h("p", { class: "about", text: "Not made yet." }));
  put(parts.changed, h("p", { class: "about", text: "Nothing measured yet." }));
}

const asked = () => ({ machine: now.id, stock: parts.stock.value, thickness: parts.thickness.value.trim() });

async function make() {
  if (!now) return;
  let coupon;
  try {
    coupon = await askJson("coupon", asked());
  } catch (error) {
    return problem(error);
  }
  const view = viewer("The coupon");
  const svg = coupon.picture ? picture(coupon.picture) : null;
  const fields = coupon.form.map((spec) => {
    const id = fresh("measured");
    const input = h("input", { type: "text", id, autocomplete: "off", "aria-describedby": `${id}-about` });
    return { key: spec.key, input, row: h("div", { class: "row" }, h("label", { for: id, text: spec.label }), h("span", { class: "entry" }, input), h("p", { class: "about", id: `${id}-about`, text: spec.about })) };
  });
  const told = notes((coupon.notes ?? []).map((n) => note("hint", n.message, n.help)));
  put(parts.made, svg ? view.element : null, told,
    h("p", { class: "ways" }, coupon.files.map((file) => button(file.name, { sign: "take", "aria-label": `Download ${file.name}` }, () => download(file.name, new Blob([bytes(file.data)]))))),
    h("div", { class: "fields" }, fields.map((f) => f.row)),
    button("See the change", { sign: "check" }, () => measured(Object.fromEntries(fields.map((f) => [f.key, f.input.value.trim()]).filter(([, text]) => text)))));
  if (svg) view.set(svg, "coupon", "The coupon: what to measure is listed below.");
  say("The coupon is made.");
}

async function measured(values) {
  let answer;
  const about = asked();
  try {
    answer = await askJson("coupon/measured", { ...about, values });
  } catch (error) {
    return problem(error);
  }
  put(parts.changed,
    notes(answer.findings.map((f) => note(f.severity, f.message, f.help))),
    answer.changes.length ? h("div", { class: "scroll", tabindex: "0", role: "region", "aria-label": "What changes" }, h("table", {}, h("thead", {}, h("tr", {}, ["figure", "from", "to"].map((text) => h("th", { scope: "col", text })))),
      h("tbody", {}, answer.changes.map((c) => h("tr", {}, h("th", { scope: "row", text: c.words }), h("td", { text: c.from ?? "not said" }), h("td", { text: c.to })))))) : h("p", { text: "Nothing changes." }),
    answer.changes.length ? button("Keep it", { sign: "check" }, async () => {
      try {
        const machine = await askJson(`machine/${encodeURIComponent(about.machine)}/text`, { text: answer.text });
        put(parts.changed, h("p", { text: "Kept." }));
        await kept(about.machine, machine);
        say("The measured figures are kept.");
      } catch (error) {
        problem(error);
      }
    }) : null);
}
