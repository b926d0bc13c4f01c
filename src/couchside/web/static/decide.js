// Deciding by touch: a tap meant for what stood there a moment ago decides nothing.

const TOO_SOON_MS = 600;
const FINGER_PX = 48;
const LAST_TAP = "last-tap";

/** @typedef {{x: number, y: number, atMs: number}} Tap */

/** What a tap opened or where it led moves other things under the finger: remember that one. */
let tap = readLastTap();

document.addEventListener("click", judgeTap, { capture: true });
document.addEventListener("toggle", showForm, { capture: true });
document.addEventListener("submit", sendOnce);
addEventListener("pagehide", forgetSent);

/** @param {MouseEvent} event */
function judgeTap(event) {
  const isByHand = event.detail > 0; // a key's click has none
  if (!isByHand || !(event.target instanceof Element) || !event.target.closest(".decide")) {
    return;
  }
  if (tap !== null && isRepeat(event, tap)) {
    event.preventDefault();
    event.stopPropagation();
  } else if (event.target.closest("summary")) {
    tap = { x: event.clientX, y: event.clientY, atMs: Date.now() };
  }
}

/**
 * @param {MouseEvent} event
 * @param {Tap} before
 * @returns {boolean}
 */
function isRepeat(event, before) {
  const isSoon = Date.now() - before.atMs < TOO_SOON_MS;
  return isSoon && Math.hypot(event.clientX - before.x, event.clientY - before.y) < FINGER_PX;
}

/**
 * The form of a way that opens comes into view, whole if it fits.
 * @param {Event} event
 */
function showForm(event) {
  const way = event.target;
  if (way instanceof HTMLDetailsElement && way.open) {
    const form = way.querySelector("summary")?.getAttribute("aria-controls");
    document.getElementById(form ?? "")?.scrollIntoView({ block: "nearest" });
  }
}

/**
 * The same decision twice would be refused as somebody else's.
 * @param {SubmitEvent} event
 */
function sendOnce(event) {
  const form = event.target;
  if (!(form instanceof HTMLFormElement) || event.defaultPrevented) {
    return;
  }
  if (form.dataset.sent) {
    event.preventDefault();
  }
  form.dataset.sent = "yes";
}

/** Whoever comes back to this page may send again. */
function forgetSent() {
  for (const form of document.forms) {
    delete form.dataset.sent;
  }
}

/** @returns {Tap | null} */
function readLastTap() {
  const kept = sessionStorage.getItem(LAST_TAP);
  return kept === null ? null : JSON.parse(kept);
}
