// Sheet and samples onto a canvas.

/** @typedef {import("./sheet.js").Sheet} Sheet */
/** @typedef {import("./sheet.js").Panel} Panel */
/** @typedef {import("./sheet.js").Choice} Choice */
/** @typedef {import("./samples.js").Samples} Samples */
/** @typedef {import("./window.js").Outlook} Outlook */
/** @typedef {import("./calipers.js").Caliper} Caliper */

/**
 * A stretch to be shaded: which leads, from when to when.
 * @typedef {object} Mark
 * @property {string[]} leads
 * @property {[number, number][]} spansS  empty means all through
 */

/**
 * @typedef {object} Palette
 * @property {string} paper
 * @property {string} minor
 * @property {string} major
 * @property {string} ink
 * @property {string} label
 * @property {string} mark
 * @property {string} hand
 */

/**
 * Everything that one drawing needs.
 * @typedef {object} Scene
 * @property {Sheet} sheet
 * @property {Samples} samples
 * @property {Choice} choice
 * @property {Outlook} outlook
 * @property {Mark | null} mark
 * @property {Caliper[]} calipers  set by hand
 * @property {boolean} isMarching
 * @property {number} heightPx  of the canvas
 */

import { drawCalipers } from "./draw-calipers.js";
import { drawGrid } from "./grid.js";
import { LEFT_MARGIN_MM, rowHeightMm } from "./sheet.js";
import { PX_PER_MM } from "./window.js";

const TRACE_MM = 0.28;
const LABEL_MM = 3.4;
const PULSE_S = 0.2;

/**
 * Draw a scene into a canvas whose backing store has been sized for the screen.
 * @param {CanvasRenderingContext2D} context
 * @param {{width: number, height: number, ratio: number}} canvasPx
 * @param {Scene} scene
 */
export function drawScene(context, canvasPx, scene) {
  const palette = readPalette(context.canvas);
  const scale = scene.outlook.zoom * PX_PER_MM;
  context.setTransform(canvasPx.ratio, 0, 0, canvasPx.ratio, 0, 0);
  context.fillStyle = palette.paper;
  context.fillRect(0, 0, canvasPx.width, canvasPx.height);
  context.translate(-scene.outlook.leftMm * scale, -scene.outlook.topMm * scale);
  for (const panel of scene.sheet.panels) {
    shadeMark(context, scene, panel, scale, palette);
  }
  drawGrid(context, scene, canvasPx.ratio, palette);
  for (const baselineMm of scene.sheet.pulsesMm) {
    drawPulse(context, baselineMm, scene.choice, scale, palette);
  }
  for (const panel of scene.sheet.panels) {
    drawTrace(context, scene, panel, scale, palette);
    drawLabel(context, panel, scale, palette);
  }
  drawCalipers(context, scene, scale, palette);
}

/**
 * @param {HTMLCanvasElement} canvas
 * @returns {Palette}
 */
function readPalette(canvas) {
  const style = getComputedStyle(canvas);
  /** @param {string} name */
  const colour = (name) => style.getPropertyValue(`--trace-${name}`).trim();
  return {
    paper: colour("paper"),
    minor: colour("minor"),
    major: colour("major"),
    ink: colour("ink"),
    label: colour("label"),
    mark: colour("mark"),
    hand: colour("hand"),
  };
}

/**
 * A calibration pulse of one millivolt.
 * @param {CanvasRenderingContext2D} context
 * @param {number} baselineMm
 * @param {Choice} choice
 * @param {number} scale
 * @param {Palette} palette
 */
function drawPulse(context, baselineMm, choice, scale, palette) {
  const width = PULSE_S * choice.speedMmS;
  const left = LEFT_MARGIN_MM - 1 - width;
  const points = [
    [left - 1, 0],
    [left, 0],
    [left, -choice.gainMmMv],
    [left + width, -choice.gainMmMv],
    [left + width, 0],
    [left + width + 1, 0],
  ];
  context.beginPath();
  for (const [x = 0, y = 0] of points) {
    context.lineTo(x * scale, (baselineMm + y) * scale);
  }
  context.strokeStyle = palette.ink;
  context.lineWidth = traceWidth(scale);
  context.stroke();
}

/**
 * Shade where a finding shows.
 * @param {CanvasRenderingContext2D} context
 * @param {Scene} scene
 * @param {Panel} panel
 * @param {number} scale
 * @param {Palette} palette
 */
function shadeMark(context, scene, panel, scale, palette) {
  const { mark, choice } = scene;
  if (mark === null || !mark.leads.includes(panel.name)) {
    return;
  }
  const panelS = panel.widthMm / choice.speedMmS;
  /** @type {[number, number][]} */
  const throughout = [[panel.startS, panel.startS + panelS]];
  const heightMm = rowHeightMm(choice.gainMmMv);
  context.fillStyle = palette.mark;
  for (const [from, to] of mark.spansS.length ? mark.spansS : throughout) {
    const start = Math.max(from - panel.startS, 0);
    const end = Math.min(to - panel.startS, panelS);
    if (end > start) {
      const leftMm = panel.leftMm + start * choice.speedMmS;
      const widthMm = (end - start) * choice.speedMmS;
      const topMm = panel.baselineMm - heightMm / 2;
      context.fillRect(leftMm * scale, topMm * scale, widthMm * scale, heightMm * scale);
    }
  }
}

/**
 * One lead, clipped to its panel's width; a missing sample leaves a gap.
 * @param {CanvasRenderingContext2D} context
 * @param {Scene} scene
 * @param {Panel} panel
 * @param {number} scale
 * @param {Palette} palette
 */
function drawTrace(context, scene, panel, scale, palette) {
  const { samples, choice } = scene;
  const row = samples.rows[panel.lead] ?? new Float32Array();
  const first = Math.max(0, Math.round((panel.startS - samples.startS) * samples.rateHz));
  const count = Math.round((panel.widthMm / choice.speedMmS) * samples.rateHz);
  const last = Math.min(row.length - 1, first + count);
  const stepPx = (choice.speedMmS / samples.rateHz) * scale;
  const uvPx = (choice.gainMmMv / 1000) * scale;
  const leftPx = panel.leftMm * scale;
  const basePx = panel.baselineMm * scale;
  let pen = false;
  context.beginPath();
  for (let at = first; at <= last; at += 1) {
    const value = row[at] ?? NaN;
    if (Number.isNaN(value)) {
      pen = false;
      continue;
    }
    const x = leftPx + (at - first) * stepPx;
    const y = basePx - value * uvPx;
    if (pen) {
      context.lineTo(x, y);
    } else {
      context.moveTo(x, y);
      pen = true;
    }
  }
  context.strokeStyle = palette.ink;
  context.lineWidth = traceWidth(scale);
  context.lineJoin = "round";
  context.stroke();
}

/**
 * The lead's name, at the start of its stretch, on a little paper of its own.
 * @param {CanvasRenderingContext2D} context
 * @param {Panel} panel
 * @param {number} scale
 * @param {Palette} palette
 */
function drawLabel(context, panel, scale, palette) {
  const size = Math.max(LABEL_MM * scale, 11);
  const x = panel.leftMm * scale + 2;
  const y = panel.baselineMm * scale - 9 * scale;
  context.font = `600 ${size}px system-ui, sans-serif`;
  context.lineWidth = size / 3;
  context.lineJoin = "round";
  context.strokeStyle = palette.paper;
  context.strokeText(panel.name, x, y);
  context.fillStyle = palette.label;
  context.fillText(panel.name, x, y);
}

/**
 * @param {number} scale
 * @returns {number}
 */
function traceWidth(scale) {
  return Math.min(Math.max(TRACE_MM * scale, 1), 3);
}
