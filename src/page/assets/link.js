// What is pointed at in one place is lit in all others: the box, the sheets, the form, the findings.

import { state, tell } from "page/store.js";

/** What is lit now. */
export const lit = { keys: new Set(), pieces: new Set(), parts: new Set(), on: false };

let now = "";

const beneath = (key, of) => key === of || key.startsWith(`${of}.`);

/** Light what belongs to a key, a piece or a part. */
export function light({ key = null, piece = null, part = null } = {}) {
  const mark = [key, piece, part].join("\n");
  if (mark === now) return;
  now = mark;
  for (const set of [lit.keys, lit.pieces, lit.parts]) set.clear();
  lit.on = Boolean(key || piece || part);
  if (key) lit.keys.add(key);
  if (piece) lit.pieces.add(piece);
  if (part) lit.parts.add(part);
  const side = key?.match(/^flap\.(left|right|tail|head)\b/)?.[1];
  if (side) lit.parts.add(`${side} lid`);
  for (const one of state.view?.pieces ?? []) {
    const isIt = one.id === piece
      || (key && one.keys?.some((k) => k === key || (side && beneath(k, `flap.${side}`))))
      || (part && !piece && one.parts?.length === 1 && one.parts[0] === part);
    if (!isIt) continue;
    lit.pieces.add(one.id);
    // A cover that goes over all parts lights none of them.
    if (one.parts?.length === 1) lit.parts.add(one.parts[0]);
    if (!key) for (const k of one.keys ?? []) lit.keys.add(k);
  }
  show();
  tell("lit", lit);
}

/** Mark what is lit in the page's own elements. */
export function show(within = document) {
  for (const element of within.querySelectorAll("[data-key],[data-piece],[data-part]")) {
    const { key, piece, part } = element.dataset;
    const isLit = lit.on && ((key && lit.keys.has(key)) || (piece && lit.pieces.has(piece)) || (part && lit.parts.has(part)));
    element.classList.toggle("lit", Boolean(isLit));
  }
}

function of(target) {
  const element = target instanceof Element ? target.closest("[data-key],[data-piece],[data-part]") : null;
  return element ? { key: element.dataset.key, piece: element.dataset.piece, part: element.dataset.part } : null;
}

/** Follow the pointer and the keyboard's focus. */
export function follow() {
  document.addEventListener("pointerover", (event) => {
    const it = of(event.target);
    if (it) light(it);
    else if (!event.target.closest?.("canvas")) light(of(document.activeElement) ?? {});
  });
  document.addEventListener("focusin", (event) => light(of(event.target) ?? {}));
}
