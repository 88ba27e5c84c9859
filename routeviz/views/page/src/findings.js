/** What was found, worst first. */

import { choose, isChosen, severityWord, stepFinding } from "./choosing.js";
import { badge, h, name, terms } from "./elements.js";
import { travelled } from "./texts.js";

/**
 * Show the findings.
 * @param {HTMLElement} element
 * @param {object} page lay, state, texts
 */
export function mountFindings(element, page) {
  const { lay, state } = page;
  if (!lay.findings.length) {
    const says = lay.tubes.length
      ? "Nothing was found: every limit is kept. What was measured, and what was not looked at, stands below under " +
        "“How it was proved”. To lay the tubes one by one, turn to Bench."
      : "There is nothing to check yet.";
    element.append(h("p.plain", {}, says));
    return;
  }
  const steps = stepping(page);
  const entries = lay.findings.map((finding, k) => entry(finding, k, page));
  element.append(h("div", {}, steps, h("ol.findings", { "aria-label": "Findings, worst first" }, ...entries)));
  const show = () => entries.forEach((one, k) => mark(one, isChosen(state.get(), "finding", k)));
  page.until(state.on("chosen", show));
  show();
}

function stepping({ lay, state, until }) {
  const where = h("span.where");
  const show = () => {
    const { chosen } = state.get();
    const many = lay.findings.length;
    where.textContent = chosen?.kind === "finding" ? `${chosen.index + 1} of ${many}` : `${many} in all`;
  };
  until(state.on("chosen", show));
  show();
  return h(
    "div.stepping",
    { role: "group", "aria-label": "From finding to finding" },
    h("button", { onclick: () => stepFinding(lay, state, -1) }, "Previous"),
    where,
    h("button", { onclick: () => stepFinding(lay, state, 1) }, "Next"),
  );
}

function entry(finding, k, page) {
  const { state, texts } = page;
  const places = finding.lines.map((line) => h("span.line", {}, name(line)));
  const head = h(
    "button.head",
    { "aria-pressed": "false", onclick: () => choose(state, "finding", k) },
    badge(finding.severity, finding.number),
    h("span.kind", {}, `${severityWord(finding)} ${finding.number}`),
    h("span.rule", {}, finding.rule),
    h("span.about", {}, ...subjects(finding)),
  );
  return h(
    "li",
    { class: `finding ${finding.severity}` },
    h("h3", {}, head),
    h("p.says", {}, texts.sentence(finding.says)),
    limits(finding, texts),
    finding.remedy ? h("p.remedy", {}, h("b", {}, "Remedy."), " ", texts.sentence(finding.remedy)) : null,
    h("p.aside", {}, ...(finding.point ? [] : [h("span", {}, "It has no place in the case to show.")]), ...places),
  );
}

function limits(finding, texts) {
  return terms([
    ["Measured", quantity(finding.measured, finding.unit, texts)],
    ["Allowed", quantity(finding.allowed, finding.unit, texts)],
    ["Travel", finding.travel === null ? null : travelled(finding.travel)],
  ]);
}

function subjects({ subject, other }) {
  return other && other !== subject ? [name(subject), " \u2013 ", name(other)] : [name(subject)];
}

/**
 * A measured or an allowed value.
 * @param {number|null} value
 * @param {string} unit mm, tubes, deg, kPa, percent or nothing
 * @param {object} texts
 * @returns {Node|string|null}
 */
export function quantity(value, unit, texts) {
  if (value === null) return null;
  if (unit === "mm") return texts.fine(value);
  const shown = Number(value.toFixed(1));
  const one = shown === 1 ? unit.replace(/s$/, "") : unit;
  const sign = { deg: "\u00b0", percent: "\u00a0%", "": "" }[unit] ?? `\u00a0${one}`;
  return h("span.figure", {}, `${shown}${sign}`.replace("-", "\u2212"));
}

function mark(one, chosen) {
  one.classList.toggle("chosen", chosen);
  one.querySelector(".head").setAttribute("aria-pressed", String(chosen));
  if (chosen) one.scrollIntoView({ block: "nearest" });
}
