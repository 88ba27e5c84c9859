/** Finding tubes by what a fitter would call them, and putting them in order. */

const FILLERS = new Set(["hole", "tube", "number", "no", "nr", "pneumatic", "tag", "passage", "to", "from", "the"]);
const MISSING = Infinity;

/**
 * Take a text apart into words and numbers: "Stack-012b" gives stack, 12, b.
 * @param {string} text
 * @returns {string[]}
 */
export function words(text) {
  const plain = text.normalize("NFKD").replace(/\p{M}/gu, "").toLowerCase();
  const found = plain.match(/\p{L}+|\p{N}+/gu) ?? [];
  return found.map((word) => (/^\d+$/.test(word) ? word.replace(/^0+(?=\d)/, "") : word));
}

/**
 * Make a search through tubes.
 * @param {object[]} tubes
 * @returns {function(string): number[]} places of the tubes that answer a query, in their own order
 */
export function searchOf(tubes) {
  const known = tubes.map((tube) => [
    ...[tube.to, tube.from, tube.tag, tube.label ?? "", tube.name, ...tube.through].map(words),
    // sizes are nobody's number
    ...[tube.tubing, tube.carries].map((text) => words(text).filter((word) => !/\d/.test(word))),
  ]);
  return (query) => {
    const asked = wanted(words(query), known);
    for (const answers of [together, apart, within]) {
      const found = known.flatMap((fields, k) => (answers(fields, asked) ? [k] : []));
      if (found.length) return found;
    }
    return [];
  };
}

/** Words such as "hole" say nothing where no tube has them. */
function wanted(asked, known) {
  const kept = asked.filter(
    (word) => !FILLERS.has(word) || known.some((fields) => fields.some((field) => field.includes(word))),
  );
  return kept.length ? kept : asked;
}

/** All that was asked, one after the other in one field. */
function together(fields, asked) {
  const stand = (field) => field.some((_, k) => asked.every((word, n) => same(field[k + n], word)));
  return !asked.length || fields.some(stand);
}

/** All that was asked, wherever. */
function apart(fields, asked) {
  return asked.every((word) => fields.some((field) => field.some((one) => same(one, word))));
}

/** All that was asked, within longer words and numbers too. */
function within(fields, asked) {
  return asked.every((word) => fields.some((field) => field.some((one) => one.includes(word))));
}

/** A number is meant as a whole; a word may be begun. */
function same(one, word) {
  if (one === undefined) return false;
  return /^\p{N}/u.test(word) ? one === word : one.startsWith(word);
}

/** What each column is sorted by: tubes that have no such number come last. */
export const COLUMNS = {
  name: (tube) => tube.tag || tube.name,
  length: (tube) => tube.length ?? MISSING,
  bend: (tube) => tube.bend?.radius ?? MISSING,
  clearance: (tube) => tube.clearance?.mm ?? MISSING,
};

/**
 * Put tubes in order.
 * @param {object[]} tubes
 * @param {string} column one of `COLUMNS`
 * @param {1|-1} way 1 from the least
 * @returns {number[]} their places
 */
export function sorted(tubes, column, way) {
  const key = COLUMNS[column];
  const collator = new Intl.Collator("en", { numeric: true });
  const places = tubes.map((_, k) => k);
  return places.sort((one, other) => {
    const [a, b] = [key(tubes[one]), key(tubes[other])];
    if (a === b) return one - other;
    if (a === MISSING || b === MISSING) return a === MISSING ? 1 : -1;
    const order = typeof a === "string" ? collator.compare(a, b) : a - b;
    return way * order || one - other;
  });
}
