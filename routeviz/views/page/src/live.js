/** Hearing from the server of a living page: each change of the scene, what is wrong with it, and that it is gone. */

import { readLay } from "./data.js";

/** What is said while the server does not answer. */
export const GONE =
  "The server of this page does not answer any more. What stands here is the last that it sent; " +
  "to go on, call `routeviz page SCENE --watch` again and open the address that it prints.";

/**
 * Listen until the page is left. Only for a page that came from `routeviz page --watch`: `<html data-live="…">`.
 * @param {object} told what is called back
 * @param {function(object): void} told.onLay with each new lay
 * @param {function(string[]|null): void} told.onMessages with what is wrong with the scene as it is now, in texts;
 *   with null once nothing is, also after the server has come back
 * @param {function(string): void} told.onGone once, with a sentence, when the server does not answer any more; the
 *   browser goes on asking, and once it is heard, `onMessages` is called again
 * @returns {function(): void} what ends the listening
 */
export function listen({ onLay, onMessages, onGone }) {
  const seen = document.documentElement.dataset.live;
  const source = new EventSource(`events?seen=${encodeURIComponent(seen)}`);
  let gone = false;

  source.addEventListener("lay", (event) => onLay(readLay(event.data)));
  source.addEventListener("messages", (event) => {
    gone = false;
    const texts = JSON.parse(event.data);
    onMessages(texts.length ? texts : null);
  });
  source.addEventListener("error", () => {
    if (!gone) onGone(GONE);
    gone = true;
  });
  return () => source.close();
}
