// Signs drawn for this page, on a square of 24, in strokes of the letters' colour.

const SIGNS = {
  measure: "M3 8h18v8H3zM7 8v4M11 8v3M15 8v4M19 8v3",
  fold: "M4 17h16M4 17V9l8-4M20 17V9M4 9l16 0",
  layout: "M4 4h16v16H4zM7 7h6v5H7zM7 15h4v2H7zM16 7v10",
  cut: "M5 19l8-8M13 11l4-7 3 3-7 4zM4 20l3-1-2-2z",
  take: "M5 13v6h14v-6M12 4v10M8 11l4 4 4-4",
  undo: "M9 6L4 11l5 5M4 11h9a6 6 0 0 1 6 6v1",
  redo: "M15 6l5 5-5 5M20 11h-9a6 6 0 0 0-6 6v1",
  open: "M4 7h6l2 2h8v10H4zM12 17v-5M9.500 14.500l2.500-2.500 2.500 2.500",
  save: "M5 4h11l3 3v13H5zM8 4v5h7V4M8 20v-6h8v6",
  fresh: "M6 3h8l4 4v14H6zM12 10v7M8.500 13.500h7",
  play: "M7 5l12 7-12 7z",
  pause: "M8 5v14M16 5v14",
  plus: "M12 5v14M5 12h14",
  minus: "M5 12h14",
  left: "M15 5l-7 7 7 7",
  right: "M9 5l7 7-7 7",
  up: "M5 15l7-7 7 7",
  down: "M5 9l7 7 7-7",
  whole: "M4 9V4h5M20 9V4h-5M4 15v5h5M20 15v5h-5",
  check: "M5 13l4 4L19 7",
  error: "M12 3l9 9-9 9-9-9zM12 8v5M12 15.500v.5",
  warning: "M12 4l9 16H3zM12 10v5M12 17v.5",
  hint: "M12 3a9 9 0 1 0 0 18 9 9 0 0 0 0-18zM12 11v6M12 7.500v.5",
  back: "M5 12h14M5 12l5-5M5 12l5 5",
  print: "M7 9V4h10v5M7 17H4V9h16v8h-3M7 14h10v6H7z",
};

/** A sign, hidden from those who listen: words stand beside it. */
export function icon(name) {
  const svg = document.createElementNS("http://www.w3.org/2000/svg", "svg");
  svg.setAttribute("viewBox", "0 0 24 24");
  svg.setAttribute("class", `sign sign-${name}`);
  svg.setAttribute("aria-hidden", "true");
  svg.setAttribute("focusable", "false");
  const path = document.createElementNS("http://www.w3.org/2000/svg", "path");
  path.setAttribute("d", SIGNS[name] ?? "");
  svg.append(path);
  return svg;
}
