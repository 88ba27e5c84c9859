/** What the graphics card runs: faces, lines and marks. Colours are mixed as the screen has them, as in a style sheet. */

const STATE = `
precision highp float; precision highp int; precision highp sampler2D;
uniform mat4 modelViewMatrix, projectionMatrix;
uniform sampler2D states;
vec4 at(int owner, int place) { return texelFetch(states, ivec2(place, owner), 0); }
vec3 stand(int owner, vec3 p) {
  vec4 q = vec4(p, 1.0);
  return vec3(dot(at(owner, 5), q), dot(at(owner, 6), q), dot(at(owner, 7), q));
}
vec3 turn(int owner, vec3 n) { return vec3(dot(at(owner, 5).xyz, n), dot(at(owner, 6).xyz, n), dot(at(owner, 7).xyz, n)); }
`;

const GROUND = `
precision highp float; precision highp int;
uniform vec3 ground; uniform vec2 haze; uniform float dark; uniform vec4 cut;
out vec4 colour;
vec3 hazed(vec3 c, float depth) {
  float far = clamp((depth - haze.x) / max(haze.y - haze.x, 1.0), 0.0, 1.0);
  return mix(c, ground, mix(0.42, 0.34, dark) * far * far);
}
`;

export const FACES = {
  vertexShader: `${STATE}
in vec3 position; in vec3 normal; in float owner; in float along;
out vec3 seen; out vec3 facing; out vec3 spot; out float far; out float high;
flat out vec4 face; flat out vec4 second; flat out vec4 outline; flat out vec2 bands; flat out float own;
void main() {
  int o = int(owner + 0.5);
#ifdef OPENING
  vec3 p = position, n = normal;
#else
  vec3 p = stand(o, position), n = turn(o, normal);
#endif
  vec4 eye = modelViewMatrix * vec4(p, 1.0);
  seen = eye.xyz; spot = p; far = along; high = n.z;
  facing = mat3(modelViewMatrix) * n;
  face = at(o, 0); second = at(o, 1); outline = at(o, 3); bands = at(o, 4).xy; own = owner;
  gl_Position = projectionMatrix * eye;
}`,
  fragmentShader: `${GROUND}
uniform float flat_view; uniform float ratio;
in vec3 seen; in vec3 facing; in vec3 spot; in float far; in float high;
flat in vec4 face; flat in vec4 second; flat in vec4 outline; flat in vec2 bands; flat in float own;
float band() {
  if (second.a < 0.5) return 0.0;
  if (bands.x <= 0.0) return far > 0.5 ? 1.0 : 0.0;
  if (far < 0.0) return 0.0;
  float at = mod(far, bands.x), wide = max(fwidth(far), 1e-4) * 0.5, edge = bands.y * bands.x;
  return clamp(min(at, edge - at) / wide + 0.5, 0.0, 1.0) + clamp((at - bands.x) / wide + 0.5, 0.0, 1.0);
}
void main() {
#ifdef OPENING
  // What the saw lays open: the thing's own colour, flat, and hatched where it is no tube.
  float stripe = abs(fract((gl_FragCoord.x + gl_FragCoord.y) / (9.0 * ratio)) - 0.5) * 9.0 * ratio;
  float hatch = far > 0.5 ? 0.30 * clamp(1.0 - stripe / ratio + 0.5, 0.0, 1.0) : 0.0;
  colour = vec4(mix(face.rgb, outline.rgb, hatch), 1.0);
  return;
#endif
  if (dot(cut.xyz, spot) > cut.w) discard;
  vec3 n = normalize(facing);
  if (!gl_FrontFacing) n = -n;
  vec3 view = flat_view > 0.5 ? vec3(0.0, 0.0, 1.0) : normalize(-seen);
  float key = clamp(dot(n, vec3(-0.36, 0.60, 0.71)), -1.0, 1.0) * 0.5 + 0.5;
  float sky = (gl_FrontFacing ? high : -high) * 0.5 + 0.5;
  vec3 c = mix(face.rgb, second.rgb, clamp(band(), 0.0, 1.0));
  c *= 0.50 + 0.42 * key * key + 0.14 * sky;
#ifdef ROUND
  c += 0.16 * pow(clamp(dot(reflect(-view, n), vec3(-0.36, 0.60, 0.71)), 0.0, 1.0), 18.0);
  float side = sqrt(max(0.0, 1.0 - pow(dot(n, view), 2.0)));
  float step = max(fwidth(side), 1e-5);
  float rim = (1.0 - side) / step;
  float px = min(outline.a * ratio, 0.3 / step);
  c = mix(c, outline.rgb, step < 1e-3 ? 0.0 : clamp(px - rim + 0.5, 0.0, 1.0));
#endif
  colour = vec4(hazed(min(c, 1.0), -seen.z), face.a);
}`,
};

export const LINES = {
  vertexShader: `${STATE}
in vec2 position; in vec3 one; in vec3 other; in float owner;
uniform vec2 screen; uniform float ratio; uniform float nearest;
out vec3 spot; out float across; out float far; flat out vec4 ink; flat out float half_px;
void main() {
  int o = int(owner + 0.5);
#ifdef OPENING
  vec3 p = one, q = other;
#else
  vec3 p = stand(o, one), q = stand(o, other);
#endif
  vec4 a = modelViewMatrix * vec4(p, 1.0), b = modelViewMatrix * vec4(q, 1.0);
  if (a.z > -nearest && b.z < -nearest) { float t = (a.z + nearest) / (a.z - b.z); a = mix(a, b, t); p = mix(p, q, t); }
  if (b.z > -nearest && a.z < -nearest) { float t = (b.z + nearest) / (b.z - a.z); b = mix(b, a, t); q = mix(q, p, t); }
  vec4 m = projectionMatrix * a, n = projectionMatrix * b;
  vec2 way = (n.xy / n.w - m.xy / m.w) * screen;
  vec2 along = length(way) > 1e-6 ? normalize(way) : vec2(1.0, 0.0);
#ifdef OPENING
  vec4 line = vec4(0.10, 0.09, 0.08, 1.5);
  float strength = 1.0;
#else
  vec4 line = at(o, 2);
  float strength = at(o, 4).z;
#endif
  half_px = 0.5 * max(line.a * ratio, 0.0);
  ink = vec4(line.rgb, line.a > 0.0 ? strength : 0.0);
  float reach = half_px + 0.75;
  across = position.y * reach;
  vec2 shift = vec2(-along.y, along.x) * across + along * (position.x * 2.0 - 1.0) * 0.5 * half_px;
  vec4 base = position.x < 0.5 ? m : n;
  spot = position.x < 0.5 ? p : q;
  far = position.x < 0.5 ? -a.z : -b.z;
  base.xy += shift / screen * 2.0 * base.w;
  base.z -= 2e-5 * base.w;
  gl_Position = ink.a > 0.0 ? base : vec4(2.0, 2.0, 2.0, 1.0);
}`,
  fragmentShader: `${GROUND}
in vec3 spot; in float across; in float far; flat in vec4 ink; flat in float half_px;
void main() {
#ifndef OPENING
  if (dot(cut.xyz, spot) > cut.w + 1e-3) discard;
#endif
  float cover = clamp(half_px + 0.5 - abs(across), 0.0, 1.0) * min(1.0, 2.0 * half_px);
  colour = vec4(hazed(mix(ink.rgb, vec3(0.86, 0.83, 0.78), dark * 0.45), far), ink.a * cover);
}`,
};

export const MARKS = {
  vertexShader: `
precision highp float;
uniform mat4 modelViewMatrix, projectionMatrix; uniform vec2 screen; uniform float ratio;
in vec2 position; in vec3 one; in vec3 other; in vec2 shape; in vec3 fill; in vec3 rim;
out vec2 px; flat out vec2 kind; flat out vec3 inside; flat out vec3 border; flat out float length_px; flat out vec2 badge;
vec2 spot(vec3 p) {
  vec4 q = projectionMatrix * modelViewMatrix * vec4(p, 1.0);
  return q.w > 1e-6 ? 0.5 * q.xy / q.w * screen / ratio : vec2(1e6);
}
void main() {
  vec2 a = spot(one), b = spot(other), half_screen = 0.5 * screen / ratio;
  vec2 way = b - a;
  length_px = length(way);
  vec2 along = length_px > 1e-3 ? way / length_px : vec2(1.0, 0.0);
  kind = shape; inside = fill; border = rim;
  // The badge stands towards the upper right, or inwards where the picture ends.
  badge = shape.y * normalize(vec2(1.0, 0.9)) * vec2(a.x > half_screen.x - 70.0 ? -1.0 : 1.0, a.y > half_screen.y - 70.0 ? -1.0 : 1.0);
  vec2 at;
  if (shape.x > 4.5) {
    px = vec2(position.x > 0.0 ? length_px + 6.0 : -6.0, position.y * 6.0);
    at = a + along * px.x + vec2(-along.y, along.x) * px.y;
  } else {
    float reach = shape.y > 0.0 ? shape.y + 24.0 : 26.0;
    px = position * reach;
    at = a + px;
  }
  gl_Position = vec4(at / half_screen, 0.0, 1.0);
}`,
  fragmentShader: `
precision highp float;
uniform float ratio; uniform float dark;
in vec2 px; flat in vec2 kind; flat in vec3 inside; flat in vec3 border; flat in float length_px; flat in vec2 badge;
out vec4 colour;
float over(float d) { return clamp(0.5 - d * ratio, 0.0, 1.0); }
float piece(vec2 p, vec2 a, vec2 b) { vec2 w = b - a; return length(p - a - w * clamp(dot(p - a, w) / max(dot(w, w), 1e-6), 0.0, 1.0)); }
float triangle(vec2 p) { p.y += 2.0; p.x = abs(p.x); return max(dot(p, vec2(0.866, 0.5)) - 6.2, -p.y - 6.2); }
float square(vec2 p) { vec2 q = abs(p) - 8.5; return max(q.x, q.y); }
void mixin(float d, vec3 c) { float k = over(d); colour = vec4(mix(colour.rgb, c, k), max(colour.a, k)); }
void main() {
  colour = vec4(border, 0.0);
  vec3 ink = mix(vec3(0.125, 0.14, 0.165), vec3(0.96, 0.94, 0.90), dark);
  vec3 halo = mix(vec3(1.0), vec3(0.10, 0.09, 0.08), dark);
  if (kind.x > 4.5) {
    float d = piece(px, vec2(0.0), vec2(length_px, 0.0));
    mixin(d - 2.4, halo);
    mixin(d - 0.9, ink);
  } else if (kind.x > 3.5) {
    mixin(length(px) - 5.6, halo); mixin(length(px) - 4.2, ink); mixin(length(px) - 1.6, halo);
  } else if (kind.x < 0.5) {
    float d = abs(length(px) - 15.0);
    mixin(d - 2.8, halo); mixin(d - 1.3, ink);
  } else {
    float d = piece(px, normalize(badge) * 15.0, badge);
    mixin(d - 2.0, halo); mixin(d - 0.7, ink);
    vec2 p = px - badge;
    float s = kind.x < 1.5 ? length(p) - 10.0 : kind.x < 2.5 ? triangle(p) - 2.0 : square(p);
    mixin(s - 2.6, halo); mixin(s - 1.4, border); mixin(s, inside);
    if (kind.x > 1.5 && kind.x < 2.5) mixin(s, inside);
  }
  if (colour.a < 0.004) discard;
}`,
};
