/** What stands above everything at a constant size: the mark of a finding, and the line between two measured points. */
import { BufferAttribute, BufferGeometry, GLSL3, Mesh, RawShaderMaterial, Sphere } from "three";
import { MARKS } from "./shaders.js";
import { rgb } from "./things.js";

const SHAPES = { ring: 0, disc: 1, triangle: 2, square: 3, dot: 4, line: 5 };
const AWAY_PX = 46; // from a finding's spot to its badge
const PLAIN = { fill: "#20242a", rim: "#ffffff", shape: "dot" };

/** Make the layer; `show` takes what is to be seen now. */
export function createOverlay(uniforms) {
  const geometry = new BufferGeometry();
  const material = new RawShaderMaterial({
    ...MARKS, glslVersion: GLSL3, uniforms, transparent: true, depthTest: false, depthWrite: false,
  });
  geometry.boundingSphere = new Sphere(); // never asked for, but three would work it out
  const mesh = new Mesh(geometry, material);
  mesh.frustumCulled = false;
  mesh.visible = false;
  mesh.renderOrder = 9;
  return { mesh, show: (mark, ends, badges) => show(mesh, piecesOf(mark, ends, badges)) };
}

function piecesOf(mark, ends, badges) {
  const pieces = [];
  if (ends.length === 2) pieces.push({ ...PLAIN, shape: "line", from: ends[0], to: ends[1] });
  for (const point of ends) pieces.push({ ...PLAIN, from: point, to: point });
  if (!mark) return pieces;
  const badge = badges[mark.severity] ?? badges.note;
  const at = { from: mark.point, to: mark.point, fill: badge.fill, rim: badge.rim };
  return [...pieces, { ...at, shape: "ring" }, { ...at, shape: badge.shape, away: AWAY_PX }];
}

/** Four corners a piece; the graphics card puts them where they belong on the screen. */
function show(mesh, pieces) {
  const { geometry } = mesh;
  mesh.visible = pieces.length > 0;
  geometry.dispose();
  const corners = [-1, -1, 1, -1, 1, 1, -1, 1];
  const fourfold = (f) => pieces.flatMap((piece) => [0, 1, 2, 3].flatMap((k) => f(piece, k)));
  const put = (name, wide, f) => geometry.setAttribute(name, new BufferAttribute(new Float32Array(fourfold(f)), wide));
  put("position", 2, (_, k) => corners.slice(2 * k, 2 * k + 2));
  put("one", 3, (piece) => piece.from);
  put("other", 3, (piece) => piece.to);
  put("shape", 2, (piece) => [SHAPES[piece.shape], piece.away ?? 0]);
  put("fill", 3, (piece) => rgb(piece.fill));
  put("rim", 3, (piece) => rgb(piece.rim));
  geometry.setIndex(pieces.flatMap((_, k) => [0, 1, 2, 0, 2, 3].map((c) => 4 * k + c)));
}
