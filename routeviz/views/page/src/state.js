/** One small store for what the page shows: who sets it needs not know who listens. */

export const BEGIN = Object.freeze({
  mode: "found",
  chosen: null,
  unit: "mm",
  theme: "light",
  press: Object.freeze({ share: 0, only: null }),
  cut: null,
  parts: Object.freeze({}),
  laid: new Set(),
  now: null,
  measuring: false,
  ends: Object.freeze([]),
});

/**
 * Make a store.
 * @param {object} first what differs from `BEGIN`
 * @returns {{get: function(): object, set: function(object): void, on: function(string|string[], function): function}}
 *   `on` calls back once a `set` with those of its keys that changed, and returns what ends it.
 */
export function createState(first = {}) {
  let now = { ...BEGIN, ...first };
  const listeners = new Set();
  for (const key of Object.keys(first)) known(key);

  function known(key) {
    if (!(key in BEGIN)) throw new Error(`nothing is called ${key}: there are ${Object.keys(BEGIN).join(", ")}`);
  }

  return {
    get: () => now,
    set(patch) {
      Object.keys(patch).forEach(known);
      const changed = Object.keys(patch).filter((key) => !Object.is(now[key], patch[key]));
      if (!changed.length) return;
      now = { ...now, ...patch };
      for (const { keys, f } of [...listeners]) {
        const mine = changed.filter((key) => keys.includes(key));
        if (mine.length) f(Object.fromEntries(mine.map((key) => [key, now[key]])), now);
      }
    },
    on(keys, f) {
      const listener = { keys: [keys].flat(), f };
      listener.keys.forEach(known);
      listeners.add(listener);
      return () => listeners.delete(listener);
    },
  };
}
