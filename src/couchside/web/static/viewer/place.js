// A panel as it stands on the canvas: seconds and microvolts into pixels. Pure: no page, no canvas.

/** @typedef {import("./draw.js").Scene} Scene */
/** @typedef {import("./sheet.js").Panel} Panel */

import { rowHeightMm } from "./sheet.js";

/** Where things of one panel go, and which seconds of it are seen. */
export class Place {
  /**
   * @param {Scene} scene
   * @param {Panel} panel
   * @param {number} scale  pixels a millimetre
   */
  constructor({ samples, choice, outlook, sizePx }, panel, scale) {
    const { startS, rateHz, rows } = samples;
    this.name = panel.name;
    this.row = rows[panel.lead] ?? new Float32Array();
    this.startS = startS;
    this.rateHz = rateHz;
    this.secondPx = choice.speedMmS * scale;
    this.uvPx = (choice.gainMmMv / 1000) * scale * panel.sign;
    this.zeroPx = panel.leftMm * scale - panel.startS * this.secondPx;
    this.basePx = panel.baselineMm * scale;
    this.heightPx = rowHeightMm(choice.gainMmMv) * scale;
    const leftPx = outlook.leftMm * scale;
    const endS = panel.startS + panel.widthMm / choice.speedMmS;
    this.fromS = Math.max(panel.startS, (leftPx - this.zeroPx) / this.secondPx);
    this.toS = Math.min(endS, (leftPx + sizePx.width - this.zeroPx) / this.secondPx);
  }

  get topPx() {
    return this.basePx - this.heightPx / 2;
  }

  /** @param {number} second */
  x(second) {
    return this.zeroPx + second * this.secondPx;
  }

  /** @param {number} uv */
  y(uv) {
    return this.basePx - uv * this.uvPx;
  }

  /**
   * The sample at a second, NaN where there is none.
   * @param {number} second
   */
  read(second) {
    return this.row[Math.round((second - this.startS) * this.rateHz)] ?? NaN;
  }

  /**
   * Whether anything within so many seconds of a second is seen.
   * @param {number} second
   * @param {number} [aroundS]
   */
  shows(second, aroundS = 0) {
    return second + aroundS >= this.fromS && second - aroundS <= this.toS;
  }
}

/** With more samples than this in a pixel, only its outermost values are drawn; nothing seen is lost. */
const DENSE = 3;

/**
 * Add a line through values to the path, from second to second at a rate; a missing one leaves a gap.
 * @param {CanvasRenderingContext2D} context
 * @param {Place} place
 * @param {{read: (at: number) => number, fromS: number, rateHz: number, first: number, last: number}} line
 */
export function trace(context, place, { read, fromS, rateHz, first, last }) {
  const stepPx = place.secondPx / rateHz;
  const leftPx = place.x(fromS);
  const together = stepPx * DENSE < 1 ? Math.floor(1 / stepPx / 2) : 1;
  let pen = false;
  /** @param {number} at @param {number} value */
  const add = (at, value) => {
    if (pen) {
      context.lineTo(leftPx + at * stepPx, place.y(value));
    } else {
      context.moveTo(leftPx + at * stepPx, place.y(value));
      pen = true;
    }
  };
  for (let at = first; at <= last; at += together) {
    const end = Math.min(at + together, last + 1);
    let [lowest, highest] = [at, at];
    for (let each = at; each < end; each += 1) {
      const value = read(each);
      lowest = value < read(lowest) ? each : lowest;
      highest = value > read(highest) ? each : highest;
      pen = pen && !Number.isNaN(value);
    }
    for (const each of lowest < highest ? [lowest, highest] : [highest, lowest]) {
      const value = read(each);
      if (!Number.isNaN(value)) {
        add(each, value);
      }
    }
  }
}
