// What the graphics processor is told: faces with a pattern for each kind of layer, and outlines of even width.

/** How each kind of layer looks; `pattern` tells them apart without colour. */
export const LOOKS = {
  board: { words: "board", color: [0.73, 0.62, 0.48], pattern: 0 },
  cloth: { words: "cloth", color: [0.22, 0.4, 0.55], pattern: 1 },
  "turn-in": { words: "turn-in", color: [0.47, 0.63, 0.74], pattern: 2 },
  patch: { words: "patch", color: [0.85, 0.55, 0.2], pattern: 3 },
  "hinge-strip": { words: "hinge strip", color: [0.3, 0.48, 0.62], pattern: 1 },
  paper: { words: "paper of the sides", color: [0.62, 0.3, 0.26], pattern: 7 },
  liner: { words: "liner", color: [0.92, 0.87, 0.74], pattern: 4 },
  strap: { words: "strap", color: [0.28, 0.2, 0.3], pattern: 5 },
  contents: { words: "the works", color: [0.98, 0.97, 0.94], pattern: 6 },
};

export const look = (kind) => LOOKS[kind] ?? LOOKS.board;

const FACE_VERTEX = `#version 300 es
layout(location=0) in vec3 at;
layout(location=1) in vec3 out_;
uniform mat4 eye;
uniform mat4 place;
out vec3 flat_;
out vec3 normal;
out vec3 flatNormal;
void main() {
  flat_ = at;
  flatNormal = out_;
  normal = mat3(place) * out_;
  gl_Position = eye * place * vec4(at, 1.0);
}`;

const FACE_FRAGMENT = `#version 300 es
precision highp float;
in vec3 flat_;
in vec3 normal;
in vec3 flatNormal;
uniform vec3 color;
uniform vec3 toEye;
uniform int pattern;
uniform float lit;
uniform float grain;
out vec4 pixel;
float stripe(float v, float period, float share) {
  float w = fwidth(v) / period;
  float x = abs(fract(v / period) - 0.5) * 2.0;
  float on = 1.0 - smoothstep(share - w * 2.0, share + w * 2.0, x);
  return mix(on, share, clamp(w * 2.0 - 0.4, 0.0, 1.0));
}
void main() {
  vec3 n = normalize(normal);
  if (dot(n, toEye) < 0.0) n = -n;
  vec3 key = normalize(vec3(-0.45, -0.35, 0.82));
  float bright = 0.58 + 0.36 * max(dot(n, key), 0.0) + 0.10 * max(dot(n, toEye), 0.0);
  bool isFace = abs(flatNormal.z) > 0.5;
  float mark = 0.0;
  float g = grain;
  if (pattern == 1 && isFace) mark = 0.16 * stripe(flat_.x, g, 0.3) + 0.16 * stripe(flat_.y, g, 0.3);
  if (pattern == 2) mark = 0.26 * stripe(flat_.x + flat_.y + flat_.z, g * 1.6, 0.35);
  if (pattern == 3) { vec2 c = fract(flat_.xy / g) - 0.5; mark = 0.35 * (1.0 - smoothstep(0.22, 0.3, length(c))); }
  if (pattern == 4 && isFace) mark = 0.09 * stripe(flat_.y, g * 1.5, 0.25);
  if (pattern == 7 && isFace) mark = 0.14 * stripe(flat_.x + flat_.y, g * 2.2, 0.2);
  if (pattern == 5) mark = -0.35 * stripe(flat_.x - flat_.y, g, 0.3);
  if (pattern == 6 && !isFace) mark = 0.3 * stripe(flat_.z, max(g * 0.22, 0.35), 0.4);
  vec3 c = color * bright * (1.0 - mark);
  if (lit > 0.5) c = mix(c, vec3(1.0, 0.78, 0.2), 0.5 + 0.2 * stripe(flat_.x - flat_.y, g * 2.0, 0.5));
  pixel = vec4(c, 1.0);
}`;

const LINE_VERTEX = `#version 300 es
layout(location=0) in vec2 corner;
layout(location=1) in vec3 from;
layout(location=2) in vec3 to;
uniform mat4 eye;
uniform mat4 place;
uniform vec2 screen;
uniform float width;
void main() {
  vec4 a = eye * place * vec4(from, 1.0);
  vec4 b = eye * place * vec4(to, 1.0);
  vec2 p = a.xy / a.w * screen, q = b.xy / b.w * screen;
  vec2 d = q - p;
  d = length(d) > 0.0001 ? normalize(d) : vec2(1.0, 0.0);
  vec4 it = corner.x < 0.5 ? a : b;
  vec2 side = vec2(-d.y, d.x) * corner.y * width;
  gl_Position = it + vec4(side / screen * it.w, -0.0004 * it.w, 0.0);
}`;

const LINE_FRAGMENT = `#version 300 es
precision mediump float;
uniform vec4 color;
out vec4 pixel;
void main() { pixel = vec4(color.rgb * color.a, color.a); }`;

function program(gl, vertex, fragment, names) {
  const it = gl.createProgram();
  for (const [kind, text] of [[gl.VERTEX_SHADER, vertex], [gl.FRAGMENT_SHADER, fragment]]) {
    const shader = gl.createShader(kind);
    gl.shaderSource(shader, text);
    gl.compileShader(shader);
    if (!gl.getShaderParameter(shader, gl.COMPILE_STATUS)) throw new Error(gl.getShaderInfoLog(shader) ?? "shader");
    gl.attachShader(it, shader);
  }
  gl.linkProgram(it);
  if (!gl.getProgramParameter(it, gl.LINK_STATUS)) throw new Error(gl.getProgramInfoLog(it) ?? "link");
  return { it, at: Object.fromEntries(names.map((name) => [name, gl.getUniformLocation(it, name)])) };
}

export const faces = (gl) => program(gl, FACE_VERTEX, FACE_FRAGMENT, ["eye", "place", "color", "toEye", "pattern", "lit", "grain"]);
export const lines = (gl) => program(gl, LINE_VERTEX, LINE_FRAGMENT, ["eye", "place", "screen", "width", "color"]);
