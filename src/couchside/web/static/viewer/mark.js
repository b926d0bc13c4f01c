// A finding's mark: which leads are shaded, from when to when, and where that stands.

/** @typedef {import("./sheet.js").Sheet} Sheet */
/** @typedef {import("./sheet.js").Choice} Choice */

/**
 * A stretch to be shaded: which leads, from when to when.
 * @typedef {object} Mark
 * @property {string[]} leads
 * @property {[number, number][]} spansS  empty means all through
 */

/**
 * The mark that a link to the tracing carries.
 * @param {Element} link
 * @returns {Mark | null}
 */
export function readMark(link) {
  const text = link instanceof HTMLElement ? link.dataset.mark : undefined;
  return text ? JSON.parse(text) : null;
}

/**
 * Where on the sheet the marked lead starts to show it.
 * @param {Sheet} sheet
 * @param {Choice} choice
 * @param {Mark | null} mark
 * @param {number} firstS
 * @returns {{x: number, y: number} | null} millimetres
 */
export function findMarkedPlace(sheet, choice, mark, firstS) {
  const marked = sheet.panels.filter(({ name }) => mark?.leads.includes(name));
  const panel = marked.find((each) => firstS < each.startS + each.widthMm / choice.speedMmS) ?? marked[0];
  if (panel === undefined) {
    return null;
  }
  const beginMm = panel.leftMm + Math.max(firstS - panel.startS, 0) * choice.speedMmS;
  return { x: beginMm, y: panel.baselineMm };
}
