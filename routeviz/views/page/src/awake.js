// Keeping a tablet from going to sleep while its reader has both hands in a case; where it cannot be, it is let be.

/**
 * Keep the screen on while somebody wants it.
 * @param {Navigator} device
 * @param {Document} page whose lock is lost whenever it is hidden
 * @returns {function(boolean): void} says whether it is wanted
 */
export function stayAwake(device = navigator, page = document) {
  let wanted = false;
  let lock = null;

  async function settle() {
    try {
      if (wanted && page.visibilityState === "visible" && (!lock || lock.released)) {
        lock = await device.wakeLock.request("screen");
      }
      if (!wanted && lock) {
        await lock.release();
        lock = null;
      }
    } catch {
      lock = null; // no such thing here, or a battery that is nearly empty
    }
  }

  // One after the other: two at once would take two locks and give one back.
  let settled = Promise.resolve();
  const again = () => (settled = settled.then(settle));
  page.addEventListener("visibilitychange", again);
  return (isWanted) => {
    wanted = isWanted;
    again();
  };
}
