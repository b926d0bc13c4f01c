// The sheet drawn ahead of what is seen, so that moving it costs a copy and not a drawing.

/** @typedef {import("./window.js").Outlook} Outlook */
/** @typedef {import("./window.js").Extent} Extent */

import { PX_PER_MM } from "./window.js";

/** So much of what is seen is drawn beyond it on each side, where there is sheet. */
const MARGIN_SHARE = 0.5;

/**
 * @callback DrawSheet
 * @param {CanvasRenderingContext2D} context
 * @param {{width: number, height: number, ratio: number}} canvasPx
 * @param {Outlook} outlook
 */

/** A drawing of a part of the sheet at one zoom. */
export class Picture {
  constructor() {
    this.canvas = document.createElement("canvas");
    /** @type {Outlook | null} */
    this.outlook = null;
    this.sizePx = { width: 0, height: 0 };
    this.ratio = 1;
  }

  /** The sheet has changed: draw it anew at the next wish. */
  forget() {
    this.outlook = null;
  }

  /**
   * Whether it holds what is to be seen, dot by dot.
   * @param {Outlook} outlook
   * @param {{width: number, height: number, ratio: number}} panePx
   * @returns {boolean}
   */
  holds(outlook, panePx) {
    if (this.outlook === null || this.ratio !== panePx.ratio || this.outlook.zoom !== outlook.zoom) {
      return false;
    }
    const { x, y } = this.wayTo(outlook);
    return (
      x >= 0 && y >= 0 &&
      x + Math.round(panePx.width * this.ratio) <= this.canvas.width &&
      y + Math.round(panePx.height * this.ratio) <= this.canvas.height
    );
  }

  /**
   * Draw what is to be seen and a margin around it.
   * @param {Outlook} outlook
   * @param {{width: number, height: number, ratio: number}} panePx
   * @param {Extent} sheet
   * @param {DrawSheet} draw
   */
  take(outlook, panePx, sheet, draw) {
    const dotsPerMm = outlook.zoom * PX_PER_MM * panePx.ratio;
    const wide = spread(outlook.leftMm * dotsPerMm, panePx.width * panePx.ratio, sheet.widthMm * dotsPerMm);
    const high = spread(outlook.topMm * dotsPerMm, panePx.height * panePx.ratio, sheet.heightMm * dotsPerMm);
    this.canvas.width = wide.length;
    this.canvas.height = high.length;
    this.ratio = panePx.ratio;
    this.outlook = {
      zoom: outlook.zoom,
      leftMm: outlook.leftMm - wide.before / dotsPerMm,
      topMm: outlook.topMm - high.before / dotsPerMm,
    };
    const context = this.canvas.getContext("2d", { alpha: false });
    if (context === null) {
      throw new Error("This browser cannot draw.");
    }
    const { ratio } = panePx;
    draw(context, { width: wide.length / ratio, height: high.length / ratio, ratio }, this.outlook);
  }

  /**
   * Copy what is seen; while the zoom changes, larger or smaller than it was drawn.
   * @param {CanvasRenderingContext2D} context  of a canvas in device dots
   * @param {Outlook} outlook
   */
  copyTo(context, outlook) {
    const { x, y } = this.wayTo(outlook);
    const times = outlook.zoom / (this.outlook?.zoom ?? outlook.zoom);
    const { width, height } = this.canvas;
    context.drawImage(this.canvas, -x * times, -y * times, width * times, height * times);
  }

  /**
   * From the picture's corner to the corner of what is seen, in the picture's own dots.
   * @param {Outlook} outlook
   */
  wayTo({ leftMm, topMm, zoom }) {
    const own = this.outlook ?? { leftMm, topMm, zoom };
    const dotsPerMm = own.zoom * PX_PER_MM * this.ratio;
    const way = { x: (leftMm - own.leftMm) * dotsPerMm, y: (topMm - own.topMm) * dotsPerMm };
    return own.zoom === zoom ? { x: Math.round(way.x), y: Math.round(way.y) } : way;
  }
}

/**
 * How many dots to draw along one side, and how many of them before what is seen.
 * @param {number} start
 * @param {number} seen
 * @param {number} whole  of the sheet
 * @returns {{before: number, length: number}}
 */
function spread(start, seen, whole) {
  const margin = Math.round(MARGIN_SHARE * seen);
  const before = Math.min(margin, Math.max(0, Math.floor(start)));
  const after = Math.min(margin, Math.max(0, Math.ceil(whole - start - seen)));
  return { before, length: before + Math.round(seen) + after };
}
