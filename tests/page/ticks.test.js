// Ticks: kept in stores of every kind, saved to files and read from them, right and wrong ones.

import assert from "node:assert/strict";
import { test } from "node:test";

import { openTicks, readTicks } from "../../routeviz/views/page/src/ticks.js";

const NAMES = ["bar 1", "bar 2", "</script>", "أنبوب"];
const layOf = (title, names = NAMES) => ({ title, tubes: names.map((name) => ({ name })) });
const SAVED = new Date(Date.UTC(2031, 1, 3, 4, 5, 6));

/** A store as browsers have it, in memory. */
function memory() {
  const kept = new Map();
  return {
    getItem: (key) => kept.get(key) ?? null,
    setItem: (key, value) => void kept.set(key, value),
    removeItem: (key) => void kept.delete(key),
    key: (k) => [...kept.keys()][k] ?? null,
    get length() {
      return kept.size;
    },
  };
}

function ticked(title, indexes, { store = memory(), names = NAMES } = {}) {
  const ticks = openTicks(layOf(title, names), store);
  indexes.forEach((index) => ticks.set(index, true));
  return ticks;
}

test("ticks are there again after a reload", () => {
  const store = memory();
  ticked("Thistledown", [0, 3], { store }).set(0, false);
  const again = openTicks(layOf("Thistledown"), store);
  assert.deepEqual([...again.all()], [3]);
  assert.equal(again.count(), 1);
  assert.equal(again.stored(), true);
});

test("a scene of another title or with other tubes does not take them", () => {
  const store = memory();
  ticked("Thistledown", [0, 1], { store });
  assert.equal(openTicks(layOf("Thistlebank"), store).count(), 0);
  assert.equal(openTicks(layOf("Thistledown", ["bar 1", "bar 2"]), store).count(), 0);
  assert.equal(openTicks(layOf("Thistledown", [...NAMES].reverse()), store).count(), 0);
  assert.equal(openTicks(layOf("Thistledown"), store).count(), 2);
});

test("ticks of an earlier state of the same scene are offered, with how many tubes are left of them", () => {
  const store = memory();
  ticked("Thistledown", [0, 1], { store });
  const changed = openTicks(layOf("Thistledown", ["new", "bar 2"]), store);
  assert.deepEqual(changed.earlier(), { indexes: [1], lost: 1 });
  assert.equal(openTicks(layOf("Another", ["new", "bar 2"]), store).earlier(), null);
});

test("a saved file read again gives the same ticks", () => {
  const { name, text } = ticked("Thistledown, a piano", [1, 2, 3]).save(SAVED);
  assert.equal(name, "Thistledown-a-piano-ticks-2031-02-03.json");
  const fresh = ticked("Thistledown, a piano", []);
  const found = fresh.read(text);
  assert.deepEqual(found.indexes, [1, 2, 3]);
  assert.equal(found.lost, 0);
  assert.match(found.says, /^3 ticks read from the file saved 2031-02-03 at 04:05\.$/);
  fresh.replace(found.indexes);
  assert.deepEqual(JSON.parse(fresh.save(SAVED).text), JSON.parse(text));
});

test("the file says title, date and names in plain JSON", () => {
  const { text } = ticked("Thistledown", [2]).save(SAVED);
  const said = JSON.parse(text);
  assert.equal(said.title, "Thistledown");
  assert.equal(said.saved, "2031-02-03T04:05:06.000Z");
  assert.deepEqual(said.laid, ["</script>"]);
});

test("a file of an earlier lay keeps the tubes that still exist and says how many do not", () => {
  const { text } = ticked("Thistledown", [0, 1, 3]).save(SAVED);
  const one = readTicks(text, "Thistledown", ["bar 2", "أنبوب"]);
  assert.deepEqual(one.indexes, [0, 1]);
  assert.equal(one.lost, 1);
  assert.match(one.says, /1 tube ticked there is no longer in this lay/);
  const two = readTicks(text, "Thistledown", ["bar 2"]);
  assert.equal(two.lost, 2);
  assert.match(two.says, /2 tubes ticked there are no longer in this lay/);
});

test("a name ticked twice counts once", () => {
  const text = JSON.stringify({
    what: "routeviz ticks",
    format: 1,
    title: "T",
    laid: ["bar 1", "bar 1", "gone", "gone"],
  });
  const found = readTicks(text, "T", NAMES);
  assert.deepEqual(found.indexes, [0]);
  assert.equal(found.lost, 1);
});

const GOOD = {
  what: "routeviz ticks",
  format: 1,
  title: "Thistledown",
  saved: "2031-02-03T04:05:06.000Z",
  laid: ["bar 1"],
};
const WRONG = [
  ["an empty file", "", /not a file of ticks/],
  ["no JSON", "ticks: 1, 2, 3", /not a file of ticks/],
  ["a picture", "\u0089PNG\r\n\u001a\n\0\0", /not a file of ticks/],
  ["JSON cut short", JSON.stringify(GOOD).slice(0, -5), /not a file of ticks/],
  ["nothing", "null", /not a file of ticks/],
  ["a number", "7", /not a file of ticks/],
  ["a list", "[]", /not a file of ticks/],
  ["JSON of something else", '{"format": 1, "title": "Thistledown", "runs": []}', /not a file of ticks/],
  ["a later format", JSON.stringify({ ...GOOD, format: 2 }), /another version/],
  ["no list of names", JSON.stringify({ ...GOOD, laid: "bar 1" }), /damaged/],
  ["a name that is a number", JSON.stringify({ ...GOOD, laid: ["bar 1", 2] }), /damaged/],
  ["a date that is a number", JSON.stringify({ ...GOOD, saved: 5 }), /damaged/],
  ["no title", JSON.stringify({ ...GOOD, title: undefined }), /damaged/],
  ["another scene", JSON.stringify({ ...GOOD, title: "Thistlebank" }), /another scene, “Thistlebank”/],
  ["another scene, long title", JSON.stringify({ ...GOOD, title: "T".repeat(1000) }), /another scene, “T{60}…”/],
  ["tubes that are all gone", JSON.stringify({ ...GOOD, laid: ["a", "b"] }), /None of the tubes/],
  ["a huge file", " ".repeat(4_000_001), /too large/],
];

for (const [what, text, says] of WRONG) {
  test(`a wrong file gives one plain sentence: ${what}`, () => {
    const { problem } = readTicks(text, "Thistledown", NAMES);
    assert.match(problem, says);
    assert.match(problem, /^[^.]+\.$/);
  });
}

test("a file with no ticks at all is right, and takes all off", () => {
  const found = readTicks(JSON.stringify({ ...GOOD, laid: [] }), "Thistledown", NAMES);
  assert.deepEqual(found.indexes, []);
});

const BLOCKED = {
  none: null,
  "one that refuses to be read": {
    getItem() {
      throw new Error("SecurityError");
    },
  },
  "one that is full": {
    ...memory(),
    length: 0,
    setItem() {
      throw new Error("QuotaExceededError");
    },
  },
};

for (const [what, store] of Object.entries(BLOCKED)) {
  test(`without a store ticks are still taken, and it is known that they are not kept: ${what}`, () => {
    const ticks = ticked("Thistledown", [1], { store });
    assert.deepEqual([...ticks.all()], [1]);
    assert.equal(ticks.stored(), false);
    assert.equal(ticks.earlier(), null);
  });
}

test("what is broken in the store is passed over", () => {
  const store = memory();
  ticked("Thistledown", [1], { store });
  for (let k = 0; k < store.length; k += 1) store.setItem(store.key(k), '{"laid": 3}');
  const ticks = openTicks(layOf("Thistledown"), store);
  assert.equal(ticks.count(), 0);
  assert.equal(ticks.stored(), true);
});
