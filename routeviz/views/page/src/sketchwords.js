// Badges and names on a flat picture.

const BADGE = 11; // half the height of a badge, in pixels
const FONT = "system-ui, sans-serif";

/**
 * Draw a badge at each finding that has a place, the worst on top.
 * @param {CanvasRenderingContext2D} ink
 * @param {object} lay
 * @param {function} placed
 * @param {object} how emphasis
 */
export function sketchBadges(ink, lay, placed, { emphasis }) {
  ink.globalAlpha = 1;
  for (let k = lay.findings.length - 1; k >= 0; k -= 1) {
    const finding = lay.findings[k];
    if (!finding.point || (emphasis.findings && !emphasis.findings.has(k))) continue;
    const [x, y] = placed(finding.point);
    if (!Number.isNaN(x)) drawBadge(ink, [x, y], finding, lay.signs.badges[finding.severity]);
  }
}

function drawBadge(ink, [x, y], { number }, colours) {
  ink.beginPath();
  outlines[colours.shape](ink, x, y);
  ink.fillStyle = colours.fill;
  ink.strokeStyle = colours.rim;
  ink.lineWidth = 1.5;
  ink.fill();
  ink.stroke();
  ink.fillStyle = colours.text;
  ink.font = `600 ${number > 99 ? 9 : 12}px ${FONT}`;
  ink.textAlign = "center";
  ink.textBaseline = "middle";
  ink.fillText(String(number), x, y + (colours.shape === "triangle" ? 4 : 1));
}

const outlines = {
  disc: (ink, x, y) => ink.arc(x, y, BADGE, 0, 2 * Math.PI),
  triangle: (ink, x, y) => {
    ink.moveTo(x, y - 1.3 * BADGE);
    ink.lineTo(x + 1.3 * BADGE, y + BADGE);
    ink.lineTo(x - 1.3 * BADGE, y + BADGE);
    ink.closePath();
  },
  square: (ink, x, y) => ink.rect(x - BADGE, y - BADGE, 2 * BADGE, 2 * BADGE),
};

/**
 * Write the names of passages, and the tags of the tubes that are looked at.
 * @param {CanvasRenderingContext2D} ink
 * @param {object} lay
 * @param {function} placed
 * @param {object} how emphasis, paper, text, wide, high
 */
export function sketchLabels(ink, lay, placed, how) {
  ink.globalAlpha = 1;
  const taken = [];
  for (const index of how.emphasis.labelled) {
    const { points, tag } = lay.tubes[index];
    if (!points?.length) continue;
    const middle = 3 * Math.floor(points.length / 6);
    write(ink, placed(points.slice(middle, middle + 3)), { words: tag, size: 18, colour: how.text }, { how, taken });
  }
  for (const passage of lay.passages) {
    const colour = lay.looks[passage.look].line;
    write(
      ink,
      placed(passage.middle),
      { words: passage.name, size: 12, colour: how.dark ? how.text : colour },
      { how, taken },
    );
  }
}

/** A name on paper, beside its place; left out where another one stands already. */
function write(ink, [x, y], { words, size, colour }, { how, taken }) {
  if (!(x > 0 && x < how.wide && y > 0 && y < how.high)) return;
  const letters = [...words];
  const text = letters.length > 40 ? `${letters.slice(0, 40).join("")}…` : words;
  ink.font = `600 ${size}px ${FONT}`;
  const wide = ink.measureText(text).width;
  const left = Math.min(Math.max(2, x + 8), how.wide - wide - 2);
  const box = { left, right: left + wide, top: y - 8 - size, bottom: y - 8 };
  if (taken.some((other) => overlap(box, other))) return;
  taken.push(box);
  ink.textAlign = "left";
  ink.textBaseline = "alphabetic";
  ink.setLineDash([]);
  ink.lineWidth = 4;
  ink.strokeStyle = how.paper;
  ink.strokeText(text, left, y - 10);
  ink.fillStyle = colour;
  ink.fillText(text, left, y - 10);
}

function overlap(one, other) {
  return one.left < other.right && other.left < one.right && one.top < other.bottom && other.top < one.bottom;
}
