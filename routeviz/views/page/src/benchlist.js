// The sheet of all tubes at the bench: what is laid so far, going to a tube by its tag, and ticks in files.

import { asideList, heeded, orderList } from "./benchcards.js";
import { h } from "./elements.js";
import { searchOf } from "./searching.js";
import { placesNamed } from "./worklist.js";

const LARGEST = 16_000_000; // bytes of a file that is read at all

/**
 * All tubes, and what can be done with ticks.
 * @param {object} bench lay, course, ticks, texts, words, notice
 * @param {function(): void} show what has changed
 * @returns {HTMLElement}
 */
export function listSheet(bench, show) {
  const { lay, course, texts } = bench;
  const order = h("div");
  const search = searchOf(lay.tubes);
  const go = (place) => {
    course.go(place);
    bench.sheet = "tube";
    show();
  };
  const places = () => placesNamed(course.steps, lay.tubes, bench.words, search);
  const list = () => order.replaceChildren(orderList(lay, course, places(), go));
  list();
  const asked = h("input", {
    type: "search",
    autocomplete: "off",
    enterkeyhint: "go",
    oninput: (event) => {
      bench.words = event.target.value;
      list();
    },
    onkeydown: (event) => {
      if (event.key !== "Enter") return;
      event.preventDefault(); // else the same press would reach the large button, which then has the focus
      if (places().length) go(places()[0]);
    },
  });
  return h(
    "article.bench-list",
    {},
    h("h2.unseen", {}, "All tubes"),
    h("label.bench-ask", {}, h("span", {}, "Tube, by its tag"), asked),
    order,
    asideList(lay, course, texts),
    fileRow(bench, show),
    h("section.bench-cautions", {}, h("h3", {}, "What to heed"), heeded(lay, texts)),
  );
}

function fileRow(bench, show) {
  const file = h("input", {
    type: "file",
    accept: ".json,application/json",
    hidden: true,
    "aria-label": "File of ticks",
  });
  file.addEventListener("change", async () => {
    await readInto(bench, file.files[0]);
    show();
  });
  const clear = () => {
    bench.course.take([], "all ticks taken off");
    show();
  };
  return h(
    "section.bench-files",
    {},
    h("h3", {}, "Ticks"),
    h("button", { onclick: () => saveFrom(bench) }, "Save to a file"),
    h("button", { onclick: () => file.click() }, "Read from a file"),
    h("button", { onclick: clear, disabled: bench.ticks.count() === 0 }, "Take all off"),
    file,
  );
}

function saveFrom(bench) {
  const { name, text } = bench.ticks.save(new Date());
  const address = URL.createObjectURL(new Blob([text], { type: "application/json" }));
  const link = h("a", { href: address, download: name });
  document.body.append(link);
  link.click();
  link.remove();
  setTimeout(() => URL.revokeObjectURL(address), 60_000);
}

/** A file takes the place of the ticks that are here; they can be had back. */
async function readInto(bench, file) {
  if (!file) return;
  const found = file.size > LARGEST ? { problem: "This file is too large to hold ticks." } : await readOf(bench, file);
  if (found.problem) {
    bench.notice = `${found.problem} Nothing was changed.`;
    return;
  }
  bench.notice = found.says;
  bench.course.take(found.indexes, "ticks read");
}

async function readOf(bench, file) {
  try {
    return bench.ticks.read(await file.text());
  } catch {
    return { problem: "This file could not be read." };
  }
}
