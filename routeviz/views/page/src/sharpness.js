/**
 * How finely pictures are drawn: quick ones while something moves, a sharp one when all has come to rest.
 *
 * A sharp picture has twice as many pixels each way as the page and is drawn small, which smooths its edges. Where a
 * sharp picture proves to be quick, all are sharp from then on: whether there is a graphics card, nobody has to ask.
 */

const SHARP = 2; // pixels a pixel of the page
const QUICK_MS = 24; // in which a sharp picture is drawn where there is a graphics card
const REST_MS = 180; // without change, until a sharp picture is drawn

/** Begin with quick pictures. `ask` asks for a picture. */
export function createSharpness(ask) {
  return { ask, isQuick: false, isResting: false, timer: 0 };
}

/** How many pixels a pixel of the page the next picture has. */
export const ratioOf = ({ isQuick, isResting }) => (isQuick || isResting ? SHARP : 1);

/** After a picture was drawn: wait for rest, or see how long the sharp one took. */
export function drawn(sharpness, gl) {
  clearTimeout(sharpness.timer);
  sharpness.timer = 0;
  if (sharpness.isQuick) return;
  if (sharpness.isResting) {
    sharpness.isResting = false;
    clocked(sharpness, gl, performance.now());
    return;
  }
  sharpness.timer = setTimeout(() => {
    sharpness.timer = 0;
    sharpness.isResting = true;
    sharpness.ask();
  }, REST_MS);
}

/** A change before rest is over: the picture that is asked for already is a quick one again. */
export const moving = (sharpness) => (sharpness.isResting = false);

function clocked(sharpness, gl, began) {
  const fence = gl.fenceSync(gl.SYNC_GPU_COMMANDS_COMPLETE, 0);
  gl.flush();
  const look = () => {
    if (gl.isContextLost()) return;
    const isDone = gl.getSyncParameter(fence, gl.SYNC_STATUS) === gl.SIGNALED;
    if (!isDone && performance.now() - began < QUICK_MS) setTimeout(look, 4);
    else {
      sharpness.isQuick = isDone && performance.now() - began < QUICK_MS;
      gl.deleteSync(fence);
    }
  };
  setTimeout(look, 4);
}
