// What the server finds, as sentences by weight; each leads to its field and its part, some can be mended at once.

import { button, h, put, say, sentence as full } from "page/dom.js";
import { icon } from "page/icons.js";
import { alone, change, on, plainly } from "page/store.js";

const WEIGHTS = [["error", "stops the box", "stop the box"], ["warning", "to look at", "to look at"], ["hint", "hint", "hints"]];

const isAsked = (finding) => finding.code === "another-unit";

/** How many of each weight, in words. */
export function count(findings) {
  return WEIGHTS.map(([weight, one, many]) => {
    const n = findings.filter((f) => f.severity === weight).length;
    return n ? `${n} ${n === 1 ? one : many}` : null;
  }).filter(Boolean).join(", ");
}

/** The sentence above all else. */
export function verdict(view) {
  const errors = view.findings.filter((f) => f.severity === "error").length;
  if (errors) return errors === 1 ? "One thing stops this box." : `${errors} things stop this box.`;
  return view.scene ? "The box fits and can be cut." : "No box yet.";
}

/** The list itself; `to` goes to a key, `look` to a part. */
export function build(within, { to, look }) {
  const list = h("ol", { class: "findings" });
  within.append(h("h3", { class: "quiet-title", id: "findings-title", text: "What to know" }), list);
  let before = "";
  on("view", (view) => {
    // A number that may be in another unit comes first: all the rest may follow from it.
    const sorted = [...view.findings.filter(isAsked), ...WEIGHTS.flatMap(([weight]) => view.findings.filter((f) => f.severity === weight && !isAsked(f)))];
    const now = JSON.stringify(sorted);
    if (now === before) return;
    before = now;
    const held = list.contains(document.activeElement) ? document.activeElement.closest("li")?.dataset.code : null;
    put(list, sorted.length ? sorted.map((finding) => item(finding, to, look)) : h("li", { class: "none", text: "Nothing to mend." }));
    if (held) (list.querySelector(`li[data-code="${CSS.escape(held)}"] button`) ?? list.querySelector("button"))?.focus();
  });
}

function item(finding, to, look) {
  const weight = { error: "Error", warning: "Warning", hint: "Hint" }[finding.severity] ?? "";
  const parts = [icon(finding.severity), h("span", { class: "unseen", text: `${weight}: ` }), h("span", { text: full(plainly(finding.message)) }),
    where(finding) ? h("span", { class: "where", text: finding.part }) : null];
  const reaches = !alone() && (finding.key || finding.part);
  const sentence = reaches
    ? h("button", { type: "button", class: "sentence", onclick: () => { look(finding.part); to(finding.key); } }, parts)
    : h("p", { class: "sentence" }, parts);
  return h("li", {
    class: `finding is-${finding.severity}`, "data-code": finding.code, "data-key": finding.key, "data-part": finding.part,
  }, sentence, finding.help ? h("p", { class: "help", text: full(plainly(finding.help)) }) : null,
  finding.mend && !alone() ? button(plainly(finding.mend.label), { sign: "check", class: "mend" }, () => {
    change("edit", { edits: finding.mend.edits, note: finding.mend.label }).then((view) => view && say(`${plainly(finding.mend.label)}: done. ${verdict(view)}`));
  }) : null);
}

/** Whether the part must be named besides. */
function where({ part, message }) {
  return part && part !== "contents" && !message.toLowerCase().includes(part.replace(/ lid$/, ""));
}

let spoken = "";

/** The line under the head of the page: the verdict, how surely the box closes, how many findings. */
export function line(within, goTo) {
  const mark = h("span", { class: "mark" });
  const words = h("strong");
  const counts = h("button", { type: "button", class: "counts", onclick: goTo });
  const closing = h("span", { class: "closing" });
  const surer = h("span", { class: "surer" });
  within.append(mark, words, closing, surer, counts);
  on("view", (view) => {
    const isError = view.findings.some((f) => f.severity === "error");
    put(mark, icon(isError ? "error" : view.scene ? "check" : "hint"));
    within.dataset.state = isError ? "error" : "fits";
    words.textContent = verdict(view);
    const asked = view.findings.find(isAsked);
    const sentence = (asked ?? view.findings.find((f) => f.severity === "error"))?.message ?? view.closing?.sentence ?? "";
    closing.textContent = sentence ? full(plainly(sentence)) : "";
    const mend = alone() ? null : asked ? asked.mend : isError ? null : view.closing?.mend;
    put(surer, mend ? button(mend.label, { sign: "check", class: "mend" }, () => change("edit", { edits: mend.edits, note: mend.label }).then((after) => after && say(`${mend.label}: done.`))) : null);
    counts.textContent = count(view.findings) || (view.closing?.mend ? "nothing else to mend" : "nothing to mend");
    const all = `${words.textContent} ${closing.textContent} ${counts.textContent}`;
    if (spoken && all !== spoken) say(all);
    spoken = all;
  });
  on("busy", (n) => within.setAttribute("aria-busy", n > 0 ? "true" : "false"));
}
