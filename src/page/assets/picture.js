// A picture that is zoomed and moved with mouse, fingers and keys.

import { button, h, put } from "page/dom.js";

/** A frame for pictures; `set(svg, name)` shows one, and keeps zoom and place while the name stays. */
export function viewer(label) {
  const frame = h("div", { class: "picture", tabindex: "0", role: "application", "aria-roledescription": "picture" , "aria-label": label });
  const tools = h("div", { class: "eyes", role: "group", "aria-label": "Look at the picture" },
    [["Nearer", "plus", () => zoom(0.7)], ["Farther", "minus", () => zoom(1.43)], ["The whole picture", "whole", whole]]
      .map(([words, sign, then]) => button(words, { sign, quiet: true }, then)));
  const element = h("div", { class: "picture-box" }, frame, tools);
  let size = 0, svg = null, all = [0, 0, 1, 1], now = [0, 0, 1, 1], name = null;

  function set(picture, called, words) {
    const keeps = called === name && svg;
    svg = picture;
    name = called;
    frame.setAttribute("aria-label", words ?? label);
    put(frame, picture);
    if (!picture) return;
    const box = (picture.getAttribute("viewBox") ?? "0 0 100 100").trim().split(/[\s,]+/).map(Number);
    picture.removeAttribute("width");
    picture.removeAttribute("height");
    picture.setAttribute("aria-hidden", "true");
    // A rim, for a sheet's own edge and for a tool that waits beside it.
    const rim = Math.max(box[2], box[3]) * 0.035;
    [box[0], box[1], box[2], box[3]] = [box[0] - rim, box[1] - rim, box[2] + 2 * rim, box[3] + 2 * rim];
    frame.style.setProperty("aspect-ratio", `${box[2]} / ${box[3]}`);
    // A layout that changed is shown whole; while it stays, zoom and place do.
    const drawn = picture.innerHTML.length;
    const same = keeps && drawn === size && box.every((v, i) => v === all[i]);
    size = drawn;
    all = box;
    if (!same) now = [...box];
    show();
  }

  function show() {
    svg?.setAttribute("viewBox", now.map((v) => v.toFixed(3)).join(" "));
    frame.classList.toggle("is-near", now[2] < all[2] * 0.99);
  }

  function hold() {
    // At least a piece of the picture stays in view.
    for (const i of [0, 1]) {
      const size = now[i + 2];
      now[i] = Math.max(all[i] - size * 0.8, Math.min(all[i] + all[i + 2] - size * 0.2, now[i]));
    }
  }

  function zoom(by, at) {
    const share = Math.max(all[2] / 60, Math.min(all[2] * 1.5, now[2] * by)) / now[2];
    const [x, y] = at ?? [now[0] + now[2] / 2, now[1] + now[3] / 2];
    now = [x + (now[0] - x) * share, y + (now[1] - y) * share, now[2] * share, now[3] * share];
    hold();
    show();
  }

  function move(dx, dy) {
    now[0] += dx;
    now[1] += dy;
    hold();
    show();
  }

  function whole() {
    now = [...all];
    show();
  }

  const units = () => 1 / (svg?.getScreenCTM()?.a || 1);
  const where = (event) => {
    const m = svg?.getScreenCTM()?.inverse();
    return m ? [m.a * event.clientX + m.e, m.d * event.clientY + m.f] : null;
  };
  const fingers = new Map();
  let apart = 0;
  frame.addEventListener("pointerdown", (event) => {
    if (event.pointerType === "mouse" && event.button !== 0) return;
    fingers.set(event.pointerId, event);
  });
  frame.addEventListener("pointermove", (event) => {
    const before = fingers.get(event.pointerId);
    if (!before) return;
    if (!frame.hasPointerCapture(event.pointerId)) {
      if (Math.hypot(event.clientX - before.clientX, event.clientY - before.clientY) < 4 && fingers.size === 1) return;
      frame.setPointerCapture(event.pointerId);
    }
    fingers.set(event.pointerId, event);
    if (fingers.size === 1) return move((before.clientX - event.clientX) * units(), (before.clientY - event.clientY) * units());
    const [a, b] = [...fingers.values()];
    const gap = Math.hypot(a.clientX - b.clientX, a.clientY - b.clientY);
    if (apart) zoom(apart / gap, where({ clientX: (a.clientX + b.clientX) / 2, clientY: (a.clientY + b.clientY) / 2 }));
    apart = gap;
  });
  const up = (event) => { fingers.delete(event.pointerId); apart = 0; };
  frame.addEventListener("pointerup", up);
  frame.addEventListener("pointercancel", up);
  frame.addEventListener("pointerleave", (event) => { if (!frame.hasPointerCapture(event.pointerId)) up(event); });
  frame.addEventListener("wheel", (event) => {
    // A page that is scrolled past is not zoomed by chance.
    if (document.activeElement !== frame && !event.ctrlKey) return;
    event.preventDefault();
    zoom(Math.exp(event.deltaY * 0.0015), where(event));
  }, { passive: false });
  frame.addEventListener("keydown", (event) => {
    const step = now[2] * 0.08;
    const does = { ArrowLeft: () => move(-step, 0), ArrowRight: () => move(step, 0), ArrowUp: () => move(0, -step), ArrowDown: () => move(0, step),
      "+": () => zoom(0.8), "=": () => zoom(0.8), "-": () => zoom(1.25), Home: whole }[event.key];
    if (!does || event.ctrlKey || event.metaKey || event.altKey) return;
    event.preventDefault();
    does();
  });
  return { element, frame, set, whole, zoom };
}

/** Where the sheet lies in its picture: the first rectangle of its size. */
export function sheetIn(svg, [w, d]) {
  for (const rect of svg.querySelectorAll("rect")) {
    const number = (name) => Number(rect.getAttribute(name));
    if (Math.abs(number("width") - w) < 0.01 && Math.abs(number("height") - d) < 0.01) return { x: number("x"), y: number("y") };
  }
  return { x: 0, y: 0 };
}
