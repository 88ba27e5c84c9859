// The store of what the page shows.

import assert from "node:assert/strict";
import { test } from "node:test";

import { createState } from "../../routeviz/views/page/src/state.js";

test("who listens is told once a change, of what changed and concerns it", () => {
  const state = createState();
  const heard = [];
  state.on(["unit", "mode"], (changed) => heard.push(changed));
  state.set({ unit: "in", mode: "tubes", measuring: true });
  assert.deepEqual(heard, [{ unit: "in", mode: "tubes" }]);
});

test("what is set to what it was tells nobody", () => {
  const state = createState({ unit: "in" });
  let calls = 0;
  state.on("unit", () => (calls += 1));
  state.set({ unit: "in" });
  assert.equal(calls, 0);
});

test("who has ended listening hears no more", () => {
  const state = createState();
  let calls = 0;
  const end = state.on("unit", () => (calls += 1));
  state.set({ unit: "in" });
  end();
  state.set({ unit: "mm" });
  assert.equal(calls, 1);
});

test("a listener may set something else, and all hear of both", () => {
  const state = createState();
  const heard = [];
  state.on("chosen", () => state.set({ press: { share: 1, only: null } }));
  state.on("chosen", () => heard.push("chosen"));
  state.on("press", () => heard.push("press"));
  state.set({ chosen: { kind: "tube", index: 0 } });
  assert.deepEqual(heard.sort(), ["chosen", "press"]);
  assert.equal(state.get().press.share, 1);
});

test("a field that does not exist is refused by its name", () => {
  const state = createState();
  assert.throws(() => state.set({ colour: 1 }), /colour/);
  assert.throws(() => state.on("colour", () => {}), /colour/);
  assert.throws(() => createState({ colour: 1 }), /colour/);
});
