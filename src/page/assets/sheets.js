// Lay out: the sheets with the pieces on them, what is left of them, what they cost.

import { h, picture, put, s } from "page/dom.js";
import { lit, show } from "page/link.js";
import { viewer } from "page/picture.js";
import { on, onSeen, state } from "page/store.js";

let chosen = null;

const LINES = [["cut through", "through-cut"], ["cut half deep", "half-depth-pocket"], ["crease", "crease-score"], ["mark", "mark"]];

/** Build the station. */
export function build(within) {
  const choice = h("div", { class: "choose", role: "group", "aria-label": "Sheets" });
  const view = viewer("A sheet");
  const about = h("p", { class: "sheet-about" });
  const none = h("p", { class: "about", text: "Sheets are laid out as soon as the box fits." });
  const table = h("table", { class: "pieces" });
  const scroll = h("div", { class: "scroll", tabindex: "0", role: "region", "aria-label": "Pieces on this sheet" }, table);
  const legend = h("ul", { class: "lines-legend", "aria-label": "Lines" }, LINES.map(([words, kind]) => h("li", {},
    s("svg", { viewBox: "0 0 34 10", "aria-hidden": "true", class: "sample" }, s("path", { class: `sample-${kind}`, d: "M1 5H33" })), h("span", { text: words }))));
  const cost = h("dl", { class: "figures" });
  const costs = h("div", {}, h("h3", { class: "quiet-title", text: "What it takes" }), cost);
  put(within, none, choice, view.element, legend, about, scroll, costs);
  const draw = (sheets) => {
    const one = sheets.find((sheet) => sheet.id === chosen) ?? sheets[0];
    chosen = one?.id ?? null;
    none.hidden = sheets.length > 0;
    for (const element of [view.element, legend, about, scroll, choice]) element.hidden = !one;
    if (!one) return;
    for (const b of choice.children) b.setAttribute("aria-pressed", String(b.dataset.sheet === chosen));
    const words = `${sheetName(one)}: ${one.size}${one.used ? `, ${one.used} used` : ""}${one.offcut ? `, an offcut of ${one.offcut} is left` : ""}. The pieces are listed below.`;
    view.set(picture(one.svg), one.id, words);
    about.textContent = words.replace(" The pieces are listed below.", "");
    put(table, rows(one));
    show(within);
  };
  onSeen(within, "view", (newest) => {
    put(choice, newest.sheets.map((sheet) => h("button", { type: "button", "data-sheet": sheet.id, "aria-pressed": "false",
      onclick: () => { chosen = sheet.id; draw(state.view.sheets); } },
    h("span", { text: sheetName(sheet) }), sheet.count > 1 ? h("span", { class: "times", text: `${sheet.count} times` }) : null)));
    draw(newest.sheets);
    put(cost, (newest.cost ?? []).flatMap((one) => [h("dt", { text: one.name }), h("dd", { text: one.value })]));
    costs.hidden = !newest.cost?.length;
  });
  on("lit", () => {
    for (const b of choice.children) {
      const sheet = state.view?.sheets.find((one) => one.id === b.dataset.sheet);
      b.classList.toggle("has-lit", Boolean(lit.on && sheet?.pieces.some((id) => lit.pieces.has(id))));
    }
  });
}

const sheetName = (sheet) => sheet.id.replace(/-(\d+)(_first-side)?$/, (_, n, first) => ` ${n}${first ? ", first run" : ""}`);

function rows(sheet) {
  const ids = [...new Set(sheet.pieces)];
  const pieces = ids.map((id) => state.view.pieces.find((p) => p.id === id) ?? { id, name: id, size: "", count: "" });
  return [h("thead", {}, h("tr", {}, ["piece", "size", "how many"].map((text) => h("th", { scope: "col", text })))),
    h("tbody", {}, pieces.map((p) => h("tr", { "data-piece": p.id, tabindex: "0", "aria-label": [p.name, p.size, p.count].filter(Boolean).join(", ") }, h("th", { scope: "row", text: p.name }), h("td", { text: p.size }), h("td", { text: p.count }))))];
}
