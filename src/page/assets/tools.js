// The head of the page: the job's name, a step back and forward, files in and out; the banner.

import { button, h, put } from "page/dom.js";
import { icon } from "page/icons.js";
import { openJob, picker } from "page/files.js";
import { alone, change, edit, isUnsent, lookAgain, on, redo, save, state, tell, undo } from "page/store.js";

/** Build the head. */
export function build(name, tools, { goToTake, begin }) {
  if (alone()) {
    name.append(h("span", { class: "title", text: state.view.title }));
    return;
  }
  const title = h("input", { type: "text", id: "title", class: "title", autocomplete: "off", spellcheck: "false", placeholder: "Name your box", "data-key": "title",
    oninput: () => edit([{ key: "title", value: title.value.trim() || null }], "title") });
  const saved = h("span", { class: "saved" });
  name.append(h("label", { for: "title", class: "unseen", text: "What the box is called" }), title, saved);
  const back = button("Undo", { sign: "undo", quiet: true, "aria-keyshortcuts": "Control+Z" }, undo);
  const forward = button("Redo", { sign: "redo", quiet: true, "aria-keyshortcuts": "Control+Shift+Z" }, redo);
  const fresh = button("New", { sign: "fresh" }, () => change("new").then((view) => {
    if (!view) return;
    begin();
    tell("problem", { words: "A new box, with measurements to be typed over.", way: { words: "Undo: back to the box before", does: undo }, isCalm: true });
  }));
  const keep = button("Save", { sign: "save" }, () => (state.view?.hasPlace ? save(null) : goToTake()));
  tools.append(back, forward, fresh, picker("Open", ".toml,text/plain", "open", openJob), keep);
  on("view", (view) => {
    if (document.activeElement !== title && !isUnsent("title")) title.value = view.title ?? "";
    document.title = view.title ? `${view.title}: Flapwright` : "Flapwright";
    saved.textContent = [view.name, view.saved ? "" : view.name ? "changed and not saved again" : "not saved"].filter(Boolean).join(", ");
    back.disabled = !view.canUndo;
    forward.disabled = !view.canRedo;
  });
  document.addEventListener("keydown", (event) => {
    if (!(event.ctrlKey || event.metaKey) || event.altKey) return;
    const key = event.key.toLowerCase();
    const types = event.target.matches?.("textarea, input:not([type=radio]):not([type=checkbox]):not([type=range])");
    if (key === "s") {
      event.preventDefault();
      keep.click();
    } else if (key === "z" && !types) {
      event.preventDefault();
      if (event.shiftKey) redo();
      else undo();
    } else if (key === "y" && !types) {
      event.preventDefault();
      redo();
    }
  });
}

/** What went wrong, until it is put away or over; and what the server wants known of drafts. */
export function banner(element) {
  let now = null;
  const away = new Set();
  const show = () => {
    const lines = [];
    const line = (words, sign, ...ways) => lines.push(h("div", { class: "banner-line" }, icon(sign), h("span", { text: words }), ways));
    if (state.away) {
      line("The program that made this page has stopped or cannot be reached. What you type is kept here and sent when it answers again.", "warning",
        button("Try now", {}, lookAgain));
    } else {
      if (now) {
        const { words, way, isCalm } = now;
        line(words, isCalm ? "hint" : "warning", way ? button(way.words, {}, () => { now = null; show(); way.does(); }) : null, button("Put away", {}, () => { now = null; show(); }));
      }
      for (const words of [state.view?.draft, state.view?.unkept]) {
        if (words && !away.has(words)) line(words, "hint", button("Put away", {}, () => { away.add(words); show(); }));
      }
    }
    element.classList.toggle("is-calm", !state.away && !(now && !now.isCalm));
    element.hidden = !lines.length;
    const text = lines.map((l) => l.textContent).join();
    if (text !== element.textContent) put(element, lines);
  };
  on("away", () => { now = null; show(); });
  on("problem", (problem) => { now = problem; element.replaceChildren(); show(); });
  on("view", show);
}
