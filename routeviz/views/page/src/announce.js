/** Saying to a screen reader what was chosen. */

import { told } from "./choosing.js";
import { inUnit } from "./lengths.js";

/**
 * Say each choice in a live region.
 * @param {HTMLElement} region
 * @param {function(): object} layNow
 * @param {object} state
 */
export function announce(region, layNow, state) {
  state.on("chosen", ({ chosen }) => {
    region.textContent = inUnit(told(layNow(), chosen), state.get().unit) || "Nothing is chosen.";
  });
}
