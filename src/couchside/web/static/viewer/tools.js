// The tools above the tracing: what is chosen there, and what they say.

/** @typedef {import("./sheet.js").Choice} Choice */
/** @typedef {import("./sheet.js").LayoutName} LayoutName */

import { byId } from "./page.js";
import { WINDOW_S } from "./sheet.js";

/**
 * @param {HTMLFormElement} tools
 * @param {number} startS
 * @returns {Choice}
 */
export function readChoice(tools, startS) {
  const chosen = new FormData(tools);
  return {
    layout: /** @type {LayoutName} */ (String(chosen.get("layout"))),
    speedMmS: Number(chosen.get("speed")),
    gainMmMv: Number(chosen.get("gain")),
    startS,
  };
}

/**
 * Say the scale, and let the printed page follow the layout.
 * @param {Choice} choice
 * @param {string} page  address of the printed page, without its ending
 */
export function sayChoice(choice, page) {
  const { speedMmS, gainMmMv, layout } = choice;
  byId("tracing-state", HTMLElement).textContent = `${speedMmS} mm/s · ${gainMmMv} mm/mV`;
  const asked = encodeURIComponent(layout === "3x4" ? "3x4+1" : layout);
  byId("pdf", HTMLAnchorElement).href = `${page}.pdf?layout=${asked}`;
  byId("svg", HTMLAnchorElement).href = `${page}.svg?layout=${asked}`;
}

/**
 * Say which seconds are shown; a recording that is shown whole has no stretches to choose from.
 * @param {HTMLFormElement} tools
 * @param {number} startS
 * @param {number} durationS
 */
export function sayStretch(tools, startS, durationS) {
  const stretch = tools.querySelector(".stretch");
  if (stretch instanceof HTMLElement) {
    stretch.hidden = durationS <= WINDOW_S + 0.5;
  }
  const endS = Math.min(startS + WINDOW_S, durationS);
  byId("stretch-now", HTMLOutputElement).value = `${startS}–${endS.toFixed(0)} s`;
}

/**
 * The filters that are switched on, as the samples' address wants them.
 * @param {HTMLFormElement} tools
 * @returns {string[]}
 */
export function readFilters(tools) {
  const chosen = new FormData(tools);
  return [...chosen.getAll("filter"), ...chosen.getAll("notch")].map(String).filter(Boolean);
}

/**
 * Say which filter the samples on the screen went through, for as long as they are on it.
 * @param {string} filter  empty while they are as recorded
 */
export function sayFilter(filter) {
  const place = byId("view-filter", HTMLElement);
  place.textContent = filter ? (place.dataset.words ?? "").replace("{filter}", filter) : "";
  place.hidden = filter === "";
  byId("as-recorded", HTMLElement).hidden = filter !== "";
}
