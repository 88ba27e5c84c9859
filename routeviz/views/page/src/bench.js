// The page at the bench: one tube at a time in the order of work, for wet hands and one gloved thumb.

import { stayAwake } from "./awake.js";
import { cautionsCard, endCard, spoken, tubeCard, whereabouts } from "./benchcards.js";
import { listSheet } from "./benchlist.js";
import { createCourse } from "./course.js";
import { h } from "./elements.js";
import { counted, followTexts } from "./texts.js";
import { openTicks } from "./ticks.js";

const NOT_KEPT = "This browser keeps no ticks: save them to a file before you close the page.";

/**
 * Show the bench.
 * @param {HTMLElement} element where
 * @param {object} lay the page's data
 * @param {object} state the page's store
 * @returns {{replace: function(object): void}}
 */
export function mountBench(element, lay, state) {
  const bench = { lay, state, ...opened(lay, state), sheet: "cautions", words: "", notice: "", heard: null };
  bench.parts = frame(bench);
  element.classList.add("bench");
  element.replaceChildren(...Object.values(bench.parts.rows));
  if (!bench.ticks.stored()) bench.notice = NOT_KEPT;
  offerEarlier(bench);

  const awake = stayAwake();
  const attend = () => awake(state.get().mode === "bench");
  state.on("mode", () => {
    attend();
    show(bench);
  });
  state.on("unit", () => say(bench));
  document.addEventListener("keydown", (event) => pressed(bench, event));
  attend();
  show(bench);
  return { replace: (next) => replace(bench, next) };
}

function opened(lay, state, laid = null) {
  const ticks = openTicks(lay);
  if (laid) ticks.replace(laid);
  return { ticks, course: createCourse(lay, ticks), texts: followTexts(lay, state) };
}

/** A saved change of the scene: ticks go on by the tubes' names, and the same tube stays before the reader. */
function replace(bench, lay) {
  const laid = [...bench.course.laid()].map((index) => bench.lay.tubes[index].name);
  const here = bench.lay.tubes[bench.course.step()?.tube]?.name;
  const kept = laid.filter((name) => lay.index.tubes.has(name));
  bench.texts.end();
  const ticks = laid.length ? kept.map((name) => lay.index.tubes.get(name)) : null;
  Object.assign(bench, { lay, offer: null, heard: null }, opened(lay, bench.state, ticks));
  bench.course.go(bench.course.steps.findIndex((step) => lay.tubes[step.tube].name === here));
  const lost = laid.length - kept.length;
  if (lost)
    bench.notice = `No longer in this lay: ${counted(lost, "tube")} that ${lost === 1 ? "was" : "were"} ticked.`;
  show(bench);
}

function frame(bench) {
  const act = (f) => (event) => {
    if (event.detail > 1) return; // the second tap of a glove that touched twice
    f();
    show(bench);
  };
  const course = () => bench.course;
  const main = h("button.bench-main", { onclick: act(() => onward(bench)) });
  const back = h("button", { onclick: act(() => step(bench, () => course().back())) }, "Back");
  const ahead = h("button", { onclick: act(() => step(bench, () => course().ahead())) }, "Ahead");
  const list = h(
    "button",
    { onclick: act(() => turnTo(bench, bench.sheet === "list" ? "tube" : "list")) },
    "All tubes",
  );
  const progress = h(
    "div.bench-progress",
    { role: "progressbar", "aria-label": "Tubes laid", "aria-valuemin": "0" },
    h("span"),
  );
  const undo = h("button", { onclick: act(() => takeBack(bench)) });
  const where = h("p.bench-where");
  const count = h("p.bench-count");
  const heard = h("p.unseen", { role: "status", "aria-live": "polite" });
  const notice = h("div.bench-notice");
  const sheet = h("div.bench-sheet", { tabindex: "0", role: "region", "aria-label": "At the bench" });
  return {
    main,
    back,
    ahead,
    list,
    undo,
    progress,
    where,
    count,
    heard,
    notice,
    sheet,
    rows: {
      head: h("div.bench-head", {}, progress, where, count),
      sheet,
      notice,
      bar: h("div.bench-bar", {}, back, ahead, list, undo, main),
      heard,
    },
  };
}

function turnTo(bench, sheet) {
  bench.sheet = sheet;
  bench.words = "";
}

/** Out of the list of all tubes, as its button does. */
function turnBack(bench, event) {
  event.preventDefault();
  turnTo(bench, "tube");
  show(bench);
}

function step(bench, go) {
  if (bench.sheet === "tube") go();
  turnTo(bench, "tube");
}

function onward(bench) {
  bench.notice = "";
  if (bench.sheet === "tube") bench.course.done();
  turnTo(bench, "tube");
}

function takeBack(bench) {
  bench.course.undo();
  bench.notice = "";
  turnTo(bench, "tube");
}

function show(bench) {
  bench.texts.end();
  bench.texts = followTexts(bench.lay, bench.state);
  const { course, parts, lay, state, texts } = bench;
  if (!course.steps.length && bench.sheet === "tube") bench.sheet = "cautions";
  const here = course.step();
  const laid = course.laid();
  const untick = () => {
    course.untick();
    show(bench);
  };
  const sheet = {
    cautions: () => cautionsCard(lay, course, texts),
    tube: () => (here ? tubeCard(lay, here, laid.has(here.tube), texts, untick) : endCard(lay, course, texts)),
    list: () => listSheet(bench, () => show(bench)),
  }[bench.sheet]();
  const hadFocus = isWithin(bench, document.activeElement);
  const page = `${bench.sheet} ${course.at()}`;
  parts.sheet.replaceChildren(sheet);
  // At first it is there already: to say so costs a layout.
  if (page !== bench.page && bench.page) parts.sheet.scrollTop = 0;
  bench.page = page;
  showBar(bench, here, laid);
  showNotice(bench);
  showProgress(bench);
  say(bench);
  if (hadFocus && !isWithin(bench, document.activeElement)) parts[parts.main.hidden ? "list" : "main"].focus();
  // What is laid is told elsewhere too, as on paper; what comes next only here.
  const now = bench.sheet === "cautions" ? null : (here?.tube ?? null);
  if (state.get().mode !== "bench") state.set({ laid });
  // What was chosen before is no longer what the worker is about.
  else state.set(now === state.get().now ? { laid } : { laid, now, chosen: null });
}

/** Whoever pressed a button that is gone goes on from the large one. */
function isWithin({ parts }, element) {
  return Object.values(parts.rows).some((row) => row.contains(element));
}

function showBar({ course, parts, sheet }, here, laid) {
  const isOpen = sheet === "tube";
  parts.main.textContent = mainWords(course, sheet, here, laid);
  parts.main.hidden = !course.steps.length || (isOpen && !here);
  parts.back.disabled = !course.steps.length || (isOpen && course.at() === 0);
  parts.ahead.disabled = !here || !isOpen;
  const last = course.last();
  parts.undo.disabled = last === null;
  parts.undo.replaceChildren("Undo", ...(last === null ? [] : [h("small", {}, last)]));
  parts.list.textContent = sheet === "list" ? "Close" : "All tubes";
  parts.list.setAttribute("aria-expanded", String(sheet === "list"));
}

function mainWords(course, sheet, here, laid) {
  if (sheet === "cautions") return course.laidCount() ? "Go on" : "Begin";
  if (sheet === "list") return "Back to work";
  return here && laid.has(here.tube) ? "Next to lay" : "Done, next";
}

function showProgress({ course, parts, sheet }) {
  const here = sheet === "tube" ? course.step() : null;
  parts.where.textContent = here ? whereabouts(here) : "";
  const [count, all] = [course.laidCount(), course.steps.length];
  parts.count.textContent = all ? `${count} of ${counted(all, "tube")} laid` : "No tubes to lay";
  parts.progress.setAttribute("aria-valuemax", String(all));
  parts.progress.setAttribute("aria-valuenow", String(count));
  parts.progress.firstChild.style.width = `${all ? (100 * count) / all : 0}%`;
}

/** What the reader must know, once. */
function showNotice(bench) {
  const again = (f) => () => {
    f();
    show(bench);
  };
  const rows = [];
  const understood = again(() => (bench.notice = ""));
  if (bench.notice) rows.push(h("p", {}, bench.notice, h("button", { onclick: understood }, "Understood")));
  if (bench.offer) rows.push(offerRow(bench, again));
  bench.parts.notice.replaceChildren(...rows);
}

function offerEarlier(bench) {
  const earlier = bench.ticks.count() ? null : bench.ticks.earlier();
  bench.offer = earlier;
}

function offerRow(bench, again) {
  const { indexes } = bench.offer;
  const says = `Ticks of an earlier state of this scene are here: ${counted(indexes.length, "tube")} of it.`;
  const take = again(() => {
    bench.course.take(indexes, "ticks taken over");
    bench.offer = null;
  });
  const leave = again(() => (bench.offer = null));
  return h("p", {}, says, h("button", { onclick: take }, "Take them"), h("button", { onclick: leave }, "Leave them"));
}

function say(bench) {
  const { course, parts, state, lay, texts } = bench;
  const here = course.step();
  if (bench.sheet !== "tube" || state.get().mode !== "bench") return;
  const words = here
    ? spoken(lay.tubes[here.tube], here, state.get().unit)
    : "All tubes of the order of work are laid.";
  const done = course.last() === bench.heard ? "" : `${course.last() ?? ""} `;
  bench.heard = course.last();
  parts.heard.textContent = done + texts.plain(words);
}

const KEYS = {
  ArrowLeft: (bench) => step(bench, () => bench.course.back()),
  ArrowRight: (bench) => step(bench, () => bench.course.ahead()),
  Enter: onward,
  " ": onward,
};

function pressed(bench, event) {
  if (bench.state.get().mode !== "bench" || event.repeat) return;
  if (event.key === "Escape" && bench.sheet === "list" && !event.defaultPrevented) turnBack(bench, event);
  if (!KEYS[event.key]) return;
  if (event.ctrlKey || event.altKey || event.metaKey || event.defaultPrevented) return;
  const busy = event.key.startsWith("Arrow")
    ? "input, select, textarea, canvas"
    : "input, select, textarea, canvas, button, a, summary";
  if (event.target.closest?.(busy)) return;
  event.preventDefault();
  KEYS[event.key](bench);
  show(bench);
}
