// Hearing from the server, played by a source of events as the HTML standard has it.

import assert from "node:assert/strict";
import { afterEach, beforeEach, test } from "node:test";

import { GONE, listen } from "../../routeviz/views/page/src/live.js";

const LAY = JSON.stringify({ format: 1, forms: [], solids: [], spaces: [], passages: [], nipples: [], tubes: [] });

/** A browser's source of events as far as the HTML standard has it (9.2): events come by name, errors as "error". */
class Source extends EventTarget {
  constructor(address) {
    super();
    this.address = address;
    this.closed = false;
    Source.last = this;
  }
  tell(name, data) {
    this.dispatchEvent(Object.assign(new Event(name), { data }));
  }
  close() {
    this.closed = true;
  }
}

let told;
const heard = {
  onLay: (lay) => told.push(["lay", lay.title]),
  onMessages: (texts) => told.push(["messages", texts]),
  onGone: (says) => told.push(["gone", says]),
};

beforeEach(() => {
  told = [];
  globalThis.EventSource = Source;
  globalThis.document = { documentElement: { dataset: { live: "abc 1&2" } } };
});
afterEach(() => {
  delete globalThis.EventSource;
  delete globalThis.document;
});

test("it asks beside its own page and says what it shows", () => {
  listen(heard);
  const asked = new URL(Source.last.address, "http://127.0.0.1:8000/token/");
  assert.equal(asked.pathname, "/token/events");
  assert.equal(asked.searchParams.get("seen"), "abc 1&2");
});

test("each new lay is read before it is handed on", () => {
  listen(heard);
  for (const title of ["second", "third"]) {
    Source.last.tell("lay", JSON.stringify({ ...JSON.parse(LAY), title }));
  }
  assert.deepEqual(told, [["lay", "second"], ["lay", "third"]]);
});

test("what is wrong comes as texts, and that nothing is comes as null", () => {
  listen(heard);
  Source.last.tell("messages", JSON.stringify(["case.toml:3: no kind", "<b>"]));
  Source.last.tell("messages", "[]");
  assert.deepEqual(told, [["messages", ["case.toml:3: no kind", "<b>"]], ["messages", null]]);
});

test("a server that does not answer is told once, however often the browser asks in vain", () => {
  listen(heard);
  for (let n = 0; n < 5; n++) Source.last.tell("error");
  assert.deepEqual(told, [["gone", GONE]]);
  assert.match(GONE, /does not answer any more/);
});

test("a server that is back takes the sentence away, and can be lost again", () => {
  listen(heard);
  Source.last.tell("error");
  Source.last.tell("messages", "[]");
  Source.last.tell("error");
  assert.deepEqual(told.map(([what]) => what), ["gone", "messages", "gone"]);
});

test("it can be ended", () => {
  const end = listen(heard);
  assert.equal(Source.last.closed, false);
  end();
  assert.equal(Source.last.closed, true);
});
