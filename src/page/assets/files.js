// Files that come in: a job picked or dropped, a drawn lid dropped on its side. Files that go out.

import { button, download, fresh, h, put, say } from "page/dom.js";
import { alone, ask, askJson, change, on, onSeen, problem, save, state } from "page/store.js";

/** Read a job's text into the page. */
export async function openJob(file) {
  const text = await file.text();
  if (await change("text", { text, name: file.name })) say(`${file.name} is open.`);
}

/** Put a drawn lid on a side. */
export async function takeOutline(side, file) {
  const data = new Uint8Array(await file.arrayBuffer());
  let letters = "";
  for (let i = 0; i < data.length; i += 0x8000) letters += String.fromCharCode(...data.subarray(i, i + 0x8000));
  if (await change("outline", { side, name: file.name, data: btoa(letters) })) say(`${file.name} is the outline of the ${side} lid.`);
}

const isDrawing = (file) => /\.(dxf|svg)$/i.test(file.name);

/** Let an element take a dropped drawing for a side. */
export function onto(element, side) {
  element.addEventListener("dragover", (event) => {
    event.preventDefault();
    event.stopPropagation();
    element.classList.add("is-over");
  });
  element.addEventListener("dragleave", () => element.classList.remove("is-over"));
  element.addEventListener("drop", (event) => {
    element.classList.remove("is-over");
    const file = event.dataTransfer?.files[0];
    if (!file || !isDrawing(file)) return;
    event.preventDefault();
    event.stopPropagation();
    takeOutline(side, file);
  });
}

/** A field to pick a file with, behind a button. */
export function picker(words, accept, sign, then, quiet = false) {
  const own = h("input", { type: "file", accept, class: "unseen", tabindex: "-1", "aria-hidden": "true", onchange: () => {
    const file = own.files[0];
    if (file) then(file);
    own.value = "";
  } });
  return h("span", { class: "picker" }, button(words, { sign, quiet }, () => own.click()), own);
}

/** What the section of a lid has besides its fields: a drawn outline. */
export function dropFor(side) {
  const element = h("div", { class: "drop" },
    h("p", { class: "about", text: `A lid of your own shape: a DXF or SVG with one closed outline, dropped here or on the ${side} side of the drawing.` }),
    picker("Pick a drawing", ".dxf,.svg", "open", (file) => takeOutline(side, file)));
  onto(element, side);
  return element;
}

/** Files dropped anywhere else are jobs. */
export function takeDrops() {
  document.addEventListener("dragover", (event) => {
    event.preventDefault();
    document.body.classList.add("is-over");
  });
  const end = () => document.body.classList.remove("is-over");
  document.addEventListener("dragleave", (event) => { if (!event.relatedTarget) end(); });
  document.addEventListener("drop", (event) => {
    event.preventDefault();
    end();
    const file = event.dataTransfer?.files[0];
    if (!file) return;
    if (isDrawing(file)) problem(new Error("A drawn lid goes on its side: drop it on that side of the drawing."));
    else openJob(file);
  });
}

let kerf = "", paper = "";

/** The address of a file, made from the newest job. */
function address(name) {
  const query = new URLSearchParams({ revision: String(state.view?.revision ?? 0) });
  if (state.machine) query.set("machine", state.machine);
  if (kerf) query.set("kerf", kerf);
  if (paper) query.set("paper", paper);
  return `${name}?${query}`;
}

async function fetchFile(name, pressed) {
  pressed.setAttribute("aria-busy", "true");
  pressed.disabled = true;
  try {
    const answer = await ask(`file/${address(name)}`);
    const called = /filename="([^"]+)"/.exec(answer.headers.get("content-disposition") ?? "")?.[1] ?? name.split("/").pop();
    download(called, await answer.blob());
    say(`${called} is made.`);
  } catch (error) {
    problem(error);
  } finally {
    pressed.removeAttribute("aria-busy");
    pressed.disabled = false;
    pressed.focus();
  }
}

const KINDS = [
  ["For the knife and the bench", [
    ["templates.pdf", "Templates", "What a page holds, at full size, to print and cut by.", "print"],
    ["guide.pdf", "Guide", "What to buy, every piece with its measures, and the work step by step with drawings of this box.", "print"],
    ["labels.pdf", "Labels", "A label for every box: its name, which copy it is, what it holds.", "print"],
    ["cut-list.csv", "Cut list", "Every piece with its size, for a spreadsheet."],
  ]],
  ["For a cutter", [
    ["drawings.zip", "Drawings", "Each sheet as DXF and as picture (SVG), with a page for whoever cuts."],
    ["programs.zip", "Programs", "Each sheet's program for the machine chosen under Cut.", "machine"],
  ]],
  ["All of it", [
    ["folder.zip", "The whole folder", "Templates, guide, drawings, programs, lists, the job itself and the proof of what was made."],
    ["page.html", "This box as one page", "The box that folds, the sheets and the cut list in one file, to look at without this program."],
    ["job.toml", "The job", "All that you typed, as a text that this page opens again."],
  ]],
];

/** To the name under which the job is kept. */
export function name() {
  const keep = document.getElementById("keep");
  keep.scrollIntoView({ block: "center" });
  (keep.querySelector("input:not([hidden])") ?? keep).focus();
}

/** Build the way out into an element. */
export function build(within, { goToCut }) {
  const blocked = h("p", { class: "blocked", hidden: true, text: "Mend what stops the box first: files are made of a box that fits." });
  const machine = h("p", { class: "chosen" });
  const id = fresh("kerf");
  const field = h("input", { type: "text", id, autocomplete: "off", placeholder: "0 mm", "aria-describedby": `${id}-about`,
    oninput: () => { kerf = field.value.trim(); } });
  const sheetId = fresh("paper");
  const printer = h("select", { id: sheetId, onchange: () => { paper = printer.value; update(); } },
    [["", ""], ["A4", "A4"], ["Letter", "Letter"], ["large format", "a roll: every piece whole"]].map(([value, text]) => h("option", { value, text })));
  const paperRow = h("div", { class: "row kerf" }, h("label", { for: sheetId, text: "Paper to print on" }), h("span", { class: "entry" }, printer));
  const progress = h("p", { class: "progress", role: "status" });
  const entries = [];
  const lists = KINDS.map(([title, files]) => h("section", { class: "shelf" }, h("h3", { text: title }), h("ul", {},
    files.map(([name, words, about, way]) => {
      const get = button("Download", { sign: "take", "aria-label": `Download ${words.toLowerCase()}` }, () => fetchFile(name, get));
      const print = way === "print" ? h("a", { class: "as-button", "aria-label": `Open to print: ${words.toLowerCase()}`, target: "_blank", rel: "noopener" }, h("span", { text: "Open to print" })) : null;
      const pages = h("span", { class: "told" });
      entries.push({ name, get, print, way, pages });
      return h("li", {}, h("div", {}, h("strong", { text: words }), " ", pages, h("p", { class: "about", text: about })), h("span", { class: "ways" }, get, print));
    }))));
  const kerfRow = h("div", { class: "row kerf" }, h("label", { for: id, text: "Width of the cut" }), h("span", { class: "entry" }, field),
    h("p", { class: "about", id: `${id}-about`, text: "For a cutter whose operator does not correct for it: drawings move out by half of it. Leave it empty for a knife." }));
  put(within, blocked, progress, paperRow, lists[0], lists[1], kerfRow, machine, lists[2], sheetFiles(), savePart(), asText());
  const update = () => {
    const view = state.view;
    if (!view || alone()) return;
    const isBlocked = view.findings.some((f) => f.severity === "error") || !view.scene;
    blocked.hidden = !isBlocked;
    printer.options[0].text = `${view.paper}, as usual`;
    for (const { name, get, print, way } of entries) {
      const off = (isBlocked && name !== "job.toml") || (way === "machine" && !state.machine);
      get.disabled = off;
      if (!print) continue;
      if (off) print.removeAttribute("href");
      else print.href = `api/file/${address(name)}`;
      print.setAttribute("aria-disabled", String(off));
    }
    const named = state.machines.find((m) => m.id === state.machine)?.name;
    put(machine, h("span", { text: named ? `Programs are for: ${named}. ` : "No machine chosen, so no programs. " }),
      button(named ? "Choose another" : "Choose a machine", { class: "linklike" }, goToCut));
  };
  // How many pages there are to print is known once they are made: that is done when nothing is typed for a
  // while and this station is on screen.
  let isSeen = false, wait = 0, counted = "";
  const count = async () => {
    const asked = address("pages");
    if (!isSeen || asked === counted || alone() || !blocked.hidden || state.away || !state.view) return;
    counted = asked;
    const found = await askJson(asked).catch(() => ({}));
    if (asked !== address("pages")) return;
    for (const { name, pages } of entries) pages.textContent = found[name] ? `${found[name]} ${found[name] === 1 ? "page" : "pages"}` : "";
  };
  const later = () => { clearTimeout(wait); wait = setTimeout(count, 800); };
  new IntersectionObserver((seen) => { isSeen = seen.some((one) => one.isIntersecting); later(); }).observe(within);
  for (const news of ["view", "machine"]) on(news, () => { for (const { pages } of entries) pages.textContent = ""; counted = ""; later(); });
  for (const one of [field, printer]) one.addEventListener("input", later);
  field.addEventListener("input", update);
  onSeen(within, "view", update);
  on("machine", update);
  on("machines", update);
  on("progress", (news) => { progress.textContent = news ? `${news.what}: ${news.done} of ${news.of}` : ""; });
}

function sheetFiles() {
  const list = h("ul");
  onSeen(list, "view", (view) => put(list, view.sheets.flatMap((sheet) => ["dxf", "svg"].map((kind) => {
    const name = `${sheet.id}.${kind}`;
    const get = button(name, { sign: "take" }, () => fetchFile(name, get));
    return h("li", {}, get);
  }))));
  return h("details", { class: "section" }, h("summary", {}, h("span", { class: "title", text: "Sheets one by one" })), h("div", { class: "fields one-by-one" }, list));
}

/** A title as the name of a file. */
const plain = (title) => (title ?? "").normalize("NFKD").toLowerCase().replace(/[^a-z0-9]+/g, " ").trim().replace(/ /g, "-").slice(0, 40);

function savePart() {
  const id = fresh("name");
  const field = h("input", { type: "text", id, autocomplete: "off", spellcheck: "false", placeholder: "my-box.toml" });
  const about = h("p", { class: "about" });
  let was = null;
  const keep = button("Save", { sign: "save" }, () => {
    const typed = field.value.trim() || field.placeholder;
    save(state.view?.hasPlace ? null : /\.toml$/.test(typed) ? typed : `${typed}.toml`);
  });
  const row = h("div", { class: "row" }, h("label", { for: id, text: "Name" }), h("span", { class: "entry" }, field));
  on("view", (view) => {
    // Another job has another name.
    if (was !== null && was !== view.name) field.value = "";
    was = view.name ?? "";
    row.hidden = Boolean(view.hasPlace);
    field.placeholder = view.name ?? `${plain(view.title) || "my-box"}.toml`;
    about.textContent = view.hasPlace ? `${view.name}: ${view.saved ? "nothing changed since it was saved." : "changed since it was saved."}`
      : `It goes into the folder ${view.folder}.`;
  });
  return h("section", { class: "shelf", id: "keep" }, h("h3", { text: "Keep the job here" }), row, about, keep);
}

/** The job as it stands in its file, for those who would rather write it. */
function asText() {
  const id = fresh("text");
  const area = h("textarea", { id, rows: 18, spellcheck: "false" });
  const use = button("Use this text", { sign: "check" }, async () => {
    if (await change("text", { text: area.value })) say("The text is the job now.");
  });
  const undo = button("As it was", { sign: "back" }, () => { area.value = state.view.text; sync(); });
  const sync = () => { use.disabled = undo.disabled = area.value === state.view?.text; };
  area.addEventListener("input", sync);
  let before = null;
  on("view", (view) => {
    // What is being written here is not written over.
    if (before === null || area.value === before) area.value = view.text;
    before = view.text;
    sync();
  });
  return h("details", { class: "section" }, h("summary", {}, h("span", { class: "title", text: "The job as text" }), h("span", { class: "told", text: "all settings in one file, with your own comments" })),
    h("div", { class: "fields" }, h("label", { for: id, class: "unseen", text: "The job as text" }), area, h("span", { class: "ways" }, use, undo)));
}
