/** What faces and lines are made of, and the few values that all of them share. */
import { DoubleSide, FrontSide, GLSL3, RawShaderMaterial, Vector2, Vector3, Vector4 } from "three";
import { FACES, LINES, OPENINGS, ROUNDS } from "./shaders.js";

/** The page's own paper. */
export const GROUNDS = { light: "#f5f0e4", dark: "#1b1916" };

/** Values that one place sets and every material reads. */
export function createUniforms() {
  const one = (value) => ({ value });
  return {
    states: one(null),
    ground: one(new Vector3()),
    sky: one(new Vector3(0, 1, 0)),
    haze: one(new Vector2(0, 1)),
    dark: one(0),
    cut: one(new Vector4(0, 0, 0, 1)),
    ratio: one(1),
    screen: one(new Vector2(1, 1)),
    nearest: one(0.1),
  };
}

/** All materials, by what they are for. */
export function createMaterials(uniforms) {
  const of = (shader, more, defines = {}) =>
    new RawShaderMaterial({ ...shader, glslVersion: GLSL3, uniforms, defines, ...more });
  const behind = { polygonOffset: true, polygonOffsetFactor: 1, polygonOffsetUnits: 2 };
  const through = { transparent: true, depthWrite: false };
  const above = { ...through, depthTest: false };
  return {
    solid: of(FACES, { side: DoubleSide, ...behind }),
    clearSolid: of(FACES, { side: FrontSide, ...through }),
    round: of(ROUNDS, { side: FrontSide, ...behind }),
    clearRound: of(ROUNDS, { side: FrontSide, ...through }),
    opening: of(OPENINGS, { side: DoubleSide, ...behind }),
    lines: of(LINES, through),
    openingLines: of(LINES, through, { OPENING: 1 }),
    traceRim: of(LINES, above, { TRACE: "6.5" }), // how many pixels wide
    trace: of(LINES, above, { TRACE: "2.6" }),
  };
}

/** Have what lies beyond the cut left out, or not: to ask at each spot costs, so it is done only while there is one. */
export function setCutting(materials, isCut) {
  for (const name of ["solid", "clearSolid", "round", "clearRound", "lines", "traceRim", "trace"]) {
    const { defines } = materials[name];
    if (("CUT" in defines) === isCut) continue;
    if (isCut) defines.CUT = 1;
    else delete defines.CUT;
    materials[name].needsUpdate = true;
  }
}
