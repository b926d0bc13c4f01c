// The millimetre grid, on whole device pixels.

/** @typedef {import("./sheet.js").Sheet} Sheet */
/** @typedef {import("./window.js").Outlook} Outlook */

import { LEFT_MARGIN_MM } from "./sheet.js";
import { PX_PER_MM } from "./window.js";

const MINOR_GRID_FROM_PX = 2.7;
const GRID_LINE_PX = 0.8;

/**
 * One line a millimetre while they can be told apart, a stronger one every five.
 * @param {CanvasRenderingContext2D} context
 * @param {{sheet: Sheet, outlook: Outlook}} scene
 * @param {number} ratio  device pixels in a CSS pixel
 * @param {{minor: string, major: string}} palette
 */
export function drawGrid(context, scene, ratio, palette) {
  const scale = scene.outlook.zoom * PX_PER_MM;
  const lines = new PixelLines(scene.outlook, scale, ratio);
  if (scale * ratio >= MINOR_GRID_FROM_PX) {
    strokeGrid(context, scene.sheet, lines, 1, palette.minor);
  }
  strokeGrid(context, scene.sheet, lines, 5, palette.major);
}

/** Where lines go so that each fills whole device pixels; none is off by more than half of one. */
class PixelLines {
  /**
   * @param {Outlook} outlook
   * @param {number} scale
   * @param {number} ratio
   */
  constructor(outlook, scale, ratio) {
    this.scale = scale;
    this.ratio = ratio;
    this.leftPx = outlook.leftMm * scale;
    this.topPx = outlook.topMm * scale;
    this.wide = Math.max(1, Math.round(ratio * GRID_LINE_PX));
  }

  get widthPx() {
    return this.wide / this.ratio;
  }

  /** @param {number} mm */
  x(mm) {
    return this.snap(mm * this.scale - this.leftPx) + this.leftPx;
  }

  /** @param {number} mm */
  y(mm) {
    return this.snap(mm * this.scale - this.topPx) + this.topPx;
  }

  /** @param {number} px */
  snap(px) {
    return (Math.round(px * this.ratio) + (this.wide % 2) / 2) / this.ratio;
  }
}

/**
 * @param {CanvasRenderingContext2D} context
 * @param {Sheet} sheet
 * @param {PixelLines} lines
 * @param {number} stepMm
 * @param {string} colour
 */
function strokeGrid(context, sheet, lines, stepMm, colour) {
  context.beginPath();
  for (let x = LEFT_MARGIN_MM % stepMm; x <= sheet.widthMm; x += stepMm) {
    context.moveTo(lines.x(x), lines.y(0));
    context.lineTo(lines.x(x), lines.y(sheet.heightMm));
  }
  for (let y = 0; y <= sheet.heightMm; y += stepMm) {
    context.moveTo(lines.x(0), lines.y(y));
    context.lineTo(lines.x(sheet.widthMm), lines.y(y));
  }
  context.strokeStyle = colour;
  context.lineWidth = lines.widthPx;
  context.stroke();
}
