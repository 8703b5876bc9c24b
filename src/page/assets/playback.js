// A program played back over the picture of its sheet: where the tool is, what it has cut, the line it is at.

import { button, duration, fresh, h, note, notes, picture, put, s, still } from "page/dom.js";
import { icon } from "page/icons.js";
import { sheetIn, viewer } from "page/picture.js";

const SPEEDS = [1, 2, 5, 10, 20, 50, 100];
const CHUNK = 400;
const AROUND = 4;

/** Build a player; `set(programs)` gives it the programs. */
export function player() {
  const id = fresh("play");
  const which = h("select", { id: `${id}-which`, onchange: () => load(programs[which.selectedIndex]) });
  const view = viewer("A program over its sheet");
  const play = button("Play", { sign: "play", class: "play" }, () => (timer ? stop() : start()));
  const back = button("Line before", { sign: "left", quiet: true }, () => byLine(-1));
  const on = button("Line after", { sign: "right", quiet: true }, () => byLine(1));
  const slider = h("input", { type: "range", id: `${id}-time`, min: 0, max: 1, step: "any", value: 0, oninput: () => { stop(); seek(Number(slider.value)); } });
  const clock = h("output", { class: "clock", for: `${id}-time` });
  const speed = h("select", { id: `${id}-speed` }, SPEEDS.map((n) => h("option", { value: n, text: n === 1 ? "as it runs" : `${n} times` })));
  speed.value = "20";
  const doing = h("p", { class: "doing" });
  const lines = h("ol", { class: "program" });
  const about = h("p", { class: "about" });
  const told = h("div");
  const element = h("div", { class: "player" },
    h("div", { class: "row" }, h("label", { for: which.id, text: "Program" }), h("span", { class: "entry wide" }, which)), about,
    view.element,
    h("div", { class: "running" }, play, back, on, h("label", { class: "unseen", for: slider.id, text: "Moment of the run" }), slider, clock,
      h("span", { class: "speed" }, h("label", { for: speed.id, text: "Speed" }), speed)),
    doing, h("div", { class: "program-box", tabindex: "0", role: "region", "aria-label": "The program around this moment" }, lines), told);
  let programs = [], now = null, time = 0, timer = 0, layer = null, tool = null, chunks = [];

  function set(list) {
    stop();
    const before = now?.file, at = time;
    programs = list;
    put(which, list.map((p) => h("option", { text: p.file })));
    element.hidden = !list.length;
    const again = list.find((p) => p.file === before) ?? list[0];
    if (!again) return;
    which.selectedIndex = list.indexOf(again);
    load(again, again.file === before ? at : 0);
  }

  function load(program, at = 0) {
    stop();
    now = program;
    about.textContent = program.words || duration(program.seconds);
    put(told, notes([...program.findings.map((f) => note(f.severity, f.message, f.help)), ...program.notes.map((text) => note("hint", text))]));
    const svg = picture(program.sheetSvg);
    chunks = [];
    if (svg) {
      const { x, y } = sheetIn(svg, program.size);
      svg.classList.add("under-tool");
      layer = s("g", { transform: `translate(${x} ${y + program.size[1]}) scale(1 -1)`, class: "run" });
      for (let i = 0; i < program.moves.length; i += CHUNK) {
        const chunk = { from: i, to: Math.min(program.moves.length, i + CHUNK), cut: s("path", { class: "done" }), way: s("path", { class: "travel" }), drawn: i };
        chunks.push(chunk);
        layer.append(chunk.way, chunk.cut);
      }
      const unit = Math.max(...program.size) / 100;
      tool = s("g", { class: "tool" }, s("circle", { class: "ring", r: 1.6 * unit }), s("circle", { class: "tip", r: 0.65 * unit }),
        s("path", { class: "hairs", d: `M${-2.6 * unit} 0H${-unit}M${unit} 0H${2.6 * unit}M0 ${-2.6 * unit}V${-unit}M0 ${unit}V${2.6 * unit}` }));
      layer.append(tool);
      svg.append(layer);
    }
    view.set(svg, program.file, `${program.file} over its sheet; the moment is told in words below.`);
    slider.max = program.seconds || 1;
    seek(Math.min(at, program.seconds));
  }

  /** The move that ends at or after a time. */
  function moveAt(t) {
    let [low, high] = [0, now.moves.length - 1];
    while (low < high) {
      const middle = (low + high) >> 1;
      if (now.moves[middle][0] < t) low = middle + 1;
      else high = middle;
    }
    return low;
  }

  function seek(t) {
    if (!now?.moves.length) return;
    time = Math.max(0, Math.min(now.seconds, t));
    const i = moveAt(time);
    const move = now.moves[i], before = now.moves[i - 1] ?? move;
    const share = move[0] > before[0] ? Math.max(0, Math.min(1, (time - before[0]) / (move[0] - before[0]))) : 1;
    const [x, y] = [1, 2].map((k) => before[k] + (move[k] - before[k]) * share);
    const z = move[3] === null || before[3] === null ? move[3] : before[3] + (move[3] - before[3]) * share;
    const isDown = move[4] === 1;
    if (tool) {
      trail(i, x, y);
      tool.setAttribute("transform", `translate(${x} ${y})`);
      tool.classList.toggle("is-down", isDown);
    }
    slider.value = time;
    clock.textContent = `${duration(time)} of ${duration(now.seconds)}`;
    const words = `${isDown ? "Tool down, working" : "Tool up, on its way"} at ${x.toFixed(1)}, ${y.toFixed(1)} mm${z === null ? "" : `, ${z.toFixed(1)} mm above the bed`}`;
    doing.textContent = words;
    doing.classList.toggle("is-down", isDown);
    slider.setAttribute("aria-valuetext", `${clock.textContent}. ${words}. Line ${move[5] + 1}: ${now.lines[move[5]] ?? ""}`);
    context(move[5]);
  }

  /** What is cut up to a move, and to a point within it. */
  function trail(i, x, y) {
    for (const chunk of chunks) {
      const end = i >= chunk.to ? chunk.to : Math.max(chunk.from, Math.min(i, chunk.to));
      const isIn = i >= chunk.from && i < chunk.to;
      if (!isIn && chunk.drawn === end) continue;
      let cut = "", way = "";
      let last = 0;
      for (let k = chunk.from; k < end; k++) {
        const [, mx, my, , down] = now.moves[k];
        const [, px, py] = now.moves[k - 1] ?? now.moves[k];
        const piece = `L${mx} ${my}`;
        const start = k === chunk.from || last !== down + 1 ? `M${px} ${py}` : "";
        if (down) cut += start + piece;
        else way += start + piece;
        last = down + 1;
      }
      if (isIn) {
        const [, px, py] = now.moves[i - 1] ?? now.moves[i];
        const piece = `M${px} ${py}L${x} ${y}`;
        if (now.moves[i][4]) cut += piece;
        else way += piece;
      }
      chunk.cut.setAttribute("d", cut);
      chunk.way.setAttribute("d", way);
      chunk.drawn = isIn ? -1 : end;
    }
  }

  let shown = -1;
  function context(line) {
    const mark = line + now.file.length * 1e7;
    if (mark === shown && lines.children.length) return;
    shown = mark;
    const from = Math.max(0, Math.min(line - AROUND, now.lines.length - 2 * AROUND - 1));
    put(lines, now.lines.slice(from, from + 2 * AROUND + 1).map((text, k) => h("li", { value: from + k + 1, "aria-current": from + k === line ? "true" : null },
      h("span", { class: "number", text: from + k + 1 }), h("code", { text: text || " " }))));
  }

  function byLine(way) {
    stop();
    if (!now) return;
    const i = moveAt(time), line = now.moves[i][5];
    if (way > 0) {
      const next = now.moves.slice(i + 1).find((m) => m[5] > line);
      if (next) seek(next[0]);
      else seek(now.seconds);
    } else {
      let k = i;
      while (k > 0 && now.moves[k][5] >= line) k--;
      seek(now.moves[k][0]);
    }
  }

  function start() {
    if (!now) return;
    if (time >= now.seconds) seek(0);
    if (still()) {
      // A step at a time: to the next place where the tool goes up or down.
      const i = moveAt(time), down = now.moves[i][4];
      const next = now.moves.slice(i + 1).find((m) => m[4] !== down);
      seek(next ? next[0] : now.seconds);
      return;
    }
    let last = performance.now();
    const step = (at) => {
      seek(time + ((at - last) / 1000) * Number(speed.value));
      last = at;
      if (time < now.seconds) timer = requestAnimationFrame(step);
      else stop();
    };
    timer = requestAnimationFrame(step);
    face(true);
  }

  function stop() {
    cancelAnimationFrame(timer);
    timer = 0;
    face(false);
  }

  function face(isOn) {
    const words = still() ? "Next stroke" : isOn ? "Hold" : "Play";
    put(play, icon(isOn ? "pause" : "play"), h("span", { class: "words", text: words }));
  }

  return { element, set, stop };
}
