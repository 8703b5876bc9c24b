// What the page knows, and how it asks the server. Answers are told to whoever listens.

import { holding, say } from "page/dom.js";

/** The newest of everything; `given` is what an exported single file carries, and nothing can be changed then. */
export const state = { view: null, form: null, given: null, machines: [], machine: null, away: false, busy: 0 };

const listeners = new Map();

/** Call `then` whenever `what` is told: view, form, away, problem, progress, machines, machine, lit, busy. */
export function on(what, then) {
  if (!listeners.has(what)) listeners.set(what, []);
  listeners.get(what).push(then);
}

export function tell(what, news) {
  for (const then of listeners.get(what) ?? []) then(news);
}

const idle = window.requestIdleCallback ? (then) => requestIdleCallback(then, { timeout: 500 }) : (then) => setTimeout(then, 200);

/** The same for what stands in `element`: off the screen it waits until it comes into sight or the browser has time, so
 *  that what is in sight is there first. */
export function onSeen(element, what, then) {
  let isSeen = true, kept = null;
  const now = () => {
    const news = kept;
    kept = null;
    if (news) then(...news);
  };
  new IntersectionObserver((all) => {
    isSeen = all.at(-1).isIntersecting;
    if (isSeen) now();
  }).observe(element);
  on(what, (news) => {
    const waits = kept !== null;
    kept = [news];
    if (isSeen) now();
    else if (!waits) idle(now);
  });
}

/** Whether the page stands alone, as a file of an exported folder. */
export const alone = () => state.given !== null;

/** A message with the names that fields have here in place of their keys. */
export function plainly(text) {
  return text.replace(/`?\b([a-z]+(?:\.[a-z_]+)+)\b`?/g, (whole, key) => {
    for (const one of state.form?.sections ?? []) {
      const field = one.fields.find((f) => f.key === key);
      if (field) return `${field.label} (${one.title})`;
    }
    return whole;
  });
}

class Refused extends Error {
  constructor(words, status) {
    super(words);
    this.status = status;
  }
}

/** Ask the server; what it refuses is an error with its sentence. */
export async function ask(path, body) {
  let answer;
  try {
    answer = await fetch(`api/${path}`, body === undefined ? { cache: "no-store" } : {
      method: "POST", headers: { "Content-Type": "application/json" }, body: JSON.stringify(body),
    });
  } catch {
    gone();
    throw new Error("The program on this computer does not answer.");
  }
  back();
  if (answer.ok) return answer;
  let words = `The program refused that (${answer.status}).`;
  try {
    words = (await answer.json()).error ?? words;
  } catch { /* It gave no sentence. */ }
  throw new Refused(words, answer.status);
}

export const askJson = async (path, body) => (await ask(path, body)).json();

function busy(by) {
  state.busy += by;
  tell("busy", state.busy);
}

/** A problem that is told in the banner until it is put away; `way` is what can be done: its words and the deed. */
export function problem(error, way = null) {
  if (!state.away) tell("problem", { words: error.message ?? String(error), way });
}

/** Save to the file of that name, or to the one it came from; over another's work only when asked again. */
export async function save(name, replace = false) {
  const view = await change("save", replace ? { name, replace } : { name }, (error) => problem(error,
    error.status === 409 ? { words: "Write it all the same", does: () => save(name, true) } : null));
  if (view) say(`Saved as ${view.name}.`);
  return view;
}

function accept(view) {
  if (state.view && view.revision < state.view.revision) return;
  state.view = view;
  holding(() => tell("view", view));
}

// What was typed and is not yet with the server, by key. It outlives a reload of the page.
const KEPT = `flapwright unsent ${location.pathname}`;
const unsent = new Map();
let sending = new Map();
let timer = 0;
let line = Promise.resolve();

function keep() {
  try {
    const all = [...sending.values(), ...unsent.values()];
    if (all.length) sessionStorage.setItem(KEPT, JSON.stringify(all));
    else sessionStorage.removeItem(KEPT);
  } catch { /* Without storage what was typed still stands in its fields. */ }
}

/** Whether a field's text is still on its way. */
export const isUnsent = (key) => unsent.has(key) || sending.has(key);

// What is typed without leaving a field is one step of undo.
let run = 0;
const session = Math.random().toString(36).slice(2, 8);
document.addEventListener("focusin", () => { run += 1; });

/** Change keys of the job soon; of several changes to a key the last counts. */
export function edit(edits, note) {
  for (const one of edits) {
    unsent.delete(one.key);
    unsent.set(one.key, { ...one, note });
  }
  keep();
  clearTimeout(timer);
  timer = setTimeout(() => inLine(send), 120);
}

/** One after the other, so that the answer shown is the newest. */
function inLine(work) {
  line = line.then(work, work);
  return line;
}

async function send() {
  clearTimeout(timer);
  if (!unsent.size || state.away) return;
  sending = new Map(unsent);
  unsent.clear();
  const edits = [...sending.values()].map(({ note, ...one }) => one);
  const note = [...sending.values()].map((one) => one.note).filter(Boolean).join(", ");
  busy(1);
  try {
    const view = await askJson("edit", { edits, note, run: `${session}-${run}` });
    sending = new Map();
    keep();
    accept(view);
  } catch (error) {
    const lost = sending;
    sending = new Map();
    if (!(error instanceof Refused)) for (const [key, one] of lost) if (!unsent.has(key)) unsent.set(key, one);
    keep();
    problem(error);
    if (error instanceof Refused) tell("view", state.view);
  } finally {
    busy(-1);
  }
}

/** Ask for a change that is not of a key; what was typed before goes first. `refused(error)` may take a refusal. */
export function change(path, body = {}, refused = problem) {
  return inLine(async () => {
    await send();
    run += 1;
    busy(1);
    try {
      const view = await askJson(path, body);
      accept(view);
      return view;
    } catch (error) {
      if (error instanceof Refused) refused(error);
      else problem(error);
      return null;
    } finally {
      busy(-1);
    }
  });
}

export function undo() {
  if (state.view?.canUndo || unsent.size) change("undo").then((view) => view && say("Undone."));
}

export function redo() {
  if (state.view?.canRedo) change("redo").then((view) => view && say("Done again."));
}

let retry = 0;

function gone() {
  if (state.away) return;
  state.away = true;
  tell("away", true);
  retry = setInterval(lookAgain, 2000);
}

function back() {
  if (!state.away) return;
  state.away = false;
  clearInterval(retry);
  tell("away", false);
  say("The program answers again.");
  inLine(send);
  listen();
}

/** Try whether the server is there again. */
export async function lookAgain() {
  try {
    accept(await askJson("view"));
  } catch { /* The banner stays. */ }
}

let events = null;

function listen() {
  events?.close();
  events = new EventSource("api/events");
  events.addEventListener("view", async (event) => {
    const { revision } = JSON.parse(event.data);
    if (!state.view || revision <= state.view.revision) return;
    // An answer to this window's own change may be on its way.
    await inLine(async () => {
      if (revision > state.view.revision) accept(await askJson("view").catch(() => state.view));
    });
  });
  events.addEventListener("progress", (event) => tell("progress", JSON.parse(event.data)));
  events.addEventListener("ready", () => tell("progress", null));
  events.onerror = () => { if (!state.away) lookAgain(); };
}

/** Read the first view; an exported file brings its own. */
export async function begin() {
  const given = JSON.parse(document.getElementById("given").textContent);
  if (given) {
    state.given = given;
    state.view = given.view;
    tell("view", state.view);
    return;
  }
  try {
    const kept = JSON.parse(sessionStorage.getItem(KEPT) ?? "[]");
    for (const one of kept) unsent.set(one.key, one);
  } catch { /* Nothing was kept. */ }
  try {
    const [form, view] = await Promise.all([askJson("form"), askJson("view")]);
    state.form = form;
    tell("form", form);
    accept(view);
    if (unsent.size) {
      say("What was typed before is sent now.");
      inLine(send);
    }
    listen();
  } catch (error) {
    problem(error);
    if (!state.form) setTimeout(begin, 2000);
  }
}
