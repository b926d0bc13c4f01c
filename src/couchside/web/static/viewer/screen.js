// How large a millimetre is on this screen: measured once by hand, and kept in the browser.

import { PX_PER_MM } from "./window.js";

/**
 * What was measured.
 * @typedef {object} ScreenScale
 * @property {number} dotsPerMm  dots of the screen itself, whatever the page's zoom
 * @property {string} measuredOn  day, as ISO 8601
 */

const KEEPING_PLACE = "couchside.screens";
/** From a wall of light to the finest telephone; what is beyond was not measured on a screen. */
const LEAST_DOTS_PER_MM = 0.8;
const MOST_DOTS_PER_MM = 40;

/** What was measured in a browser that keeps nothing, for as long as the page is open. */
const unkept = new Map();

/**
 * The scale of the screen on which the page is, null where nobody has measured it.
 * @returns {ScreenScale | null}
 */
export function readScale() {
  const kept = readKept()[nameScreen()] ?? unkept.get(nameScreen());
  return isScale(kept) ? kept : null;
}

/**
 * Keep what was measured for the screen on which the page is; whether the browser keeps it.
 * @param {number} pxPerMm  CSS pixels
 * @returns {boolean}
 */
export function keepScale(pxPerMm) {
  const measuredOn = new Date().toISOString().slice(0, 10);
  const scale = { dotsPerMm: pxPerMm * devicePixelRatio, measuredOn };
  unkept.set(nameScreen(), scale);
  return writeKept({ ...readKept(), [nameScreen()]: scale });
}

/** Forget what was measured for this screen. */
export function forgetScale() {
  unkept.delete(nameScreen());
  const { [nameScreen()]: _, ...others } = readKept();
  writeKept(others);
}

/**
 * CSS pixels in a true millimetre of this screen; where nobody has measured it, as CSS takes it.
 * @returns {number}
 */
export function truePxPerMm() {
  const scale = readScale();
  return scale === null ? PX_PER_MM : scale.dotsPerMm / devicePixelRatio;
}

/**
 * The zoom at which a millimetre of the sheet is a millimetre on the screen.
 * @returns {number}
 */
export function trueZoom() {
  return truePxPerMm() / PX_PER_MM;
}

/**
 * Browsers do not name screens: two are told apart by their size and by where they stand.
 * @returns {string}
 */
function nameScreen() {
  const { width, height, availLeft = 0 } = /** @type {Screen & {availLeft?: number}} */ (screen);
  return `${width}x${height}+${availLeft}`;
}

/** @returns {Record<string, unknown>} */
function readKept() {
  try {
    const kept = JSON.parse(localStorage.getItem(KEEPING_PLACE) ?? "{}");
    return typeof kept === "object" && kept !== null ? kept : {};
  } catch {
    return {}; // closed to pages, or not written by this page: then nothing is known of the screen
  }
}

/**
 * @param {Record<string, unknown>} scales
 * @returns {boolean}
 */
function writeKept(scales) {
  try {
    localStorage.setItem(KEEPING_PLACE, JSON.stringify(scales));
    return true;
  } catch {
    return false; // the page says so
  }
}

/**
 * @param {unknown} value
 * @returns {value is ScreenScale}
 */
function isScale(value) {
  const { dotsPerMm, measuredOn } = /** @type {Partial<ScreenScale>} */ (value ?? {});
  return (
    typeof dotsPerMm === "number" && dotsPerMm >= LEAST_DOTS_PER_MM &&
    dotsPerMm <= MOST_DOTS_PER_MM && typeof measuredOn === "string"
  );
}
