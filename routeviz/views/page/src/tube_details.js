/** All that is known of one tube. */

import { choose, severityWord } from "./choosing.js";
import { badge, h, name, terms } from "./elements.js";
import { told } from "./known.js";
import { knownLines } from "./known_list.js";
import { figure } from "./lengths.js";
import { capital, travelled } from "./texts.js";

/**
 * Make the details of a tube.
 * @param {number} k which
 * @param {object} page lay, state, texts
 * @returns {HTMLElement}
 */
export function tubeDetails(k, page) {
  const { lay, texts } = page;
  const tube = lay.tubes[k];
  return h(
    "div.details",
    {},
    terms([
      ["Name", tube.name === tube.tag ? null : name(tube.name)],
      ["From", name(tube.from)],
      ["To", name(tube.to)],
      ["Label", tube.label ? name(tube.label) : null],
      ["Carries", tube.carries],
      ["Tubing", h("span", {}, name(tube.tubing), ", ", texts.length(tube.outside), " outside")],
      ["Passages", through(tube, page)],
      ["Length", tube.length === null ? "It has no route yet." : texts.length(tube.length)],
      ["Tightest bend", bend(tube, texts)],
      ["Least clearance", clearance(tube, page)],
      ["Nearest tube", nearest(tube.beside, texts)],
      ["Ties", tube.ties?.length ? ties(tube, texts) : "none"],
      ["Route", route(tube)],
      ["Known", known(tube, page)],
      ["Cut to", tube.cut === null ? null : texts.length(tube.cut)],
      ["Stage", tube.stage ? name(tube.stage) : null],
      ["Hidden", tube.hidden ? texts.sentence(tube.hidden) : null],
      ["Waits for", tube.waits_for ? texts.sentence(tube.waits_for) : null],
      ["Note", tube.note ? texts.sentence(tube.note) : null],
      ["Findings", found(k, page)],
    ]),
    tube.length === null ? null : h("button.link", { onclick: () => approach(k, page) }, "Look at it from near by"),
  );
}

function approach(index, { state }) {
  state.set({ chosen: { kind: "tube", index, near: true } });
}

function through(tube, { lay, state }) {
  if (!tube.through?.length) return "none";
  const links = tube.through.map((one) => {
    const index = lay.index.passages.get(one);
    if (index === undefined) return name(one);
    return h("button.link", { onclick: () => choose(state, "passage", index) }, name(one));
  });
  return h("span.links", {}, ...links);
}

function bend(tube, texts) {
  if (!tube.bend) return tube.length === null ? null : "straight all the way";
  const { radius, least } = tube.bend;
  const limit = least === null ? [] : ["; at least ", texts.fine(least)];
  return h("span", {}, texts.fine(radius), " to the centreline", ...limit);
}

function clearance(tube, { lay, texts }) {
  if (tube.length === null) return null;
  const far = () => h("span", {}, "more than ", texts.length(lay.reach), " to anything but tubes");
  return nearest(tube.clearance, texts) ?? far();
}

function nearest(near, texts) {
  if (!near) return null;
  const where = near.travel === null ? "" : `, ${travelled(near.travel)}`;
  return h("span", {}, texts.fine(near.mm), " to ", name(near.other), where);
}

/** Ties by what they hold to, each with how far along the tube it is. */
function ties(tube, texts) {
  const groups = new Map();
  for (const { to, along } of tube.ties) groups.set(to ?? "", [...(groups.get(to ?? "") ?? []), along]);
  const said = [...groups].map(([to, places]) =>
    h(
      "li",
      {},
      ...(to ? ["to ", name(to), " "] : []),
      texts.shown((unit) => `at ${places.map((along) => figure(along, unit)).join(", ")}\u00a0${unit}`),
    ),
  );
  return h("ul.plain-list", {}, ...said);
}

function route(tube) {
  if (tube.length === null) return null;
  if (tube.taped) return "Fitted to the points that were taped on it";
  return capital(tube.planned ? "as the plan lays it" : "as the scene draws it");
}

/** How the scene knows it, where that is more than what it says of everything. */
function known(tube, page) {
  if (!tube.known?.length) return told(page.lay, tube.status);
  return h("div", {}, ...knownLines(tube.known, page));
}

function found(k, { lay, state }) {
  const links = lay.findings.flatMap((finding, n) =>
    finding.tubes.includes(k)
      ? [
          h(
            "button.link",
            { onclick: () => choose(state, "finding", n) },
            badge(finding.severity, finding.number),
            `${severityWord(finding)}: ${finding.rule}`,
          ),
        ]
      : [],
  );
  return links.length ? h("span.links", {}, ...links) : null;
}
