// The order of work as the bench follows it, and apart from it what cannot be laid.

/**
 * One tube to lay.
 * @typedef {object} Step
 * @property {number} tube index into the lay's tubes
 * @property {object} entry what the order of work says of it
 * @property {string|null} stage
 * @property {{number: number, of: number, says: string}} run
 * @property {{number: number, of: number}} place within its run
 */

/**
 * The order of work and the tubes that stand apart from it.
 * @param {object} lay the page's data
 * @returns {{steps: Step[], aside: {tube: number, why: string}[]}}
 */
export function workList(lay) {
  const entries = lay.work.filter((entry) => lay.tubes[entry.tube].points);
  const runs = runsOf(entries);
  const met = new Map();
  const steps = entries.map((entry) => {
    const run = runs.get(runKey(entry));
    const number = (met.get(run) ?? 0) + 1;
    met.set(run, number);
    return {
      tube: entry.tube,
      entry,
      stage: entry.stage,
      run: { number: run.number, of: runs.size, says: lay.runs[entry.run].says },
      place: { number, of: run.count },
    };
  });
  const listed = new Set(steps.map((step) => step.tube));
  const aside = lay.tubes.flatMap((_, tube) => (listed.has(tube) ? [] : [{ tube, why: whyAside(lay, tube) }]));
  return { steps, aside };
}

/**
 * The step to go on with: the first after a place that is not laid yet, then the first before it.
 * @param {Step[]} steps
 * @param {Set<number>} laid tube indexes
 * @param {number} after place in the list; -1 for the beginning
 * @returns {number|null} a place in the list; null when all is laid
 */
export function nextOpen(steps, laid, after) {
  for (let k = 1; k <= steps.length; k += 1) {
    const place = (after + k) % steps.length;
    if (!laid.has(steps[place].tube)) return place;
  }
  return null;
}

/**
 * The places in the list of the tubes that somebody asks for: by their tag where one has it, else by any search.
 * @param {Step[]} steps
 * @param {object[]} tubes the lay's
 * @param {string} words as typed
 * @param {function(string): number[]} search through all tubes, as `searchOf` makes it
 * @returns {number[]}
 */
export function placesNamed(steps, tubes, words, search) {
  const wanted = words.trim().toLowerCase();
  const places = steps.map((_, place) => place);
  if (!wanted) return places;
  const tagged = places.filter((place) => tubes[steps[place].tube].tag.toLowerCase() === wanted);
  if (tagged.length) return tagged;
  const found = new Set(search(words));
  return places.filter((place) => found.has(steps[place].tube));
}

/**
 * Which end of a tube goes on first.
 * @param {object} tube
 * @param {object} entry of the order of work: `first_end` names it, or that it is loose, and says why after a colon
 * @returns {{end: string, other: string, isFrom: boolean, why: string}}
 */
export function firstEnd(tube, entry) {
  const isFrom = entry.at_start;
  const [end, other] = isFrom ? [tube.from, tube.to] : [tube.to, tube.from];
  const isNamed = entry.first_end.startsWith(`${end}: `);
  return { end, other, isFrom, why: isNamed ? entry.first_end.slice(end.length + 2) : entry.first_end };
}

/** A run that two stages share is counted in each. */
function runKey({ stage, run }) {
  return JSON.stringify([stage, run]);
}

function runsOf(entries) {
  const runs = new Map();
  for (const entry of entries) {
    const key = runKey(entry);
    if (!runs.has(key)) runs.set(key, { number: runs.size + 1, count: 0 });
    runs.get(key).count += 1;
  }
  return runs;
}

function whyAside(lay, index) {
  const found = lay.findings.find((finding) => finding.rule === "no_way" && finding.tubes.includes(index));
  if (found) return found.says;
  const { hidden, points, left } = lay.tubes[index];
  if (hidden) return `Its run is not seen: ${hidden}`;
  if (points) return left ?? "It is not in the order of work.";
  return "It has no route: nobody has drawn or taped one, and no plan has laid it.";
}
