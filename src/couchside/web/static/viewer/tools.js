// The tools above the tracing: what is chosen there, and what they say.

/** @typedef {import("./sheet.js").Choice} Choice */
/** @typedef {import("./sheet.js").LayoutName} LayoutName */
/** @typedef {import("./leads.js").LimbOrder} LimbOrder */

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
    limbOrder: /** @type {LimbOrder} */ (String(chosen.get("limb_order"))),
    stripLeads: chosen.getAll("strip_lead").map(String),
    speedMmS: Number(chosen.get("speed")),
    gainMmMv: Number(chosen.get("gain")),
    startS,
  };
}

/**
 * When as many leads are chosen for a strip as it holds, the others wait until one is given up.
 * @param {HTMLFormElement} tools
 * @param {number} most
 */
export function limitStripLeads(tools, most) {
  const boxes = [...tools.querySelectorAll("input[name=strip_lead]")].filter(isInput);
  const isFull = boxes.filter((box) => box.checked).length >= most;
  for (const box of boxes) {
    box.disabled = isFull && !box.checked;
  }
}

/**
 * Say the scale, and show the tools that the layout has.
 * @param {HTMLFormElement} tools
 * @param {Choice} choice
 */
export function sayChoice(tools, choice) {
  const { speedMmS, gainMmMv, layout } = choice;
  byId("tracing-state", HTMLElement).textContent = `${speedMmS} mm/s · ${gainMmMv} mm/mV`;
  hide(tools, ".strip-leads", layout !== "strip");
  hide(tools, ".limb-order", layout === "strip");
}

/**
 * Let the printed page follow the layout, and the printed strip what is seen of it.
 * @param {Choice} choice
 * @param {DOMStringMap} addresses  of the printed page and the printed strip, without their endings
 * @param {{fromS: number, toS: number}} seen
 */
export function sayPrints(choice, addresses, seen) {
  const isStrip = choice.layout === "strip";
  const address = isStrip ? addresses.strip : addresses.page;
  const asked = isStrip ? askForStrip(choice, seen) : askForPage(choice);
  for (const kind of ["pdf", "svg"]) {
    byId(kind, HTMLAnchorElement).href = `${address}.${kind}?${asked}`;
  }
}

/** @param {Choice} choice */
function askForPage({ layout, limbOrder }) {
  const asked = new URLSearchParams({ layout: layout === "3x4" ? "3x4+1" : layout });
  if (limbOrder !== "standard") {
    asked.set("limb_order", limbOrder);
  }
  return asked;
}

/**
 * @param {Choice} choice
 * @param {{fromS: number, toS: number}} seen
 */
function askForStrip({ stripLeads, speedMmS, gainMmMv }, { fromS, toS }) {
  const asked = new URLSearchParams(stripLeads.map((lead) => ["lead", lead]));
  asked.set("from_s", fromS.toFixed(1));
  asked.set("seconds", Math.max(toS - fromS, 0.1).toFixed(1));
  asked.set("speed", String(speedMmS));
  asked.set("gain", String(gainMmMv));
  return asked;
}

/**
 * Say which seconds are seen; a recording that is shown whole has no stretches to choose from.
 * @param {HTMLFormElement} tools
 * @param {{fromS: number, toS: number}} seen
 * @param {number} durationS
 */
export function sayStretch(tools, { fromS, toS }, durationS) {
  hide(tools, ".stretch", durationS <= WINDOW_S + 0.5);
  byId("stretch-now", HTMLOutputElement).value = `${fromS.toFixed(0)}–${toS.toFixed(0)} s`;
}

/**
 * Say how large the tracing is.
 * @param {number} shareOfTrue
 */
export function saySize(shareOfTrue) {
  byId("zoom-now", HTMLOutputElement).value = `${Math.round(100 * shareOfTrue)} %`;
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

/**
 * @param {HTMLFormElement} tools
 * @param {string} selector
 * @param {boolean} isHidden
 */
function hide(tools, selector, isHidden) {
  const part = tools.querySelector(selector);
  if (part instanceof HTMLElement) {
    part.hidden = isHidden;
  }
}

/**
 * @param {Element} element
 * @returns {element is HTMLInputElement}
 */
function isInput(element) {
  return element instanceof HTMLInputElement;
}
