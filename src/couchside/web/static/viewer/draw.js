// Sheet and samples onto a canvas.

/** @typedef {import("./sheet.js").Sheet} Sheet */
/** @typedef {import("./sheet.js").Panel} Panel */
/** @typedef {import("./sheet.js").Choice} Choice */
/** @typedef {import("./samples.js").Samples} Samples */
/** @typedef {import("./window.js").Outlook} Outlook */
/** @typedef {import("./calipers.js").Caliper} Caliper */
/** @typedef {import("./mark.js").Mark} Mark */
/** @typedef {import("./overlays.js").Layers} Layers */

/**
 * @typedef {object} Palette
 * @property {string} paper
 * @property {string} minor
 * @property {string} major
 * @property {string} ink
 * @property {string} label
 * @property {string} mark
 * @property {string} hand
 * @property {string} tick
 * @property {string} band
 * @property {string} beat
 * @property {string} earlier
 */

/**
 * Everything that one drawing needs.
 * @typedef {object} Scene
 * @property {Sheet} sheet
 * @property {Samples} samples
 * @property {Choice} choice
 * @property {Outlook} outlook
 * @property {Mark | null} mark
 * @property {Layers} layers
 * @property {Caliper[]} calipers  set by hand
 * @property {boolean} isMarching
 * @property {{width: number, height: number}} sizePx  of the canvas
 */

import { drawCalipers } from "./draw-calipers.js";
import { drawEarlier, drawRepresentative } from "./draw-beats.js";
import { drawBands, drawTicks, drawUprights } from "./draw-boundaries.js";
import { drawGrid } from "./grid.js";
import { Place, trace } from "./place.js";
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
  const palette = readPalette();
  context.setTransform(canvasPx.ratio, 0, 0, canvasPx.ratio, 0, 0);
  context.fillStyle = palette.paper;
  context.fillRect(0, 0, canvasPx.width, canvasPx.height);
  const scale = goToSheet(context, scene);
  for (const panel of scene.sheet.panels) {
    shadeMark(context, scene, panel, scale, palette);
  }
  const places = scene.sheet.panels.map((panel) => new Place(scene, panel, scale));
  for (const place of places) {
    drawUnderGrid(context, scene.layers, place, palette);
  }
  drawGrid(context, scene, canvasPx.ratio, palette);
  for (const baselineMm of scene.sheet.pulsesMm) {
    drawPulse(context, baselineMm, scene.choice, scale, palette);
  }
  for (const place of places) {
    drawUnder(context, scene.layers, place, scale, palette);
    drawTrace(context, place, scale, palette);
    drawOver(context, scene.layers, place, scale, palette);
  }
}

/**
 * Draw what goes along with the eye: the leads' names, and what the hand has set.
 * @param {CanvasRenderingContext2D} context
 * @param {{width: number, height: number, ratio: number}} canvasPx
 * @param {Scene} scene
 */
export function drawOverScene(context, canvasPx, scene) {
  const palette = readPalette();
  context.setTransform(canvasPx.ratio, 0, 0, canvasPx.ratio, 0, 0);
  const scale = goToSheet(context, scene);
  for (const panel of scene.sheet.panels) {
    drawLabel(context, scene, panel, scale, palette);
  }
  drawCalipers(context, scene, scale, palette);
}

/**
 * Let the canvas's corner be where the outlook has it.
 * @param {CanvasRenderingContext2D} context
 * @param {Scene} scene
 * @returns {number} pixels a millimetre
 */
function goToSheet(context, { outlook }) {
  const scale = outlook.zoom * PX_PER_MM;
  context.translate(-outlook.leftMm * scale, -outlook.topMm * scale);
  return scale;
}

/** @returns {Palette} */
function readPalette() {
  const style = getComputedStyle(document.documentElement);
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
    tick: colour("tick"),
    band: colour("band"),
    beat: colour("beat"),
    earlier: colour("earlier"),
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
 * One lead, clipped to its panel and to what is seen; a missing sample leaves a gap.
 * @param {CanvasRenderingContext2D} context
 * @param {Place} place
 * @param {number} scale
 * @param {Palette} palette
 */
function drawTrace(context, place, scale, palette) {
  const { row, startS, rateHz } = place;
  context.beginPath();
  trace(context, place, {
    read: (at) => row[at] ?? NaN,
    fromS: startS,
    rateHz,
    first: Math.max(0, Math.round((place.fromS - startS) * rateHz) - 1),
    last: Math.min(row.length - 1, Math.round((place.toS - startS) * rateHz) + 1),
  });
  context.strokeStyle = palette.ink;
  context.lineWidth = traceWidth(scale);
  context.lineJoin = "round";
  context.stroke();
}

/**
 * What is laid over the tracing and lies under the grid.
 * @param {CanvasRenderingContext2D} context
 * @param {Layers} layers
 * @param {Place} place
 * @param {Palette} palette
 */
function drawUnderGrid(context, { waves, hasBoundaries }, place, palette) {
  if (waves !== null && hasBoundaries) {
    drawBands(context, waves, place, palette.band);
  }
}

/**
 * What is laid over the tracing and lies under its line.
 * @param {CanvasRenderingContext2D} context
 * @param {Layers} layers
 * @param {Place} place
 * @param {number} scale
 * @param {Palette} palette
 */
function drawUnder(context, { waves, hasBoundaries, hasBeat }, place, scale, palette) {
  if (waves !== null && hasBoundaries) {
    drawUprights(context, waves, place, palette.tick);
  }
  if (waves !== null && hasBeat) {
    drawRepresentative(context, waves, place, { scale, colour: palette.beat });
  }
}

/**
 * What is laid over the tracing and lies on its line.
 * @param {CanvasRenderingContext2D} context
 * @param {Layers} layers
 * @param {Place} place
 * @param {number} scale
 * @param {Palette} palette
 */
function drawOver(context, { waves, earlier, hasBoundaries }, place, scale, palette) {
  if (waves !== null && earlier !== null) {
    drawEarlier(context, waves, place, earlier, { scale, colour: palette.earlier });
  }
  if (waves !== null && hasBoundaries) {
    drawTicks(context, waves, place, { scale, colour: palette.tick });
  }
}

/**
 * The lead's name, at the start of its stretch, on a little paper of its own; a strip's goes along.
 * @param {CanvasRenderingContext2D} context
 * @param {Scene} scene
 * @param {Panel} panel
 * @param {number} scale
 * @param {Palette} palette
 */
function drawLabel(context, scene, panel, scale, palette) {
  const size = Math.max(LABEL_MM * scale, 11);
  const seenPx = scene.choice.layout === "strip" ? scene.outlook.leftMm * scale : 0;
  const x = Math.max(panel.leftMm * scale, seenPx) + 2;
  const y = panel.baselineMm * scale - 9 * scale;
  context.font = `600 ${size}px system-ui, sans-serif`;
  context.lineWidth = size / 3;
  context.lineJoin = "round";
  context.strokeStyle = palette.paper;
  context.strokeText(panel.label, x, y);
  context.fillStyle = palette.label;
  context.fillText(panel.label, x, y);
}

/**
 * @param {number} scale
 * @returns {number}
 */
function traceWidth(scale) {
  return Math.min(Math.max(TRACE_MM * scale, 1), 3);
}
