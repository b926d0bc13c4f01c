// The pane through which the sheet is seen: its canvas, what part it shows, and how large.

/** @typedef {import("./window.js").Outlook} Outlook */
/** @typedef {import("./window.js").Extent} Extent */

import { Picture } from "./picture.js";
import { trueZoom } from "./screen.js";
import { centreOn, fitZoom, keepInSight, panBy, PX_PER_MM, toSheet, zoomAbout } from "./window.js";

const TALLEST_SHARE_OF_SCREEN = 0.85;
const LEAST_HEIGHT_PX = 260;
const ZOOM_STEP = 1.25;
/** Below this a trace cannot be read; a small screen starts larger, and shows a part. */
const LEAST_START_ZOOM = 0.5;
const SMALL_SCREEN_ZOOM = 0.75;
/** While the zoom changes, the last picture is stretched; so long after, it is drawn sharp. */
const SHARP_AFTER_MS = 60;

/**
 * What the pane is a pane of.
 * @typedef {object} Behind
 * @property {() => Extent & {fittedMm: number}} sheet
 * @property {import("./picture.js").DrawSheet} draw  the sheet, but for what follows
 * @property {import("./picture.js").DrawSheet} drawOver  what changes with each move: names, calipers
 * @property {() => void} moved  another part is seen
 */

/** A canvas and what is seen on it. */
export class Pane {
  /**
   * @param {HTMLCanvasElement} canvas
   * @param {Behind} behind
   */
  constructor(canvas, behind) {
    this.canvas = canvas;
    this.behind = behind;
    /** @type {Outlook} */
    this.outlook = { zoom: 1, leftMm: 0, topMm: 0 };
    this.isFitted = true;
    this.isAsked = false;
    this.picture = new Picture();
    /** @type {ReturnType<typeof setTimeout> | undefined} */
    this.sharpening = undefined;
  }

  get sizePx() {
    return { width: this.canvas.clientWidth, height: this.canvas.clientHeight };
  }

  /** Start larger where fitting would make the trace too small to read. */
  start() {
    if (this.outlook.zoom < LEAST_START_ZOOM) {
      this.zoomTo(SMALL_SCREEN_ZOOM / this.outlook.zoom, { x: 0, y: 0 });
    }
  }

  /** @param {string} name  "in", "out", "fit" or "true" */
  zoomBy(name) {
    const { width, height } = this.sizePx;
    if (name === "fit") {
      this.isFitted = true;
      this.moveTo({ ...this.outlook, topMm: 0 });
    } else if (name === "true") {
      this.zoomTo(trueZoom() / this.outlook.zoom, { x: 0, y: 0 });
    } else {
      this.zoomTo(name === "in" ? ZOOM_STEP : 1 / ZOOM_STEP, { x: width / 2, y: height / 2 });
    }
  }

  /**
   * @param {number} factor
   * @param {{x: number, y: number}} pointPx
   */
  zoomTo(factor, pointPx) {
    this.isFitted = false;
    this.moveTo(zoomAbout(this.outlook, factor, pointPx));
  }

  /**
   * @param {number} dxPx
   * @param {number} dyPx
   */
  pan(dxPx, dyPx) {
    this.moveTo(panBy(this.outlook, dxPx, dyPx));
  }

  /** @param {{x: number, y: number}} pointMm */
  centre(pointMm) {
    this.moveTo(centreOn(this.outlook, pointMm, this.sizePx));
  }

  /** @param {Outlook} outlook */
  moveTo(outlook) {
    this.outlook = outlook;
    this.refresh();
  }

  /**
   * The sheet was exchanged for one that begins so many millimetres later: what is seen stays.
   * @param {number} byMm
   */
  carryOver(byMm) {
    this.outlook = { ...this.outlook, leftMm: this.outlook.leftMm - byMm };
  }

  /** @param {{x: number, y: number}} pointPx */
  pointAt(pointPx) {
    return toSheet(this.outlook, pointPx);
  }

  /**
   * How many millimetres of the sheet so many pixels are.
   * @param {number} px
   */
  mmOf(px) {
    return px / (this.outlook.zoom * PX_PER_MM);
  }

  /** How large it is against true size. */
  get shareOfTrue() {
    return this.outlook.zoom / trueZoom();
  }

  /** Fit the canvas to its place, keep the sheet in sight, draw. */
  refresh() {
    const sheet = this.behind.sheet();
    if (this.isFitted) {
      // a sheet that fits can still be moved up and down, and a strip along
      const fitted = { widthMm: sheet.fittedMm, heightMm: sheet.heightMm };
      this.outlook = { ...this.outlook, zoom: fitZoom(fitted, this.canvas.clientWidth) };
    }
    this.sizeCanvas(sheet.heightMm * this.outlook.zoom * PX_PER_MM);
    this.outlook = keepInSight(this.outlook, sheet, this.sizePx);
    this.behind.moved();
    this.redraw();
  }

  /** @param {number} wantedPx */
  sizeCanvas(wantedPx) {
    const tallest = Math.max(LEAST_HEIGHT_PX, innerHeight * TALLEST_SHARE_OF_SCREEN);
    const height = Math.round(Math.min(wantedPx, tallest));
    if (this.canvas.clientHeight !== height) {
      this.canvas.style.height = `${height}px`;
    }
  }

  /** The sheet itself has changed. */
  renew() {
    this.picture.forget();
    this.refresh();
  }

  /** Draw at the next frame, once. */
  redraw() {
    if (this.isAsked) {
      return;
    }
    this.isAsked = true;
    requestAnimationFrame(() => {
      this.isAsked = false;
      this.draw();
    });
  }

  draw() {
    const context = this.canvas.getContext("2d", { alpha: false });
    if (context === null) {
      throw new Error("This browser cannot draw.");
    }
    const panePx = { ...this.sizePx, ratio: devicePixelRatio };
    const { picture, outlook } = this;
    this.giveDots(Math.round(panePx.width * panePx.ratio), Math.round(panePx.height * panePx.ratio));
    const isZooming = picture.outlook !== null && picture.outlook.zoom !== outlook.zoom;
    if (!isZooming && !picture.holds(outlook, panePx)) {
      picture.take(outlook, panePx, this.behind.sheet(), this.behind.draw);
    }
    context.setTransform(1, 0, 0, 1, 0, 0);
    if (isZooming) {
      context.clearRect(0, 0, this.canvas.width, this.canvas.height);
      this.sharpenSoon();
    }
    picture.copyTo(context, outlook);
    this.behind.drawOver(context, panePx, outlook);
    if (!isZooming) {
      this.canvas.dataset.drawn = String(Number(this.canvas.dataset.drawn ?? 0) + 1);
    }
  }

  /** Once the zoom rests, draw at that zoom. */
  sharpenSoon() {
    clearTimeout(this.sharpening);
    this.sharpening = setTimeout(() => {
      this.picture.forget();
      this.redraw();
    }, SHARP_AFTER_MS);
  }

  /**
   * As many dots as the screen has under the canvas; they are made anew only when they must be.
   * @param {number} wide
   * @param {number} high
   */
  giveDots(wide, high) {
    if (this.canvas.width !== wide || this.canvas.height !== high) {
      this.canvas.width = wide;
      this.canvas.height = high;
    }
  }
}
