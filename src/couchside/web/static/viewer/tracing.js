// The tracing on the page: fetch, choose, draw, move.

/** @typedef {import("./sheet.js").Choice} Choice */
/** @typedef {import("./draw.js").Mark} Mark */
/** @typedef {import("./window.js").Outlook} Outlook */
/** @typedef {import("./samples.js").Samples} Samples */

import { findSpot } from "./calipers.js";
import { drawScene } from "./draw.js";
import { Hand } from "./hand.js";
import { listenToMoves } from "./moves.js";
import { fetchSamples, findExtremes } from "./samples.js";
import { layOut, WINDOW_S } from "./sheet.js";
import { byId } from "./page.js";
import { readChoice, readFilters, sayChoice, sayFilter, sayStretch } from "./tools.js";
import { centreOn, fitZoom, keepInSight, panBy, PX_PER_MM, toSheet, zoomAbout } from "./window.js";

const TALLEST_SHARE_OF_SCREEN = 0.85;
const LEAST_HEIGHT_PX = 260;
const ZOOM_STEP = 1.25;
const KEY_PAN_PX = 48;
/** How near a line a mouse, or a finger, takes it. */
const NEAR_PX = { mouse: 7, touch: 22 };
/** Below this a trace cannot be read; a small screen starts larger, and shows a part. */
const LEAST_START_ZOOM = 0.5;
const SMALL_SCREEN_ZOOM = 0.75;

/** One tracing: what is chosen, what is seen, and the canvas it is drawn on. */
class Tracing {
  /** @param {HTMLElement} frame */
  constructor(frame) {
    this.frame = frame;
    this.canvas = byId("tracing-canvas", HTMLCanvasElement);
    this.tools = byId("tracing-tools", HTMLFormElement);
    this.address = frame.dataset.samples ?? "";
    /** @type {Samples | null} */
    this.samples = null;
    /** @type {{highest: number, lowest: number}[]} */
    this.extremes = [];
    /** @type {Mark | null} */
    this.mark = null;
    this.startS = 0;
    this.filters = "";
    this.hand = new Hand(this.tools, () => this.redraw());
    /** @type {Outlook} */
    this.outlook = { zoom: 1, leftMm: 0, topMm: 0 };
    this.isFitted = true;
    this.isDrawn = false;
  }

  /** Show the first seconds and begin to listen. */
  async open() {
    this.frame.hidden = false;
    await this.turnTo(0);
    if (this.outlook.zoom < LEAST_START_ZOOM) {
      this.zoomTo(SMALL_SCREEN_ZOOM / this.outlook.zoom, { x: 0, y: 0 });
    }
    this.tools.addEventListener("change", () => this.rechoose());
    this.tools.addEventListener("click", (event) => this.press(event));
    this.tools.addEventListener("submit", (event) => event.preventDefault());
    listenToMoves(this.canvas, {
      pan: (dxPx, dyPx) => this.moveTo(panBy(this.outlook, dxPx, dyPx)),
      zoom: (factor, pointPx) => this.zoomTo(factor, pointPx),
      key: (key, isShifted) => this.pressKey(key, isShifted),
      take: (pointPx, isTouch) => this.takeHold(pointPx, isTouch ? NEAR_PX.touch : NEAR_PX.mouse),
      drag: (pointPx) => this.hand.drag(this.spotAt(pointPx)),
    });
    new ResizeObserver(() => this.refresh()).observe(this.frame);
    matchMedia("(prefers-color-scheme: dark)").addEventListener("change", () => this.redraw());
    for (const link of document.querySelectorAll(".show-mark")) {
      link.addEventListener("click", () => this.showMark(link));
    }
  }

  /** @returns {Choice} */
  get choice() {
    return readChoice(this.tools, this.startS);
  }

  get sheet() {
    const { leads, durationS } = this.loaded;
    const mmUv = this.choice.gainMmMv / 1000;
    const reaches = this.extremes.map(({ highest, lowest }) => {
      return { upMm: highest * mmUv, downMm: -lowest * mmUv };
    });
    return layOut(leads, durationS, this.choice, reaches);
  }

  /** @returns {Samples} */
  get loaded() {
    if (this.samples === null) {
      throw new Error("The samples are not there yet.");
    }
    return this.samples;
  }

  get canvasPx() {
    return { width: this.canvas.clientWidth, height: this.canvas.clientHeight };
  }

  /**
   * Show the stretch that starts at a second.
   * @param {number} startS
   */
  async turnTo(startS) {
    const filters = readFilters(this.tools);
    const samples = await fetchSamples(this.address, startS, WINDOW_S, filters);
    if (filters.join() !== readFilters(this.tools).join()) {
      return; // another filter was chosen meanwhile, and its samples are on their way
    }
    this.samples = samples;
    this.filters = filters.join();
    sayFilter(samples.filter);
    this.extremes = this.samples.rows.map(findExtremes);
    this.startS = startS;
    sayStretch(this.tools, startS, this.loaded.durationS);
    this.refresh();
  }

  /** Another layout, speed or gain: lay out again, keep the zoom. */
  rechoose() {
    this.canvas.classList.toggle("measuring", this.hand.kind !== null);
    sayChoice(this.choice, this.frame.dataset.page ?? "");
    if (readFilters(this.tools).join() !== this.filters) {
      this.turnTo(this.startS).catch(tellFailure);
    }
    this.refresh();
  }

  /**
   * @param {Event} event
   */
  press(event) {
    const button = event.target instanceof Element ? event.target.closest("button") : null;
    const { zoom, step, clear } = button?.dataset ?? {};
    if (clear !== undefined) {
      this.hand.clear();
    } else if (step) {
      this.step(Number(step));
    } else if (zoom) {
      this.zoomBy(zoom);
    }
  }

  /** @param {number} direction */
  step(direction) {
    const last = Math.max(0, Math.ceil(this.loaded.durationS / WINDOW_S - 1) * WINDOW_S);
    const startS = Math.min(Math.max(this.startS + direction * WINDOW_S, 0), last);
    if (startS !== this.startS) {
      this.turnTo(startS).catch(tellFailure);
    }
  }

  /** @param {string} name */
  zoomBy(name) {
    const { width, height } = this.canvasPx;
    const middle = { x: width / 2, y: height / 2 };
    if (name === "fit") {
      this.isFitted = true;
      this.moveTo({ zoom: 1, leftMm: 0, topMm: 0 });
    } else if (name === "true") {
      this.zoomTo(1 / this.outlook.zoom, { x: 0, y: 0 });
    } else {
      this.zoomTo(name === "in" ? ZOOM_STEP : 1 / ZOOM_STEP, middle);
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

  /** @param {Outlook} outlook */
  moveTo(outlook) {
    this.outlook = outlook;
    this.refresh();
  }

  /**
   * Take hold of a caliper at a point of the canvas, if the hand has one.
   * @param {{x: number, y: number}} pointPx
   * @param {number} nearPx
   * @returns {boolean}
   */
  takeHold(pointPx, nearPx) {
    if (this.hand.kind === null) {
      return false;
    }
    this.hand.take(this.spotAt(pointPx), this.spanOf(nearPx));
    return true;
  }

  /** @param {{x: number, y: number}} pointPx */
  spotAt(pointPx) {
    return findSpot(this.sheet, this.choice, toSheet(this.outlook, pointPx));
  }

  /**
   * How much time, and how many microvolts, so many pixels are.
   * @param {number} px
   */
  spanOf(px) {
    const { speedMmS, gainMmMv } = this.choice;
    const mm = px / (this.outlook.zoom * PX_PER_MM);
    return { timeS: mm / speedMmS, uv: (mm / gainMmMv) * 1000 };
  }

  /**
   * Act on a key; whether it was one of the tracing's.
   * @param {string} key
   * @param {boolean} isShifted
   * @returns {boolean}
   */
  pressKey(key, isShifted) {
    const { width, height } = this.canvasPx;
    const around = {
      isLeap: isShifted,
      sampleS: 1 / this.loaded.rateHz,
      middle: () => this.spotAt({ x: width / 2, y: height / 2 }),
      seen: { timeS: this.spanOf(width).timeS, uv: this.spanOf(height).uv },
    };
    if (this.hand.pressKey(key, around)) {
      return true;
    }
    /** @type {Record<string, () => void>} */
    const acts = {
      ArrowLeft: () => this.moveTo(panBy(this.outlook, -KEY_PAN_PX, 0)),
      ArrowRight: () => this.moveTo(panBy(this.outlook, KEY_PAN_PX, 0)),
      ArrowUp: () => this.moveTo(panBy(this.outlook, 0, -KEY_PAN_PX)),
      ArrowDown: () => this.moveTo(panBy(this.outlook, 0, KEY_PAN_PX)),
      "+": () => this.zoomBy("in"),
      "=": () => this.zoomBy("in"),
      "-": () => this.zoomBy("out"),
      "0": () => this.zoomBy("fit"),
      "1": () => this.zoomBy("true"),
      PageUp: () => this.step(-1),
      PageDown: () => this.step(1),
    };
    acts[key]?.();
    return key in acts;
  }

  /** @param {Element} link */
  showMark(link) {
    const text = link instanceof HTMLElement ? link.dataset.mark : undefined;
    this.mark = text ? JSON.parse(text) : null;
    const firstS = this.mark?.spansS[0]?.[0] ?? this.startS;
    this.turnTo(Math.floor(firstS / WINDOW_S) * WINDOW_S)
      .then(() => this.comeToMark(firstS))
      .catch(tellFailure);
  }

  /**
   * Bring the marked lead into view, where it starts to show.
   * @param {number} firstS
   */
  comeToMark(firstS) {
    const { speedMmS } = this.choice;
    const marked = this.sheet.panels.filter(({ name }) => this.mark?.leads.includes(name));
    const panel = marked.find((each) => firstS < each.startS + each.widthMm / speedMmS) ?? marked[0];
    if (panel === undefined) {
      return;
    }
    const beginMm = panel.leftMm + Math.max(firstS - panel.startS, 0) * speedMmS;
    this.moveTo(centreOn(this.outlook, { x: beginMm, y: panel.baselineMm }, this.canvasPx));
    this.canvas.scrollIntoView({ block: "nearest" });
  }

  /** Fit the canvas to its place, keep the sheet in sight, draw. */
  refresh() {
    const sheet = this.sheet;
    if (this.isFitted) {
      // a tall sheet that fits in width can still be moved up and down
      const { topMm } = this.outlook;
      this.outlook = { zoom: fitZoom(sheet, this.canvas.clientWidth), leftMm: 0, topMm };
    }
    this.sizeCanvas(sheet.heightMm * this.outlook.zoom * PX_PER_MM);
    this.outlook = keepInSight(this.outlook, sheet, this.canvasPx);
    byId("zoom-now", HTMLOutputElement).value = `${Math.round(100 * this.outlook.zoom)} %`;
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

  /** Draw at the next frame, once. */
  redraw() {
    if (this.isDrawn) {
      return;
    }
    this.isDrawn = true;
    requestAnimationFrame(() => {
      this.isDrawn = false;
      this.draw();
    });
  }

  draw() {
    const context = this.canvas.getContext("2d", { alpha: false });
    if (context === null) {
      throw new Error("This browser cannot draw.");
    }
    const { width, height } = this.canvasPx;
    const ratio = devicePixelRatio;
    this.canvas.width = Math.round(width * ratio);
    this.canvas.height = Math.round(height * ratio);
    const { sheet, choice, outlook, mark, loaded } = this;
    const { calipers, isMarching } = this.hand;
    const scene = { sheet, choice, outlook, mark, samples: loaded, calipers, isMarching, heightPx: height };
    drawScene(context, { width, height, ratio }, scene);
    this.canvas.dataset.drawn = String(Number(this.canvas.dataset.drawn ?? 0) + 1);
  }
}

/** @param {unknown} error */
function tellFailure(error) {
  const place = byId("tracing-failure", HTMLElement);
  place.textContent = `The tracing cannot be shown: ${error instanceof Error ? error.message : error}`;
  place.hidden = false;
}

const frame = document.getElementById("viewer");
if (frame !== null) {
  new Tracing(frame).open().catch(tellFailure);
}
