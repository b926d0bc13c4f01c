// Calipers onto the canvas: dashed lines, so that they are never taken for the signal or the grid.

/** @typedef {import("./calipers.js").Caliper} Caliper */
/** @typedef {import("./draw.js").Scene} Scene */
/** @typedef {import("./draw.js").Palette} Palette */

import { findPanel, march, writeReading } from "./calipers.js";
import { LEFT_MARGIN_MM, rowHeightMm } from "./sheet.js";

const LINE_PX = 2;
const MARCH_PX = 1;
const DASHES_PX = [7, 3];
const MARCH_DASHES_PX = [2, 4];
const READING_PX = 15;

/**
 * @param {CanvasRenderingContext2D} context
 * @param {Scene} scene
 * @param {number} scale
 * @param {Palette} palette
 */
export function drawCalipers(context, scene, scale, palette) {
  context.save();
  context.strokeStyle = palette.hand;
  for (const caliper of scene.calipers) {
    if (caliper.kind === "interval") {
      drawInterval(context, scene, caliper, scale, palette);
    } else {
      drawAmplitude(context, scene, caliper, scale, palette);
    }
  }
  context.restore();
}

/**
 * @param {CanvasRenderingContext2D} context
 * @param {Scene} scene
 * @param {Caliper} caliper
 * @param {number} scale
 * @param {Palette} palette
 */
function drawInterval(context, scene, caliper, scale, palette) {
  const { sheet, choice, outlook } = scene;
  const x = (/** @type {number} */ timeS) =>
    (LEFT_MARGIN_MM + (timeS - choice.startS) * choice.speedMmS) * scale;
  const topPx = outlook.topMm * scale;
  const bottomPx = topPx + scene.sizePx.height;
  if (scene.isMarching) {
    const lastS = choice.startS + (sheet.widthMm - LEFT_MARGIN_MM) / choice.speedMmS;
    const places = march(caliper, choice.startS, lastS);
    strokeLines(context, places.map((timeS) => [x(timeS), topPx, x(timeS), bottomPx]), MARCH_PX, MARCH_DASHES_PX);
  }
  const [from, to] = [x(caliper.ends[0]), x(caliper.ends[1])];
  const barPx = topPx + READING_PX * 1.6;
  strokeLines(context, [[from, topPx, from, bottomPx], [to, topPx, to, bottomPx]], LINE_PX, DASHES_PX);
  strokeLines(context, [[from, barPx, to, barPx]], LINE_PX, []);
  write(context, writeReading(caliper), Math.max(from, to) + 5, barPx + READING_PX / 3, palette);
}

/**
 * @param {CanvasRenderingContext2D} context
 * @param {Scene} scene
 * @param {Caliper} caliper
 * @param {number} scale
 * @param {Palette} palette
 */
function drawAmplitude(context, scene, caliper, scale, palette) {
  const { sheet, choice } = scene;
  const panel = findPanel(sheet, choice, caliper);
  if (panel === undefined) {
    return;
  }
  const y = (/** @type {number} */ uv) => (panel.baselineMm - (uv / 1000) * choice.gainMmMv) * scale;
  const middleMm = panel.leftMm + (caliper.atS - panel.startS) * choice.speedMmS;
  const reachMm = rowHeightMm(choice.gainMmMv) / 2;
  const [left, right] = [(middleMm - reachMm) * scale, (middleMm + reachMm) * scale];
  const [from, to] = [y(caliper.ends[0]), y(caliper.ends[1])];
  const middle = middleMm * scale;
  strokeLines(context, [[left, from, right, from], [left, to, right, to]], LINE_PX, DASHES_PX);
  strokeLines(context, [[middle, from, middle, to]], LINE_PX, []);
  write(context, writeReading(caliper), right + 5, to + READING_PX / 3, palette);
}

/**
 * @param {CanvasRenderingContext2D} context
 * @param {number[][]} lines  from x, y to x, y
 * @param {number} widthPx
 * @param {number[]} dashesPx
 */
function strokeLines(context, lines, widthPx, dashesPx) {
  context.beginPath();
  for (const [fromX = 0, fromY = 0, toX = 0, toY = 0] of lines) {
    context.moveTo(fromX, fromY);
    context.lineTo(toX, toY);
  }
  context.setLineDash(dashesPx);
  context.lineWidth = widthPx;
  context.stroke();
}

/**
 * @param {CanvasRenderingContext2D} context
 * @param {string} text
 * @param {number} x
 * @param {number} y
 * @param {Palette} palette
 */
function write(context, text, x, y, palette) {
  context.save();
  context.setLineDash([]);
  context.font = `600 ${READING_PX}px system-ui, sans-serif`;
  context.lineWidth = READING_PX / 3;
  context.lineJoin = "round";
  context.strokeStyle = palette.paper;
  context.strokeText(text, x, y);
  context.fillStyle = palette.hand;
  context.fillText(text, x, y);
  context.restore();
}
