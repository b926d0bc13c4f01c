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
const TOP_MARGIN_MM = 4;
const COLUMNS = { "3x4": 4, "6x2": 2, "12x1": 1 };
const STANDARD = ["I", "II", "III", "aVR", "aVL", "aVF", "V1", "V2", "V3", "V4", "V5", "V6"];

/**
 * Lay the leads out as paper does: down the first column, then down the next.
 * @param {readonly string[]} leads
 * @param {number} durationS
 * @param {Choice} choice
 * @returns {Sheet}
 */
export function layOut(leads, durationS, choice) {
  const windowS = Math.min(WINDOW_S, durationS);
  const order = inTradeOrder(leads);
  const columns = Math.min(COLUMNS[choice.layout], order.length);
  const rows = Math.ceil(order.length / columns);
  const columnS = windowS / columns;
  const rowMm = rowHeightMm(choice.gainMmMv);
  const panels = order.map((lead, place) => {
    const column = Math.floor(place / rows);
    return {
      lead,
      name: nameOf(leads, lead),
      leftMm: LEFT_MARGIN_MM + column * columnS * choice.speedMmS,
      widthMm: columnS * choice.speedMmS,
      baselineMm: TOP_MARGIN_MM + ((place % rows) + 0.5) * rowMm,
      startS: choice.startS + column * columnS,
    };
  });
  if (columns > 2) {
    panels.push(rhythmStrip(leads, order, rows, rowMm, windowS, choice));
  }
  return {
    widthMm: LEFT_MARGIN_MM + windowS * choice.speedMmS + RIGHT_MARGIN_MM,
    heightMm: 2 * TOP_MARGIN_MM + (rows + (columns > 2 ? 1 : 0)) * rowMm,
    pulsesMm: [...new Set(panels.map((panel) => panel.baselineMm))],
    panels,
  };
}

/**
 * One lead over the whole width, below the columns.
 * @param {readonly string[]} leads
 * @param {number[]} order
 * @param {number} rows
 * @param {number} rowMm
 * @param {number} windowS
 * @param {Choice} choice
 * @returns {Panel}
 */
function rhythmStrip(leads, order, rows, rowMm, windowS, choice) {
  const lead = leads.includes("II") ? leads.indexOf("II") : order[0] ?? 0;
  return {
    lead,
    name: nameOf(leads, lead),
    leftMm: LEFT_MARGIN_MM,
    widthMm: windowS * choice.speedMmS,
    baselineMm: TOP_MARGIN_MM + (rows + 0.5) * rowMm,
    startS: choice.startS,
  };
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

/**
 * @param {number} gainMmMv
 * @returns {number}
 */
function rowHeightMm(gainMmMv) {
  return 16 + gainMmMv;
}

/**
 * @param {readonly string[]} leads
 * @param {number} row
 * @returns {string}
 */
function nameOf(leads, row) {
  return leads[row] ?? "";
}
