// The page as a file of an exported folder: nothing to type, the same box, sheets and programs to look at.

import { h, put } from "page/dom.js";
import { state } from "page/store.js";

/** The stations that such a file has. */
export function stations(all) {
  const names = { measure: "Pieces", cut: "Watch it cut" };
  return all.filter(([id]) => id !== "take" && (id !== "cut" || state.given.machines?.length)).map(([id, words]) => [id, names[id] ?? words]);
}

/** The cut list, and what else lies in the folder. */
export function build(within) {
  const view = state.view;
  document.getElementById("measure-title").textContent = "Pieces";
  const cut = document.getElementById("cut-title");
  if (cut) cut.textContent = "Watch it cut";
  document.title = view.title;
  const stocks = [...new Set(view.pieces.map((p) => p.stock))];
  const tables = stocks.map((stock) => h("div", { class: "scroll", tabindex: "0", role: "region", "aria-label": `Pieces of ${stock}` }, h("table", { class: "pieces" },
    h("caption", { text: stock }),
    h("thead", {}, h("tr", {}, ["piece", "size", "how many"].map((text) => h("th", { scope: "col", text })))),
    h("tbody", {}, view.pieces.filter((p) => p.stock === stock).map((p) => h("tr", { "data-piece": p.id, "data-part": p.parts?.length === 1 ? p.parts[0] : null, tabindex: "0" },
      h("th", { scope: "row", text: p.name }), h("td", { text: p.size }), h("td", { text: p.count })))))));
  const steps = view.steps?.length ? [h("h3", { class: "quiet-title", text: "Step by step" }), h("ol", { class: "steps" }, view.steps.map((text) => h("li", { text: typeof text === "string" ? text : text.words ?? text.title ?? "" })))] : [];
  const files = state.given.files?.length ? [h("h3", { class: "quiet-title", text: "In this folder" }), h("ul", { class: "in-folder" }, state.given.files.map((file) => h("li", {},
    h("a", { href: encodeURI(file.name), text: file.name }), h("span", { class: "quiet", text: ` ${size(file.size)}` }))))] : [];
  put(within, tables, steps, files);
}

const size = (n) => (n < 1024 ? `${n} bytes` : n < 1048576 ? `${Math.round(n / 1024)} kB` : `${(n / 1048576).toFixed(1)} MB`);
