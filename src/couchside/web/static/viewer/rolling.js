// Which seconds are seen, and where the sheet begins that holds them. Pure: no page, no canvas.

/** @typedef {import("./sheet.js").Choice} Choice */
/** @typedef {import("./sheet.js").Sheet} Sheet */
/** @typedef {{fromS: number, toS: number}} Seen */

import { holdsS, secondAt, WINDOW_S } from "./sheet.js";

/** So near its end, a strip's sheet is exchanged for the next. */
const ROLL_BEFORE_S = 6;

/**
 * The seconds that are seen: all of a page, and of a strip what the pane shows.
 * @param {Choice} choice
 * @param {Sheet} sheet
 * @param {{leftMm: number, widthMm: number}} paneMm
 * @param {number} durationS
 * @returns {Seen}
 */
export function findSeen(choice, sheet, paneMm, durationS) {
  const endS = Math.min(choice.startS + holdsS(choice), durationS);
  if (choice.layout !== "strip" || sheet.widthMm <= sheet.fittedMm) {
    return { fromS: choice.startS, toS: endS };
  }
  const leftS = secondAt(choice, paneMm.leftMm);
  const rightS = leftS + paneMm.widthMm / choice.speedMmS;
  return { fromS: Math.max(leftS, choice.startS), toS: Math.min(rightS, endS) };
}

/**
 * Where the page or the strip begins that shows a second.
 * @param {Choice} choice
 * @param {number} second
 * @param {number} durationS
 * @returns {number}
 */
export function findStart(choice, second, durationS) {
  if (choice.layout !== "strip") {
    return Math.floor(second / WINDOW_S) * WINDOW_S;
  }
  const latestS = Math.ceil(durationS - holdsS(choice));
  return Math.max(0, Math.min(Math.floor(second), latestS));
}

/**
 * Where a strip's next sheet begins; null while this one reaches far enough.
 * @param {Choice} choice
 * @param {Seen} seen
 * @param {number} durationS
 * @returns {number | null}
 */
export function findNextStart(choice, { fromS, toS }, durationS) {
  const { startS } = choice;
  const isNearEdge = fromS < startS + ROLL_BEFORE_S || toS > startS + holdsS(choice) - ROLL_BEFORE_S;
  const nextS = findStart(choice, (fromS + toS - holdsS(choice)) / 2, durationS);
  return choice.layout === "strip" && isNearEdge && nextS !== startS ? nextS : null;
}
