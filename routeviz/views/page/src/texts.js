/** Texts that follow the unit: each is said anew when millimetres and inches are switched. */

import { h, name } from "./elements.js";
import { figure, fine, inUnit, length } from "./lengths.js";

const RIGHT_TO_LEFT = /[\u0590-\u08ff\ufb1d-\ufdff\ufe70-\ufefc]/;

/**
 * Make the texts of a page.
 * @param {object} lay
 * @param {object} state
 * @returns {object} `figure`, `length`, `fine` (mm), `sentence` (text): each gives an element; `shown(f)`: an element
 *   with what f(unit) says; `plain(text)`: the text itself; `end()`
 */
export function followTexts(lay, state) {
  const following = new Set();
  const every = namesOf(lay);
  const long = every.filter((one) => / (?:mm|kPa)\b/.test(one));
  const turned = every.filter((one) => RIGHT_TO_LEFT.test(one));
  const end = state.on("unit", ({ unit }) => following.forEach((again) => again(unit)));

  function follow(made, say) {
    const again = (unit) => made.replaceChildren(...[say(unit)].flat());
    again(state.get().unit);
    following.add(again);
    return made;
  }

  const plain = (text) => inUnit(typeset(text), state.get().unit, long);
  const begun = (text) => (every.some((one) => text.startsWith(`${one} `)) ? text : capital(text));
  return {
    figure: (mm) => follow(h("span.figure"), (unit) => figure(mm, unit)),
    length: (mm) => follow(h("span.figure"), (unit) => length(mm, unit)),
    fine: (mm) => follow(h("span.figure"), (unit) => fine(mm, unit)),
    shown: (say) => follow(h("span"), say),
    sentence: (text) => {
      const set = typeset(begun(text));
      return follow(h("span.sentence"), (unit) => isolated(inUnit(set, unit, long), turned));
    },
    plain,
    end,
  };
}

/**
 * Say ranges and what is quoted as print has them: "1–4" for the scene's "1..4", “corners” for `corners`.
 * @param {string} text
 * @returns {string}
 */
export function typeset(text) {
  return text.replace(/(?<=\d)\.\.(?=\d)/g, "\u2013").replace(/`([^`]+)`/g, "\u201c$1\u201d");
}

/** Names written from right to left stand by themselves in a sentence that runs from left to right. */
function isolated(text, names) {
  const found = names.find((one) => text.includes(one));
  if (!found) return [text];
  return text.split(found).flatMap((rest, k) => [...(k ? [name(found)] : []), ...(rest ? isolated(rest, names) : [])]);
}

function namesOf(lay) {
  const things = ["tubes", "solids", "spaces", "passages", "nipples", "parts"].flatMap((group) => lay[group] ?? []);
  const every = new Set(things.flatMap((one) => [one.name, one.tag, one.part, one.tubing]));
  every.delete(undefined);
  return [...every].filter(Boolean).sort((one, other) => other.length - one.length);
}

/**
 * Say where in its travel a part stands.
 * @param {number} share 0 at rest, 1 at full travel
 * @returns {string}
 */
export function travelled(share) {
  if (share <= 0.005) return "at rest";
  if (share >= 0.995) return "at full travel";
  return `at ${Math.round(100 * share)}\u00a0% of its travel`;
}

/**
 * Say how many.
 * @param {number} number
 * @param {string} noun for one
 * @returns {string} "no tubes", "1 tube", "12 tubes"
 */
export function counted(number, noun) {
  return `${number || "no"} ${noun}${number === 1 ? "" : "s"}`;
}

/**
 * Begin with a capital letter.
 * @param {string} text
 * @returns {string}
 */
export function capital(text) {
  return text.slice(0, 1).toUpperCase() + text.slice(1);
}
