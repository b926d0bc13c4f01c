// Where each lead stands on the sheet, in millimetres. Pure: no page, no canvas.

/** @typedef {"3x4" | "6x2" | "12x1" | "strip"} LayoutName */
/** @typedef {import("./leads.js").LimbOrder} LimbOrder */
/** @typedef {import("./leads.js").Placed} Placed */

/**
 * What the person at the screen has chosen.
 * @typedef {object} Choice
 * @property {LayoutName} layout
 * @property {LimbOrder} limbOrder
 * @property {string[]} stripLeads  what a strip shows, from above
 * @property {number} speedMmS  millimetres a second
 * @property {number} gainMmMv  millimetres a millivolt
 * @property {number} startS  first second of the sheet
 */

/**
 * One stretch of one lead.
 * @typedef {object} Stretch
 * @property {number} leftMm
 * @property {number} widthMm
 * @property {number} baselineMm
 * @property {number} startS
 */

/** @typedef {Placed & Stretch} Panel */

/**
 * How far a lead goes up and down from its baseline.
 * @typedef {object} Reach
 * @property {number} upMm
 * @property {number} downMm
 */

/**
 * Panels with the sheet they stand on.
 * @typedef {object} Sheet
 * @property {number} widthMm
 * @property {number} heightMm
 * @property {number} fittedMm  so much of its width is seen when it is fitted
 * @property {number[]} pulsesMm  baselines that bear a calibration pulse
 * @property {Panel[]} panels
 */

import { pick, putInOrder } from "./leads.js";

export const WINDOW_S = 10;
/** A strip rolls: the sheet holds more than is seen, and moves on before its end is reached. */
export const STRIP_S = 30;
export const LEFT_MARGIN_MM = 12;
const RIGHT_MARGIN_MM = 4;
const LEAST_MARGIN_MM = 3;
const MOST_MARGIN_MM = 30;
const COLUMNS = { "3x4": 4, "6x2": 2, "12x1": 1, strip: 1 };

/**
 * Lay the leads out as paper does: down the first column, then down the next; with four columns, one
 * lead below them over the whole width. A strip has its chosen leads, one below the other.
 * @param {readonly string[]} leads
 * @param {number} durationS
 * @param {Choice} choice
 * @param {readonly Reach[]} reaches  one a lead; the outer rows get the room that they need
 * @returns {Sheet}
 */
export function layOut(leads, durationS, choice, reaches) {
  const windowS = Math.min(holdsS(choice), durationS);
  const rows = choice.layout === "strip"
    ? pick(leads, choice.stripLeads).map((each) => [each])
    : arrange(leads, putInOrder(leads, choice.limbOrder), COLUMNS[choice.layout]);
  const { baselinesMm, heightMm } = stack(rows, choice, reaches);
  const columns = Math.max(...rows.map((row) => row.length));
  const panels = rows.flatMap((row, at) => {
    const isWhole = columns > 2 && at === rows.length - 1;
    return layRow(row, isWhole ? windowS : windowS / columns, baselinesMm[at] ?? 0, choice);
  });
  return {
    widthMm: widthMm(windowS, choice),
    heightMm,
    fittedMm: widthMm(Math.min(WINDOW_S, durationS), choice),
    pulsesMm: baselinesMm,
    panels,
  };
}

/**
 * How many seconds a sheet holds, where the recording has them.
 * @param {Choice} choice
 * @returns {number}
 */
export function holdsS(choice) {
  return choice.layout === "strip" ? STRIP_S : WINDOW_S;
}

/**
 * @param {number} gainMmMv
 * @returns {number}
 */
export function rowHeightMm(gainMmMv) {
  return 18 + gainMmMv;
}

/**
 * The second of the recording that stands at a place from the sheet's left edge.
 * @param {Choice} choice
 * @param {number} xMm
 * @returns {number}
 */
export function secondAt(choice, xMm) {
  return choice.startS + (xMm - LEFT_MARGIN_MM) / choice.speedMmS;
}

/**
 * @param {number} windowS
 * @param {Choice} choice
 * @returns {number}
 */
function widthMm(windowS, choice) {
  return LEFT_MARGIN_MM + windowS * choice.speedMmS + RIGHT_MARGIN_MM;
}

/**
 * Leads by row and column; under four columns II, or the first where II is missing.
 * @param {readonly string[]} leads
 * @param {Placed[]} order
 * @param {number} wanted  columns
 * @returns {Placed[][]}
 */
function arrange(leads, order, wanted) {
  const columns = Math.min(wanted, order.length);
  const count = Math.ceil(order.length / columns);
  const rows = Array.from({ length: count }, (_, row) =>
    order.filter((_, at) => at % count === row));
  const below = leads.includes("II") ? pick(leads, ["II"]) : order.slice(0, 1);
  return columns > 2 ? [...rows, below] : rows;
}

/**
 * One row; each lead takes up where the one before it left off.
 * @param {Placed[]} row
 * @param {number} panelS
 * @param {number} baselineMm
 * @param {Choice} choice
 * @returns {Panel[]}
 */
function layRow(row, panelS, baselineMm, choice) {
  return row.map((placed, column) => ({
    ...placed,
    leftMm: LEFT_MARGIN_MM + column * panelS * choice.speedMmS,
    widthMm: panelS * choice.speedMmS,
    baselineMm,
    startS: choice.startS + column * panelS,
  }));
}

/**
 * Baselines of the rows, and how high the sheet is. The outer rows get the room that their waves need;
 * a strip's rows all do, for there are few of them.
 * @param {Placed[][]} rows
 * @param {Choice} choice
 * @param {readonly Reach[]} reaches
 * @returns {{baselinesMm: number[], heightMm: number}}
 */
function stack(rows, choice, reaches) {
  const halfMm = rowHeightMm(choice.gainMmMv) / 2;
  const isRoomy = choice.layout === "strip";
  /** @type {number[]} */
  const baselinesMm = [];
  let bottomMm = 0;
  rows.forEach((row, at) => {
    const isFirst = at === 0;
    const isLast = at === rows.length - 1;
    const aboveMm = isFirst || isRoomy ? roomMm(row, halfMm, reaches, 1) : halfMm;
    const belowMm = isLast || isRoomy ? roomMm(row, halfMm, reaches, -1) : halfMm;
    baselinesMm.push(bottomMm + aboveMm);
    bottomMm += aboveMm + belowMm;
  });
  return { baselinesMm, heightMm: bottomMm };
}

/**
 * Room on one side of a row's baseline, so that its waves are not cut off.
 * @param {Placed[]} row
 * @param {number} halfMm  of a row
 * @param {readonly Reach[]} reaches
 * @param {1 | -1} way  1 above, −1 below
 * @returns {number}
 */
function roomMm(row, halfMm, reaches, way) {
  const furthest = Math.max(...row.map(({ lead, sign }) =>
    (sign === way ? reaches[lead]?.upMm : reaches[lead]?.downMm) ?? 0));
  const beyondMm = furthest - halfMm + LEAST_MARGIN_MM;
  return halfMm + Math.min(Math.max(beyondMm, LEAST_MARGIN_MM), MOST_MARGIN_MM);
}
