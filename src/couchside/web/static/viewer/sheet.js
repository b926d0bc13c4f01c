// Where each lead stands on the sheet, in millimetres. Pure: no page, no canvas.

/** @typedef {"3x4" | "6x2" | "12x1"} LayoutName */

/**
 * What the person at the screen has chosen.
 * @typedef {object} Choice
 * @property {LayoutName} layout
 * @property {number} speedMmS  millimetres a second
 * @property {number} gainMmMv  millimetres a millivolt
 * @property {number} startS  first second shown
 */

/**
 * One stretch of one lead.
 * @typedef {object} Panel
 * @property {number} lead  row of the samples
 * @property {string} name
 * @property {number} leftMm
 * @property {number} widthMm
 * @property {number} baselineMm
 * @property {number} startS
 */

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
 * @property {number[]} pulsesMm  baselines that bear a calibration pulse
 * @property {Panel[]} panels
 */

export const WINDOW_S = 10;
export const LEFT_MARGIN_MM = 12;
const RIGHT_MARGIN_MM = 4;
const LEAST_MARGIN_MM = 3;
const MOST_MARGIN_MM = 30;
const COLUMNS = { "3x4": 4, "6x2": 2, "12x1": 1 };
const STANDARD = ["I", "II", "III", "aVR", "aVL", "aVF", "V1", "V2", "V3", "V4", "V5", "V6"];

/**
 * Lay the leads out as paper does: down the first column, then down the next; with four columns, one
 * lead below them over the whole width.
 * @param {readonly string[]} leads
 * @param {number} durationS
 * @param {Choice} choice
 * @param {readonly Reach[]} reaches  one a lead; the outer rows get the room that they need
 * @returns {Sheet}
 */
export function layOut(leads, durationS, choice, reaches) {
  const windowS = Math.min(WINDOW_S, durationS);
  const rows = arrange(inTradeOrder(leads), COLUMNS[choice.layout], leads.indexOf("II"));
  const rowMm = rowHeightMm(choice.gainMmMv);
  const topMm = marginMm(rows[0] ?? [], rowMm, (lead) => reaches[lead]?.upMm ?? 0);
  const bottomMm = marginMm(rows[rows.length - 1] ?? [], rowMm, (lead) => reaches[lead]?.downMm ?? 0);
  const columns = Math.max(...rows.map((row) => row.length));
  const panels = rows.flatMap((row, place) => {
    const isStrip = columns > 2 && place === rows.length - 1;
    const panelS = isStrip ? windowS : windowS / columns;
    return layRow(row, leads, panelS, topMm + (place + 0.5) * rowMm, choice);
  });
  return {
    widthMm: LEFT_MARGIN_MM + windowS * choice.speedMmS + RIGHT_MARGIN_MM,
    heightMm: topMm + rows.length * rowMm + bottomMm,
    pulsesMm: [...new Set(panels.map((panel) => panel.baselineMm))],
    panels,
  };
}

/**
 * @param {number} gainMmMv
 * @returns {number}
 */
export function rowHeightMm(gainMmMv) {
  return 18 + gainMmMv;
}

/**
 * Leads by row and column.
 * @param {number[]} order
 * @param {number} wanted  columns
 * @param {number} strip  the lead for the strip, −1 where the usual one is missing
 * @returns {number[][]}
 */
function arrange(order, wanted, strip) {
  const columns = Math.min(wanted, order.length);
  const count = Math.ceil(order.length / columns);
  const rows = Array.from({ length: count }, (_, row) =>
    order.filter((_, place) => place % count === row));
  return columns > 2 ? [...rows, [strip < 0 ? order[0] ?? 0 : strip]] : rows;
}

/**
 * One row; each lead takes up where the one before it left off.
 * @param {number[]} row
 * @param {readonly string[]} leads
 * @param {number} panelS
 * @param {number} baselineMm
 * @param {Choice} choice
 * @returns {Panel[]}
 */
function layRow(row, leads, panelS, baselineMm, choice) {
  return row.map((lead, column) => ({
    lead,
    name: leads[lead] ?? "",
    leftMm: LEFT_MARGIN_MM + column * panelS * choice.speedMmS,
    widthMm: panelS * choice.speedMmS,
    baselineMm,
    startS: choice.startS + column * panelS,
  }));
}

/**
 * Room beyond an outer row, so that its waves are not cut off.
 * @param {number[]} row
 * @param {number} rowMm
 * @param {(lead: number) => number} reachMm
 * @returns {number}
 */
function marginMm(row, rowMm, reachMm) {
  const beyond = Math.max(...row.map(reachMm)) - rowMm / 2;
  return Math.min(Math.max(beyond + LEAST_MARGIN_MM, LEAST_MARGIN_MM), MOST_MARGIN_MM);
}

/**
 * The twelve in the trade's order, then any other lead in the order of the file.
 * @param {readonly string[]} leads
 * @returns {number[]}
 */
function inTradeOrder(leads) {
  const standard = STANDARD.filter((name) => leads.includes(name)).map((name) => leads.indexOf(name));
  const others = leads.map((_, row) => row).filter((row) => !standard.includes(row));
  return [...standard, ...others];
}
