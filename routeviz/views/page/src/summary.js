/** What the whole is: its title, how many of what, the state of its plan, and what was proved. */

import { badge, h, name, terms } from "./elements.js";
import { capital, counted } from "./texts.js";

const SEVERITIES = ["fault", "caution", "note"];
const KEYS = [
  ["/", "find a tube"],
  ["n, p", "next and previous finding"],
  ["Esc", "one step back"],
  ["arrows", "turn the case, once it is chosen by Tab; with Shift, move it"],
  ["+, \u2212, Home", "nearer, farther, all of it"],
];

/**
 * Show the title and the counts.
 * @param {HTMLElement} element
 * @param {object} page lay, texts
 */
export function mountMasthead(element, { lay }) {
  const counts = SEVERITIES.filter((one) => lay.counts[one] || one === "fault");
  element.replaceChildren(
    h("h1", { dir: "auto", title: lay.title }, lay.title),
    h(
      "p.counts",
      {},
      h("span", {}, counted(lay.tubes.length, "tube")),
      ...counts.map((one) => h("span", {}, lay.counts[one] ? badge(one) : null, counted(lay.counts[one], one))),
    ),
  );
}

/**
 * Show what stands before the findings: the file, and how it stands with the plan.
 * @param {HTMLElement} element
 * @param {object} page lay, texts
 */
export function mountOpening(element, { lay }) {
  element.append(h("p", { class: lay.plan?.stale ? "plan stale" : "plan" }, name(lay.scene), ": ", planSays(lay)));
}

/**
 * Show what stands after the findings: cautions for those who work on it, runs, and how it was proved.
 * @param {HTMLElement} element
 * @param {object} page lay, texts
 */
export function mountClosing(element, { lay, texts }) {
  const list = (title, items) =>
    items.length
      ? [h("h2", {}, title), h("ul.prose", {}, ...items.map((one) => h("li", {}, texts.sentence(one), stop(one))))]
      : [];
  element.append(
    ...list("Before work begins", [...lay.cautions, ...lay.safety]),
    ...list("Runs", lay.runs.map((run) => run.says)),
    ...list("How it was proved", lay.proved),
    h("section.by-keys", {}, h("h2", {}, "By the keyboard"), terms(KEYS)),
  );
}

/** Sentences end with a full stop, also where they came without one. */
const stop = (text) => (text.endsWith(".") ? "" : ".");

/**
 * Say how the lay stands with its plan.
 * @param {object} lay
 * @returns {string}
 */
export function planSays({ plan, tubes }) {
  if (!tubes.length) return "There are no tubes to lay.";
  if (!plan) {
    const missing = tubes.filter((tube) => !tube.points && !tube.hidden).length;
    const most = "There is no plan beside it";
    if (!missing) return `${most}: every tube is drawn.`;
    return `${most}, and ${counted(missing, "tube")} ${missing === 1 ? "has" : "have"} no route yet.`;
  }
  if (plan.stale) {
    const lie = plan.laid === 1 ? "lies" : "lie";
    const still = `${counted(plan.laid, "tube")} of ${tubes.length} still ${lie} as it says`;
    return `The plan beside it is stale: the scene has changed since, and ${still}. Plan anew before you cut.`;
  }
  return `${capital(counted(plan.laid, "tube"))} ${plan.laid === 1 ? "lies" : "lie"} as planned.`;
}
