/** What faces and lines are made of, and the few values that all of them share. */
import { DoubleSide, FrontSide, GLSL3, RawShaderMaterial, Vector2, Vector3, Vector4 } from "three";
import { FACES, LINES } from "./shaders.js";

export const GROUNDS = { light: "#f4efe6", dark: "#211e1b" };

/** Values that one place sets and every material reads. */
export function createUniforms() {
  const one = (value) => ({ value });
  return {
    states: one(null),
    ground: one(new Vector3()),
    haze: one(new Vector2(0, 1)),
    dark: one(0),
    cut: one(new Vector4(0, 0, 0, 1)),
    flat_view: one(0),
    ratio: one(1),
    screen: one(new Vector2(1, 1)),
    nearest: one(0.1),
  };
}

/** All materials, by what they are for. */
export function createMaterials(uniforms) {
  const of = (shader, defines, more) =>
    new RawShaderMaterial({ ...shader, glslVersion: GLSL3, uniforms, defines, ...more });
  const behind = { polygonOffset: true, polygonOffsetFactor: 1, polygonOffsetUnits: 2 };
  const through = { transparent: true, depthWrite: false };
  return {
    solid: of(FACES, {}, { side: DoubleSide, ...behind }),
    clearSolid: of(FACES, {}, { side: FrontSide, ...through }),
    round: of(FACES, { ROUND: 1 }, { side: FrontSide, ...behind }),
    clearRound: of(FACES, { ROUND: 1 }, { side: FrontSide, ...through }),
    opening: of(FACES, { OPENING: 1 }, { side: DoubleSide, ...behind }),
    lines: of(LINES, {}, through),
    openingLines: of(LINES, { OPENING: 1 }, through),
  };
}
