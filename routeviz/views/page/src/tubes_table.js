/** The tubes as a table: searched, sorted, one opened at a time. */

import { choose, isChosen, toggle } from "./choosing.js";
import { badge, h, name } from "./elements.js";
import { figure } from "./lengths.js";
import { COLUMNS, searchOf, sorted } from "./searching.js";
import { tubeDetails } from "./tube_details.js";
import { counted } from "./texts.js";

const HEADS = { name: "Tube", length: "Length", bend: "Tightest bend", clearance: "Clearance" };

/**
 * Show the tubes.
 * @param {HTMLElement} element
 * @param {object} page lay, state, texts, and `view`: what is asked and how it is sorted
 */
export function mountTubes(element, page) {
  if (!page.lay.tubes.length) {
    element.append(h("p.plain", {}, "This scene has no tubes yet: there is only the case to look at."));
    return;
  }
  new Table(element, page);
}

class Table {
  constructor(element, page) {
    Object.assign(this, { page, view: page.view, open: null, details: [] });
    this.answers = searchOf(page.lay.tubes);
    this.rows = page.lay.tubes.map((tube, k) => row(tube, k, page));
    this.body = h("tbody", { onclick: (event) => this.touched(event) });
    this.count = h("p.count", { role: "status" });
    this.heads = Object.fromEntries(Object.keys(COLUMNS).map((key) => [key, this.head(key)]));
    element.append(this.search(), this.count, this.table());
    this.headed();
    this.fill();
    page.until(page.state.on("chosen", () => this.choose()));
    this.choose();
  }

  search() {
    this.field = h("input.search", {
      type: "search",
      id: "search",
      autocomplete: "off",
      spellcheck: "false",
      placeholder: "12, stack 12, bass \u2026",
      value: this.view.query,
      oninput: () => this.ask(this.field.value),
      onkeydown: (event) => {
        if (event.key !== "Enter" || !this.field.value) return;
        event.preventDefault(); // else the same press would reach the row's button, and close it again
        this.openFirst();
      },
    });
    const label = h("label", { for: "search" }, "Find by hole, pneumatic, tag or passage");
    return h("div.searching", { role: "search" }, label, this.field);
  }

  table() {
    const says = "Tubes, with their length, their tightest bend and the least clearance from what is no tube";
    const caption = h("caption.unseen", {}, says);
    const heads = h("thead", {}, h("tr", {}, ...Object.values(this.heads)));
    return h("table.tube-table", {}, caption, heads, this.body);
  }

  head(key) {
    const { texts } = this.page;
    const unit = key === "name" ? [] : [h("span.unit", {}, ", ", texts.shown((unit) => unit))];
    const button = h("button", { onclick: () => this.sort(key) }, HEADS[key], ...unit);
    return h("th", { scope: "col", class: key }, button);
  }

  ask(query) {
    this.view.query = query;
    this.fill();
  }

  /** The first that answers to what was asked; the keyboard goes on from there. */
  openFirst() {
    const first = this.body.querySelector("tr[data-tube]");
    if (!first) return;
    choose(this.page.state, "tube", Number(first.dataset.tube));
    first.querySelector("button").focus();
  }

  sort(key) {
    const { column, way } = this.view;
    Object.assign(this.view, { column: key, way: column === key ? -way : 1 });
    this.headed();
    this.fill();
  }

  headed() {
    const { column, way } = this.view;
    for (const [key, head] of Object.entries(this.heads)) {
      if (key === column) head.setAttribute("aria-sort", way > 0 ? "ascending" : "descending");
      else head.removeAttribute("aria-sort");
    }
  }

  fill() {
    const { tubes } = this.page.lay;
    const found = new Set(this.answers(this.view.query));
    const { column, way } = this.view;
    const order = column ? sorted(tubes, column, way) : tubes.map((_, k) => k);
    const shown = order.filter((k) => found.has(k));
    this.body.replaceChildren(...shown.map((k) => this.rows[k]));
    this.placeDetails();
    const all = shown.length === tubes.length;
    const of = counted(tubes.length, "tube");
    this.count.textContent = all ? of : `${shown.length} of ${of}`;
    if (!shown.length) this.count.textContent = "No tube answers to that. A number, a tag or part of a name will do.";
  }

  touched(event) {
    const one = event.target.closest("tr[data-tube]");
    if (one) toggle(this.page.state, "tube", Number(one.dataset.tube));
  }

  choose() {
    const now = this.page.state.get();
    const chosen = this.rows.findIndex((_, k) => isChosen(now, "tube", k));
    if (chosen === (this.open?.k ?? -1)) return;
    this.open?.row.remove();
    for (const [k, one] of this.rows.entries()) {
      one.classList.toggle("chosen", k === chosen);
      one.querySelector("button").setAttribute("aria-expanded", String(k === chosen));
    }
    this.open = chosen < 0 ? null : { k: chosen, row: this.opened(chosen) };
    if (this.open) this.unfold();
  }

  /** What is chosen is shown, even where the search left it out. */
  unfold() {
    const { k, row: opened } = this.open;
    if (this.rows[k].parentNode !== this.body) this.ask((this.field.value = ""));
    this.placeDetails();
    for (const one of [opened, this.rows[k]]) one.scrollIntoView({ block: "nearest" });
  }

  opened(k) {
    this.details[k] ??= h("tr.opened", {}, h("td", { colspan: 4 }, tubeDetails(k, this.page)));
    return this.details[k];
  }

  placeDetails() {
    if (!this.open) return;
    const { k, row: opened } = this.open;
    if (this.rows[k].parentNode === this.body) this.rows[k].after(opened);
    else opened.remove();
  }
}

function row(tube, k, { lay, texts }) {
  const number = (key, mm) => h("td", { class: key }, mm === null || mm === undefined ? "\u2013" : texts.figure(mm));
  const marks = tube.severity ? [badge(tube.severity), h("span.unseen", {}, ` ${tube.severity}`)] : [];
  const beyond = tube.length !== null && !tube.clearance;
  return h(
    "tr",
    { "data-tube": k },
    h(
      "th",
      { scope: "row" },
      h("button.open", { "aria-expanded": "false" }, name(tube.tag || tube.name), ...marks),
      h("span.way", {}, name(tube.from), " to ", name(tube.to)),
    ),
    number("length", tube.length),
    number("bend", tube.bend?.radius),
    beyond ? h("td.clearance", {}, "> ", texts.figure(lay.reach)) : h("td.clearance", {}, clearance(tube, texts)),
  );
}

/** A clearance that no sixteenth can say is not said to be none. */
function clearance({ clearance: near }, texts) {
  if (!near) return "\u2013";
  return texts.shown((unit) => {
    const said = figure(near.mm, unit);
    return unit === "in" && said === "0" && near.mm > 0 ? "< 1/16" : said;
  });
}
