/** What the graphics card runs: faces, lines, marks. Colours are mixed as the screen has them, as in a style sheet. */

const STATE = `
precision highp float; precision highp int; precision highp sampler2D;
uniform mat4 modelViewMatrix, projectionMatrix;
uniform sampler2D states; uniform vec4 cut; uniform vec2 haze; uniform float dark;
vec4 at(float owner, int place) { return texelFetch(states, ivec2(place, int(owner + 0.5)), 0); }
vec3 ink(float number) { return mod(floor(vec3(number) / vec3(65536.0, 256.0, 1.0)), 256.0) / 255.0; }
float gone(vec3 p) { return dot(cut.xyz, p) - cut.w; }
float hazed(float depth) {
  float far = clamp((depth - haze.x) / max(haze.y - haze.x, 1.0), 0.0, 1.0);
  return mix(0.42, 0.34, dark) * far * far;
}
`;

const LIGHT = "const vec3 LIGHT = vec3(-0.36, 0.60, 0.71);";

/** Flat faces and those of wide bends: lit at their corners. */
export const FACES = {
  vertexShader: `${STATE}${LIGHT}
uniform vec3 ground; uniform vec3 sky;
in vec3 position; in vec3 normal; in float owner; in float along;
out vec4 tint; out float beyond;
void main() {
  vec4 eye = modelViewMatrix * vec4(position, 1.0);
  vec3 n = mat3(modelViewMatrix) * normal;
  if (dot(n, eye.xyz) * projectionMatrix[2].w + n.z * projectionMatrix[3].w < 0.0) n = -n;
  vec4 face = at(owner, 0);
  vec3 c = ink(along > 0.5 && face.z >= 0.0 ? face.z : face.x);
  float key = dot(n, LIGHT) * 0.5 + 0.5;
  c *= 0.55 + 0.42 * key * key + 0.07 * (dot(n, sky) + 1.0);
  tint = vec4(mix(min(c, 1.0), ground, hazed(-eye.z)), face.y);
  beyond = gone(position);
  gl_Position = projectionMatrix * eye;
}`,
  fragmentShader: `
precision highp float;
in vec4 tint; in float beyond;
out vec4 colour;
void main() {
#ifdef CUT
  if (beyond > 0.0) discard;
#endif
  colour = tint;
}`,
};

/** Round things: across one, the direction of its face is all that light and outline need. */
export const ROUNDS = {
  vertexShader: `${STATE}
in vec3 position; in vec3 normal; in vec3 tangent; in float owner; in float along;
out vec3 facing; out vec3 lengths; flat out vec3 face; flat out vec4 second; flat out vec4 outline; flat out vec2 bands;
flat out float opacity;
void main() {
  vec4 eye = modelViewMatrix * vec4(position, 1.0);
  vec3 n = mat3(modelViewMatrix) * normal;
  vec3 view = projectionMatrix[3].w > 0.5 ? vec3(0.0, 0.0, 1.0) : normalize(-eye.xyz);
  // Across a round thing from rim to rim, -1 to 1, whichever way it runs; 0 on its lids and where it points at the eye.
  vec3 side = cross(mat3(modelViewMatrix) * tangent, view);
  float turn = length(side);
  facing = vec3((n - dot(n, view) * view).xy, turn > 0.01 ? dot(n, side) / turn : 0.0);
  vec4 first = at(owner, 0), more = at(owner, 1);
  face = ink(first.x);
  second = first.z >= 0.0 && along >= 0.0 ? vec4(ink(first.z), 1.0) : vec4(0.0);
  outline = vec4(ink(first.w), more.z);
  bands = more.xy;
  lengths = vec3(along, gone(position), hazed(-eye.z));
  opacity = first.y;
  gl_Position = projectionMatrix * eye;
}`,
  fragmentShader: `
precision highp float;
${LIGHT}
uniform vec3 ground; uniform vec3 sky; uniform float ratio;
in vec3 facing; in vec3 lengths; flat in vec3 face; flat in vec4 second; flat in vec4 outline; flat in vec2 bands;
flat in float opacity;
out vec4 colour;
float band() {
  float at = mod(lengths.x, bands.x), wide = max(fwidth(lengths.x), 1e-4), edge = bands.y * bands.x;
  return clamp(min(at, edge - at) / wide + 0.5, 0.0, 1.0) + clamp((at - bands.x) / wide + 0.5, 0.0, 1.0);
}
void main() {
#ifdef CUT
  if (lengths.y > 0.0) discard;
#endif
  vec3 n = vec3(facing.xy, sqrt(max(0.0, 1.0 - dot(facing.xy, facing.xy))));
  vec3 c = second.a > 0.5 ? mix(face, second.rgb, min(band(), 1.0)) : face;
  float key = dot(n, LIGHT) * 0.5 + 0.5;
  c *= 0.55 + 0.42 * key * key + 0.07 * (dot(n, sky) + 1.0);
  float shine = max(dot(n, vec3(-0.19, 0.32, 0.927)), 0.0);
  shine *= shine; shine *= shine; shine *= shine; shine *= shine; shine *= shine;
  c += 0.14 * shine;
  float step = max(fwidth(facing.z), 1e-4);
  float rim = clamp(min(outline.a * ratio, 0.3 / step) - (1.0 - abs(facing.z)) / step + 0.5, 0.0, 1.0);
  c = mix(min(c, 1.0), outline.rgb, rim);
  colour = vec4(mix(c, ground, lengths.z), opacity);
}`,
};

/** What a saw lays open: the thing's own colour, hatched where it is no tube. */
export const OPENINGS = {
  vertexShader: `${STATE}
in vec3 position; in float owner; in float along;
flat out vec3 face; flat out vec4 hatch;
void main() {
  vec4 first = at(owner, 0);
  face = ink(first.x) * mix(1.0, 0.7, dark); // so that what is cut does not glare in the dark
  hatch = vec4(ink(at(owner, 2).x), along);
  gl_Position = projectionMatrix * modelViewMatrix * vec4(position, 1.0);
}`,
  fragmentShader: `
precision highp float;
uniform float ratio;
flat in vec3 face; flat in vec4 hatch;
out vec4 colour;
void main() {
  float stripe = abs(fract((gl_FragCoord.x + gl_FragCoord.y) / (11.0 * ratio)) - 0.5) * 11.0;
  colour = vec4(mix(face, hatch.rgb, hatch.a > 0.5 ? 0.32 * clamp(1.2 - stripe, 0.0, 1.0) : 0.0), 1.0);
}`,
};

export const LINES = {
  vertexShader: `${STATE}
uniform vec3 ground; uniform vec2 screen; uniform float ratio; uniform float nearest;
in vec3 position; in vec3 other; in float owner;
out vec2 across; flat out vec4 tint; flat out float half_px; flat out vec4 dashes; flat out vec3 run;
void main() {
  gl_Position = vec4(2.0, 2.0, 2.0, 1.0);
#if defined(OPENING)
  vec4 line = vec4(at(owner, 0).w, 1.2, 1.0, 0.0);
#elif defined(TRACE)
  vec4 line = vec4(0.0, TRACE, 1.0, 0.0);
#else
  vec4 line = at(owner, 2);
  if (line.y * line.z == 0.0) return;
#endif
  vec4 a = modelViewMatrix * vec4(position, 1.0), b = modelViewMatrix * vec4(other, 1.0);
  if (max(-a.z, -b.z) < nearest) return;
  float t = (a.z + nearest) / (a.z - b.z);
  int corner = gl_VertexID & 3;
  bool first = corner == 0 || corner == 3;
  vec4 p = first ? a : b, q = first ? b : a;
  vec3 spot = first ? position : other;
  if (-p.z < nearest) { p = mix(a, b, t); spot = mix(position, other, t); }
  if (-q.z < nearest) q = mix(a, b, t);
  vec4 m = projectionMatrix * p, n = projectionMatrix * q;
  vec2 way = (n.xy / n.w - m.xy / m.w) * screen * (first ? 1.0 : -1.0);
  float px = length(way);
  vec2 along = px > 1e-6 ? way / px : vec2(1.0, 0.0);
  half_px = 0.5 * line.y * ratio;
  float reach = half_px + 0.75;
  across = vec2(corner < 2 ? -reach : reach, gone(spot));
  // Dashes are counted along the picture's edge that a line is nearer to, so that they go on round a bend; from where
  // the case's zero is seen, so that they move with it.
  dashes = mod(floor(vec4(line.w) / vec4(262144.0, 4096.0, 64.0, 1.0)), 64.0) * ratio;
  vec4 zero = projectionMatrix * modelViewMatrix[3];
  run.xy = abs(along.x) > abs(along.y) ? vec2(1.0, 0.0) : vec2(0.0, 1.0);
  run.z = zero.w > 1.0 || projectionMatrix[3].w > 0.5 ? dot(run.xy, 0.5 * zero.xy / zero.w * screen) : 0.0;
  vec2 shift = vec2(-along.y, along.x) * across.x + along * (first ? -0.5 : 0.5) * half_px;
  m.xy += shift / screen * 2.0 * m.w;
  m.z -= 2e-5 * m.w;
#if defined(TRACE)
  tint = vec4(TRACE > 4.0 ? ground : mix(vec3(0.125, 0.14, 0.165), vec3(0.96, 0.94, 0.90), dark), 1.0);
#else
  vec3 c = mix(ink(line.x), vec3(0.86, 0.83, 0.78), dark * 0.45);
  tint = vec4(mix(c, ground, hazed(-p.z)), line.z * min(1.0, 2.0 * half_px));
#endif
  gl_Position = m;
}`,
  fragmentShader: `
precision highp float;
in vec2 across; flat in vec4 tint; flat in float half_px; flat in vec4 dashes; flat in vec3 run;
out vec4 colour;
float within(float at, float from, float to) { return clamp(min(at - from, to - at) + 0.5, 0.0, 1.0); }
void main() {
#ifdef CUT
  if (across.y > 1e-3) discard;
#endif
  float shown = 1.0;
  if (dashes.x > 0.0) {
    float at = mod(dot(run.xy, gl_FragCoord.xy) - run.z, dot(dashes, vec4(1.0)));
    float third = dashes.x + dashes.y;
    shown = max(within(at, 0.0, dashes.x), within(at, third, third + dashes.z));
  }
  colour = vec4(tint.rgb, shown * tint.a * clamp(half_px + 0.5 - abs(across.x), 0.0, 1.0));
}`,
};

export const MARKS = {
  vertexShader: `
precision highp float;
uniform mat4 modelViewMatrix, projectionMatrix; uniform vec2 screen; uniform float ratio;
in vec2 position; in vec3 one; in vec3 other; in vec2 shape; in vec3 fill; in vec3 rim;
out vec2 px; flat out vec2 kind; flat out vec3 inside;
flat out vec3 border; flat out float length_px; flat out vec2 badge;
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
  vec2 inwards = vec2(a.x > half_screen.x - 70.0 ? -1.0 : 1.0, a.y > half_screen.y - 70.0 ? -1.0 : 1.0);
  badge = shape.y * normalize(vec2(1.0, 0.9)) * inwards;
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
float piece(vec2 p, vec2 a, vec2 b) {
  vec2 w = b - a;
  return length(p - a - w * clamp(dot(p - a, w) / max(dot(w, w), 1e-6), 0.0, 1.0));
}
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
