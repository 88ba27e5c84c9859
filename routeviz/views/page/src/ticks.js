// Which tubes are laid: kept by the browser where it can, saved to a file and read from one.

import { capital, counted } from "./texts.js";

const MARK = "routeviz ticks";
const FORMAT = 1;
const LONGEST = 4_000_000; // characters of a file; 10,000 names of 200 are half of it

/**
 * Open the ticks of a lay.
 * @param {object} lay the page's data
 * @param {Storage|null} [store] where the browser keeps them; null where it cannot
 * @returns {object} `has(i)`, `set(i, laid)`, `count()`, `all()`, `replace(indexes)`, `save(date)`, `read(text)`,
 *   `earlier()` and `stored()`
 */
export function openTicks(lay, store = browserStore()) {
  const names = lay.tubes.map((tube) => tube.name);
  const key = `${MARK}: ${JSON.stringify([lay.title, digest(names)])}`;
  const first = recall(store, key);
  const laid = new Set(first.laid === null ? [] : indexesOf(names, first.laid).indexes);
  let stored = first.stored;
  const keep = () => {
    stored = remember(store, key, { title: lay.title, laid: namesOf(names, laid) });
  };
  return {
    has: (index) => laid.has(index),
    set(index, isLaid) {
      if (isLaid) laid.add(index);
      else laid.delete(index);
      keep();
    },
    count: () => laid.size,
    all: () => new Set(laid),
    replace(indexes) {
      laid.clear();
      for (const index of indexes) laid.add(index);
      keep();
    },
    save: (date) => written(lay, namesOf(names, laid), date),
    read: (text) => readTicks(text, lay.title, names),
    earlier: () => earlierOf(store, key, lay.title, names),
    stored: () => stored,
  };
}

/**
 * What a file of ticks says for a lay.
 * @param {string} text the file's
 * @param {string} title the scene's
 * @param {string[]} names the tubes' names
 * @returns {{indexes: number[], lost: number, says: string}|{problem: string}} a problem in one sentence, when it
 *   is no such file
 */
export function readTicks(text, title, names) {
  if (text.length > LONGEST) return { problem: "This file is too large to hold ticks." };
  const file = parsed(text);
  const problem = wrongWith(file, title);
  if (problem) return { problem };
  const { indexes, lost } = indexesOf(names, file.laid);
  if (indexes.length === 0 && lost > 0) {
    return { problem: "None of the tubes ticked in this file is in this lay." };
  }
  const from = file.saved ? ` from the file saved ${file.saved.slice(0, 16).replace("T", " at ")}` : "";
  return { indexes, lost, says: `${capital(counted(indexes.length, "tick"))} read${from}.${lostWords(lost)}` };
}

function lostWords(lost) {
  if (lost === 0) return "";
  return lost === 1
    ? " 1 tube ticked there is no longer in this lay."
    : ` ${lost} tubes ticked there are no longer in this lay.`;
}

function wrongWith(file, title) {
  const isTicks = file !== null && typeof file === "object" && file.what === MARK;
  if (!isTicks) return "This is not a file of ticks saved from this page.";
  if (file.format !== FORMAT) return "These ticks were saved by another version of this page.";
  const fit = Array.isArray(file.laid) && file.laid.every((name) => typeof name === "string");
  const dated = file.saved === undefined || typeof file.saved === "string";
  if (!fit || !dated || typeof file.title !== "string") return "This file of ticks is damaged.";
  if (file.title !== title) return `These ticks belong to another scene, “${shortened(file.title)}”.`;
  return "";
}

function shortened(text) {
  const letters = [...text];
  return letters.length > 60 ? `${letters.slice(0, 60).join("")}…` : text;
}

function written(lay, laid, date) {
  const saved = date.toISOString();
  const text = JSON.stringify({ what: MARK, format: FORMAT, title: lay.title, saved, laid }, null, 1);
  const letters = lay.title.replace(/[^\p{L}\p{N}]+/gu, "-").replace(/^-+|-+$/g, "");
  return { name: `${[...letters].slice(0, 40).join("") || "lay"}-ticks-${saved.slice(0, 10)}.json`, text: `${text}\n` };
}

function indexesOf(names, wanted) {
  const places = new Map(names.map((name, index) => [name, index]));
  const unique = [...new Set(wanted)];
  const indexes = unique.filter((name) => places.has(name)).map((name) => places.get(name));
  return { indexes, lost: unique.length - indexes.length };
}

function namesOf(names, indexes) {
  return names.filter((_, index) => indexes.has(index));
}

function parsed(text) {
  try {
    return JSON.parse(text);
  } catch {
    return null;
  }
}

/** Two running sums of 32 bits over all names: other names, another key. */
function digest(names) {
  let one = 0x811c9dc5;
  let two = 0x1b873593;
  for (const letter of JSON.stringify(names)) {
    one = Math.imul(one ^ letter.codePointAt(0), 0x01000193);
    two = Math.imul(two, 31) + letter.codePointAt(0);
  }
  return `${names.length} ${(one >>> 0).toString(16)} ${(two >>> 0).toString(16)}`;
}

function browserStore() {
  try {
    return globalThis.localStorage ?? null;
  } catch {
    return null;
  }
}

function recall(store, key) {
  try {
    const kept = parsed(store.getItem(key) ?? "null");
    store.setItem(`${MARK}: trial`, "1");
    store.removeItem(`${MARK}: trial`);
    return { laid: isKept(kept) ? kept.laid : null, stored: true };
  } catch {
    return { laid: null, stored: false };
  }
}

function isKept(kept) {
  return kept !== null && typeof kept === "object" && Array.isArray(kept.laid);
}

function remember(store, key, value) {
  try {
    store.setItem(key, JSON.stringify(value));
    return true;
  } catch {
    return false;
  }
}

/** Ticks kept of a lay of the same title with other tubes: how many of them are still here, or null. */
function earlierOf(store, key, title, names) {
  try {
    const keys = Array.from({ length: store.length }, (_, k) => store.key(k));
    const kept = keys.filter((other) => other.startsWith(MARK) && other !== key).map((k) => parsed(store.getItem(k)));
    const found = kept.filter((value) => isKept(value) && value.title === title);
    const best = found.map((value) => indexesOf(names, value.laid)).filter(({ indexes }) => indexes.length);
    best.sort((a, b) => b.indexes.length - a.indexes.length);
    return best[0] ?? null;
  } catch {
    return null;
  }
}
