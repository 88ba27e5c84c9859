/** The passages: each with its plate, what it holds, and which tubes go through. */

import { called, choose, isChosen, toggle } from "./choosing.js";
import { h, name, terms } from "./elements.js";
import { counted } from "./texts.js";

/**
 * Show the passages.
 * @param {HTMLElement} element
 * @param {object} page lay, state, texts
 */
export function mountPassages(element, page) {
  const { lay, state } = page;
  if (!lay.passages.length) {
    element.append(h("p.plain", {}, "This scene names no passages."));
    return;
  }
  const entries = lay.passages.map((passage, k) => entry(passage, k, page));
  element.append(...entries);
  const show = () => entries.forEach((one, k) => mark(one, isChosen(state.get(), "passage", k)));
  page.until(state.on("chosen", show));
  show();
}

function entry(passage, k, page) {
  const { state, texts } = page;
  const head = h(
    "button.head",
    { "aria-pressed": "false", onclick: () => toggle(state, "passage", k) },
    name(passage.name),
    h("span.does", {}, "show it cut"),
  );
  return h(
    "article.passage",
    {},
    h("h3", {}, head),
    plate(passage),
    terms([
      ["Go through", counted(passage.tubes.length, "tube")],
      ["Holds", holds(passage)],
      ["Wanted", passage.most === null ? null : `at most ${passage.most}`],
      ["Thick", passage.thick ? texts.length(passage.thick) : null],
    ]),
    through(passage, page),
  );
}

/**
 * The plate is the only drawing that comes as a text: it is routeviz' own, and taken apart as a drawing, not as a page.
 * @param {object} passage
 * @returns {HTMLElement|null}
 */
export function plate(passage) {
  if (!passage.plate) return null;
  const read = new DOMParser().parseFromString(passage.plate, "image/svg+xml");
  if (read.querySelector("parsererror")) return h("p.plain", {}, "The plate of this passage cannot be read.");
  const svg = document.importNode(read.documentElement, true);
  svg.querySelectorAll("script, foreignObject").forEach((one) => one.remove());
  const says = `Section of ${passage.name}, with the numbers of the tubes. Seen ${passage.seen}.`;
  svg.setAttribute("role", "img");
  svg.setAttribute("aria-label", says);
  return h("figure.plate", {}, svg); // which says by itself from where it is seen
}

/**
 * Say how many tubes a passage holds: a packing that was found, and what no packing exceeds.
 * @param {object} passage
 * @returns {string|null}
 */
export function holds({ holds: range }) {
  if (!range) return null;
  const [found, bound] = range;
  return found === bound ? `${found}` : `${found} for certain, ${bound} at the very most`;
}

function through(passage, { lay, state }) {
  if (!passage.tubes.length) return null;
  const links = passage.tubes.map((k) => {
    const tube = lay.tubes[k];
    const has = { title: called(tube), onclick: () => choose(state, "tube", k) };
    return h("button.link", has, name(tube.tag || tube.name));
  });
  return h("div.links.through", { role: "group", "aria-label": "Tubes that go through" }, ...links);
}

function mark(one, chosen) {
  one.classList.toggle("chosen", chosen);
  one.querySelector(".head").setAttribute("aria-pressed", String(chosen));
  if (chosen) one.scrollIntoView({ block: "nearest" });
}
