/** Lengths in words: millimetres to a tenth, or inches to the nearest sixteenth, as the sheets say them. */

const INCH = 25.4;
const MINUS = "\u2212";
const SPACE = "\u00a0";
const BEFORE_UNIT = /(?<=\d) (?=(?:mm|kPa|in)\b)/g;
const IN_TEXT = /(?<![\w.])([-\u2212]?)(\d+(?:\.\d+)?) mm\b/g;

/**
 * Say how many, without the unit.
 * @param {number} mm
 * @param {"mm"|"in"} unit
 * @returns {string} "312.7", or "12 5/16"
 */
export function figure(mm, unit) {
  if (unit === "in") return inches(mm);
  const shown = Math.abs(mm).toFixed(1);
  return (mm < 0 && Number(shown) ? MINUS : "") + shown;
}

/**
 * Say a length.
 * @param {number} mm
 * @param {"mm"|"in"} unit
 * @returns {string} "312.7 mm", or "12 5/16 in"
 */
export function length(mm, unit) {
  return figure(mm, unit) + SPACE + unit;
}

/**
 * Say a length that a limit is held against: below an inch a sixteenth is coarse, and millimetres are said as well;
 * alone, where the nearest sixteenth is none.
 * @param {number} mm
 * @param {"mm"|"in"} unit
 * @returns {string} "2.9 mm", or "1/8 in (2.9 mm)"
 */
export function fine(mm, unit) {
  if (mm !== 0 && figure(mm, "in") === "0") return length(mm, "mm");
  const said = length(mm, unit);
  return unit === "in" && Math.abs(mm) < INCH && mm !== 0 ? `${said} (${length(mm, "mm")})` : said;
}

/**
 * Say a text in which lengths stand in millimetres, each on one line with its unit; what is part of a name is left
 * alone.
 * @param {string} text
 * @param {"mm"|"in"} unit
 * @param {string[]} names those that hold a length of their own
 * @returns {string}
 */
export function inUnit(text, unit, names = []) {
  if (!text.includes(" mm") && !text.includes(" kPa")) return text;
  const name = names.find((one) => text.includes(one));
  if (name) return text.split(name).map((rest) => inUnit(rest, unit, names)).join(name);
  const said =
    unit === "mm" ? text : text.replace(IN_TEXT, (_, sign, digits) => fine((sign ? -1 : 1) * Number(digits), unit));
  return bound(said);
}

/**
 * Keep each number on one line with its unit.
 * @param {string} text
 * @returns {string}
 */
export function bound(text) {
  return text.replace(BEFORE_UNIT, SPACE);
}

function inches(mm) {
  const grains = Math.round(Math.abs(mm) * 100000); // whole numbers: half a sixteenth is met exactly, and goes up
  const sixteenths = Math.floor((grains * 16 + 1270000) / 2540000);
  const whole = Math.floor(sixteenths / 16);
  let over = sixteenths % 16;
  let under = 16;
  while (over && over % 2 === 0) {
    over /= 2;
    under /= 2;
  }
  const parts = [whole || !over ? String(whole) : "", over ? `${over}/${under}` : ""].filter(Boolean);
  return (mm < 0 && sixteenths ? MINUS : "") + parts.join(SPACE);
}
