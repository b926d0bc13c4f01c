// Which part of the sheet the canvas shows, and how large. Pure: no page, no canvas.

/** CSS pixels in a millimetre; CSS fixes an inch at 96 pixels. */
export const PX_PER_MM = 96 / 25.4;
export const MIN_ZOOM = 0.2;
export const MAX_ZOOM = 12;

/**
 * A place on the sheet (`leftMm`, `topMm`) that stands in the canvas's corner, and the zoom.
 * @typedef {object} Outlook
 * @property {number} zoom  1 is true size
 * @property {number} leftMm
 * @property {number} topMm
 */

/**
 * @typedef {object} Extent
 * @property {number} widthMm
 * @property {number} heightMm
 */

/**
 * The zoom at which the whole width is seen.
 * @param {Extent} sheet
 * @param {number} widthPx
 * @returns {number}
 */
export function fitZoom(sheet, widthPx) {
  return clamp(widthPx / (sheet.widthMm * PX_PER_MM), MIN_ZOOM, MAX_ZOOM);
}

/**
 * Zoom about a point of the canvas, so that what lies under it stays under it.
 * @param {Outlook} outlook
 * @param {number} factor
 * @param {{x: number, y: number}} pointPx
 * @returns {Outlook}
 */
export function zoomAbout(outlook, factor, pointPx) {
  const zoom = clamp(outlook.zoom * factor, MIN_ZOOM, MAX_ZOOM);
  const before = outlook.zoom * PX_PER_MM;
  const after = zoom * PX_PER_MM;
  return {
    zoom,
    leftMm: outlook.leftMm + pointPx.x / before - pointPx.x / after,
    topMm: outlook.topMm + pointPx.y / before - pointPx.y / after,
  };
}

/**
 * Which point of the sheet stands at a point of the canvas.
 * @param {Outlook} outlook
 * @param {{x: number, y: number}} pointPx
 * @returns {{x: number, y: number}} millimetres
 */
export function toSheet(outlook, pointPx) {
  const scale = outlook.zoom * PX_PER_MM;
  return { x: outlook.leftMm + pointPx.x / scale, y: outlook.topMm + pointPx.y / scale };
}

/**
 * Move by so many canvas pixels.
 * @param {Outlook} outlook
 * @param {number} dxPx
 * @param {number} dyPx
 * @returns {Outlook}
 */
export function panBy(outlook, dxPx, dyPx) {
  const scale = outlook.zoom * PX_PER_MM;
  return { ...outlook, leftMm: outlook.leftMm + dxPx / scale, topMm: outlook.topMm + dyPx / scale };
}

/**
 * Bring a point of the sheet to the middle of the canvas.
 * @param {Outlook} outlook
 * @param {{x: number, y: number}} pointMm
 * @param {{width: number, height: number}} canvasPx
 * @returns {Outlook}
 */
export function centreOn(outlook, pointMm, canvasPx) {
  const scale = outlook.zoom * PX_PER_MM;
  return {
    zoom: outlook.zoom,
    leftMm: pointMm.x - canvasPx.width / scale / 2,
    topMm: pointMm.y - canvasPx.height / scale / 2,
  };
}

/**
 * Keep the sheet in sight: no blank beyond an edge while there is sheet left to show.
 * @param {Outlook} outlook
 * @param {Extent} sheet
 * @param {{width: number, height: number}} canvasPx
 * @returns {Outlook}
 */
export function keepInSight(outlook, sheet, canvasPx) {
  const scale = outlook.zoom * PX_PER_MM;
  return {
    zoom: outlook.zoom,
    leftMm: hold(outlook.leftMm, sheet.widthMm, canvasPx.width / scale),
    topMm: hold(outlook.topMm, sheet.heightMm, canvasPx.height / scale),
  };
}

/**
 * @param {number} start
 * @param {number} whole
 * @param {number} seen
 * @returns {number}
 */
function hold(start, whole, seen) {
  return seen >= whole ? (whole - seen) / 2 : clamp(start, 0, whole - seen);
}

/**
 * @param {number} value
 * @param {number} low
 * @param {number} high
 * @returns {number}
 */
function clamp(value, low, high) {
  return Math.min(Math.max(value, low), high);
}
