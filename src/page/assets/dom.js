// Building elements, and taking pictures in safely. Text is only ever set as text.

import { icon } from "page/icons.js";

const SVG = "http://www.w3.org/2000/svg";

/** An element with attributes and children; `on…` names are listeners, `text` is its text. */
export function h(name, attributes, ...children) {
  return fill(document.createElement(name), attributes, children);
}

/** The same for an SVG element. */
export function s(name, attributes, ...children) {
  return fill(document.createElementNS(SVG, name), attributes, children);
}

function fill(element, attributes, children) {
  for (const [name, value] of Object.entries(attributes ?? {})) {
    if (value === null || value === undefined || value === false) continue;
    if (name === "text") element.textContent = value;
    else if (name === "value") element.value = value;
    else if (name.startsWith("on")) element.addEventListener(name.slice(2), value);
    else element.setAttribute(name, value === true ? "" : String(value));
  }
  for (const child of children.flat()) {
    if (child !== null && child !== undefined && child !== false) element.append(child);
  }
  return element;
}

/** A button with an icon, its words beside it or only for those who do not see it. */
export function button(words, { sign, quiet = false, ...attributes } = {}, action) {
  return h("button", { type: "button", title: quiet ? words : null, onclick: action, ...attributes },
    sign ? icon(sign) : null, h("span", { class: quiet ? "unseen" : "words", text: words }));
}

/** Put children in place of what an element holds. */
export function put(element, ...children) {
  element.replaceChildren(...children.flat().filter(Boolean));
  return element;
}

/** Do what changes the page, and keep the field in which one types where it is seen. */
export function holding(work) {
  const field = document.activeElement;
  const before = field?.matches?.("input, select, textarea") ? field.getBoundingClientRect().top : null;
  work();
  if (before === null || !field.isConnected) return;
  const off = field.getBoundingClientRect().top - before;
  if (Math.abs(off) < 1) return;
  let around = field.parentElement;
  while (around && !(around.scrollHeight > around.clientHeight + 1 && /auto|scroll/.test(getComputedStyle(around).overflowY))) around = around.parentElement;
  (around ?? document.scrollingElement).scrollTop += off;
}

let told = "";

/** Say something to those who listen to the page. */
export function say(words) {
  if (!words || words === told) return;
  told = words;
  const said = document.getElementById("said");
  if (said) said.textContent = words;
  setTimeout(() => { if (told === words) told = ""; }, 3000);
}

const HARMLESS = new Set(["svg", "g", "path", "rect", "circle", "ellipse", "line", "polyline", "polygon", "text", "tspan",
  "title", "desc", "defs", "clipPath", "pattern", "marker", "use", "mask"]);

/** A picture from the server as an element: only shapes and letters, nothing that acts or fetches. */
export function picture(text) {
  const parsed = new DOMParser().parseFromString(text, "image/svg+xml");
  const root = parsed.documentElement;
  if (root.localName !== "svg" || root.namespaceURI !== SVG) return null;
  for (const element of [root, ...root.querySelectorAll("*")]) {
    if (element.namespaceURI !== SVG || !HARMLESS.has(element.localName)) {
      element.remove();
      continue;
    }
    for (const attribute of [...element.attributes]) {
      const name = attribute.name.toLowerCase();
      const fetches = /url\(\s*["']?(?!#)/i.test(attribute.value) || (/href$/.test(name) && !attribute.value.startsWith("#"));
      if (name.startsWith("on") || name === "style" || fetches) element.removeAttribute(attribute.name);
    }
  }
  return document.importNode(root, true);
}

/** A number that only this page uses, for ids. */
let count = 0;
export const fresh = (stem) => `${stem}-${++count}`;

/** Whether the person asked for less motion. */
export const still = () => matchMedia("(prefers-reduced-motion: reduce)").matches;

/** Hand bytes to the browser's downloads. */
export function download(name, blob) {
  const address = URL.createObjectURL(blob);
  const link = h("a", { href: address, download: name });
  document.body.append(link);
  link.click();
  link.remove();
  setTimeout(() => URL.revokeObjectURL(address), 10_000);
}

/** Bytes of base64 text. */
export function bytes(base64) {
  return Uint8Array.from(atob(base64), (c) => c.charCodeAt(0));
}

/** Seconds as a person says them. */
export function duration(seconds) {
  const all = Math.round(seconds);
  const minutes = Math.floor(all / 60);
  return minutes ? `${minutes} min ${String(all % 60).padStart(2, "0")} s` : `${all} s`;
}

/** A message as a sentence: findings are written to stand after a word that names their weight. */
export function sentence(text) {
  const whole = /^[a-z]+[ ,]/.test(text) ? text[0].toUpperCase() + text.slice(1) : text;
  return /[.!?:]$/.test(whole) ? whole : `${whole}.`;
}

/** A message with what helps, by its weight; `weight` is error, warning or hint. */
export function note(weight, message, help) {
  return h("li", { class: `finding is-${weight}` }, h("p", { class: "sentence" }, icon(weight), h("span", { text: sentence(message) })),
    help ? h("p", { class: "help", text: sentence(help) }) : null);
}

/** Several of them; many are folded away behind how many they are. */
export function notes(items) {
  if (!items.length) return null;
  const all = h("ul", { class: "findings" }, items);
  return items.length < 4 ? all : h("details", { class: "section" }, h("summary", {}, h("span", { class: "title", text: `${items.length} things to know` })), all);
}
