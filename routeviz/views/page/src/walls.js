/** Which boxes stand between the eye and everything worth seeing, so that they may step back. */

/** The lowest and highest corner of some of a room's triangles. */
export function boxOf({ points, triangles }, [begin, count]) {
  const low = [Infinity, Infinity, Infinity];
  const high = [-Infinity, -Infinity, -Infinity];
  for (let k = begin; k < begin + count; k++) {
    for (let j = 0; j < 3; j++) {
      const value = points[3 * triangles[k] + j];
      if (value < low[j]) low[j] = value;
      if (value > high[j]) high[j] = value;
    }
  }
  return [low, high];
}

/** The box around all points of some chains; without any it is endless, so that nothing stands before it. */
export function boxAround(chains) {
  if (!chains.length) return [Array(3).fill(-Infinity), Array(3).fill(Infinity)];
  const low = [Infinity, Infinity, Infinity];
  const high = [-Infinity, -Infinity, -Infinity];
  for (const points of chains) {
    for (let k = 0; k < points.length; k++) {
      low[k % 3] = Math.min(low[k % 3], points[k]);
      high[k % 3] = Math.max(high[k % 3], points[k]);
    }
  }
  return [low, high];
}

/** Whether a box lies beyond one side of what is worth seeing, and the eye farther out on that side. */
export function isBefore([low, high], [worthLow, worthHigh], eye) {
  return [0, 1, 2].some(
    (k) => (low[k] >= worthHigh[k] && eye[k] > high[k]) || (high[k] <= worthLow[k] && eye[k] < low[k]),
  );
}
