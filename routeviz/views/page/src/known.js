/** How things are known, in words: measured, assumed and so on. What is drawn otherwise for it, the signs say. */

/**
 * How a part is known, where that is told beside its name.
 * @param {object} lay
 * @param {string|null} part
 * @returns {string} "assumed" and the like; nothing for what was measured or documented, or nobody spoke of
 */
export function doubtOf(lay, part) {
  return told(lay, lay.parts?.find(({ name }) => name === part)?.status);
}

/**
 * A status, where it is told beside a name.
 * @param {object} lay
 * @param {string|null|undefined} status
 * @returns {string}
 */
export function told(lay, status) {
  return status && lay.signs?.doubts?.[status] ? status : "";
}

/**
 * Say why a part is no surer, in a few words.
 * @param {object} lay
 * @param {string|null} name of the part
 * @returns {string} "assumed: its edges are behind the plinth"; nothing where nothing is told
 */
export function doubtSays(lay, name) {
  const status = doubtOf(lay, name);
  if (!status) return "";
  const { known } = lay.parts.find((part) => part.name === name);
  return headOf(lay, known.find((one) => one.status === status) ?? { status });
}

/**
 * What is said of some values, in a few words.
 * @param {object} lay
 * @param {{status: string, why?: string, source?: string}} said
 * @returns {string}
 */
export function headOf(lay, { status, why, source }) {
  const reason = why ?? source ?? lay.signs?.doubts?.[status]?.says;
  return reason ? `${status}: ${reason}` : status;
}
