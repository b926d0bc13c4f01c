// The tracing on the page: fetch, choose, draw, move.

/** @typedef {import("./draw.js").Mark} Mark */
/** @typedef {import("./samples.js").Samples} Samples */

import { findSpot } from "./calipers.js";
import { drawOverScene, drawScene } from "./draw.js";
import { Hand } from "./hand.js";
import { MOST_STRIP_LEADS } from "./leads.js";
import { findMarkedPlace, readMark } from "./mark.js";
import { ScreenMeasure } from "./measure-screen.js";
import { listenToMoves } from "./moves.js";
import { Overlays } from "./overlays.js";
import { byId, tellFailure } from "./page.js";
import { Pane } from "./pane.js";
import { findNextStart, findSeen, findStart } from "./rolling.js";
import { fetchSamples, findExtremes } from "./samples.js";
import { holdsS, layOut, WINDOW_S } from "./sheet.js";
import {
  limitStripLeads, readChoice, readFilters, sayChoice, sayFilter, sayPrints, saySize, sayStretch,
} from "./tools.js";

const KEY_PAN_PX = 48;
/** How near a line a mouse, or a finger, takes it. */
const NEAR_PX = { mouse: 7, touch: 22 };
/** Samples begin on a sample, not on a second. */
const SAME_SECOND_S = 0.5;

/** One tracing: what is chosen, what was fetched for it, and the pane through which it is seen. */
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
    this.asked = "";
    this.choice = readChoice(this.tools, 0);
    this.pane = new Pane(this.canvas, {
      sheet: () => this.sheet,
      draw: (context, canvasPx, outlook) => drawScene(context, canvasPx, this.makeScene(canvasPx, outlook)),
      drawOver: (context, canvasPx, outlook) =>
        drawOverScene(context, canvasPx, this.makeScene(canvasPx, outlook)),
      moved: () => this.look(),
    });
    this.hand = new Hand(this.tools, () => this.pane.redraw());
    this.overlays = new Overlays(this.tools, frame.dataset, {
      changed: () => this.pane.renew(),
      failed: tellFailure,
    });
    this.screen = new ScreenMeasure(() => this.pane.refresh());
  }

  /** Show the first seconds and begin to listen. */
  async open() {
    this.frame.hidden = false;
    limitStripLeads(this.tools, MOST_STRIP_LEADS);
    await this.turnTo(0);
    this.pane.start();
    this.rechoose();
    this.tools.addEventListener("change", () => this.rechoose());
    this.tools.addEventListener("click", (event) => this.press(event));
    this.tools.addEventListener("submit", (event) => event.preventDefault());
    listenToMoves(this.canvas, {
      pan: (dxPx, dyPx) => this.pane.pan(dxPx, dyPx),
      zoom: (factor, pointPx) => this.pane.zoomTo(factor, pointPx),
      key: (key, isShifted) => this.pressKey(key, isShifted),
      take: (pointPx, isTouch) => this.takeHold(pointPx, isTouch ? NEAR_PX.touch : NEAR_PX.mouse),
      drag: (pointPx) => this.hand.drag(this.spotAt(pointPx)),
    });
    new ResizeObserver(() => this.pane.refresh()).observe(this.frame);
    for (const wish of ["(prefers-color-scheme: dark)", "(prefers-contrast: more)"]) {
      matchMedia(wish).addEventListener("change", () => this.pane.renew());
    }
    for (const link of document.querySelectorAll(".show-mark")) {
      link.addEventListener("click", () => this.showMark(link));
    }
  }

  get sheet() {
    const { leads, durationS } = this.loaded;
    const mmUv = this.choice.gainMmMv / 1000;
    const reaches = this.extremes.map(({ highest, lowest }) => {
      return { upMm: highest * mmUv, downMm: -lowest * mmUv };
    });
    return layOut(leads, durationS, this.choice, reaches);
  }

  /**
   * @param {{width: number, height: number}} sizePx
   * @param {import("./window.js").Outlook} outlook
   * @returns {import("./draw.js").Scene}
   */
  makeScene(sizePx, outlook) {
    const { sheet, choice, mark, loaded } = this;
    const { layers } = this.overlays;
    const { calipers, isMarching } = this.hand;
    return { sheet, choice, outlook, mark, layers, samples: loaded, calipers, isMarching, sizePx };
  }

  /** @returns {Samples} */
  get loaded() {
    if (this.samples === null) {
      throw new Error("The samples are not there yet.");
    }
    return this.samples;
  }

  /** Which seconds are seen. */
  get seen() {
    const { leftMm } = this.pane.outlook;
    const widthMm = this.pane.mmOf(this.pane.sizePx.width);
    return findSeen(this.choice, this.sheet, { leftMm, widthMm }, this.loaded.durationS);
  }

  /**
   * Show the sheet that starts at a second; another wish meanwhile takes its place.
   * @param {number} startS
   * @param {boolean} [isRolled]  what is seen stays where it is
   */
  async turnTo(startS, isRolled = false) {
    const filters = readFilters(this.tools);
    const lengthS = holdsS(this.choice);
    const wish = [startS, lengthS, ...filters].join();
    this.asked = wish;
    const samples = await fetchSamples(this.address, startS, lengthS, filters);
    if (this.asked !== wish) {
      return;
    }
    if (isRolled) {
      this.pane.carryOver((startS - this.choice.startS) * this.choice.speedMmS);
    }
    this.samples = samples;
    sayFilter(samples.filter);
    this.extremes = samples.rows.map(findExtremes);
    this.choice = readChoice(this.tools, startS);
    this.overlays.turnTo(startS, lengthS);
    this.pane.renew();
  }

  /** Another layout, speed, gain or filter: lay out again, keep the zoom. */
  rechoose() {
    this.canvas.classList.toggle("measuring", this.hand.kind !== null);
    limitStripLeads(this.tools, MOST_STRIP_LEADS);
    const before = this.choice;
    this.choice = readChoice(this.tools, before.startS);
    sayChoice(this.tools, this.choice);
    const startS = this.choice.layout === before.layout
      ? before.startS : findStart(this.choice, before.startS, this.loaded.durationS);
    if ([startS, holdsS(this.choice), ...readFilters(this.tools)].join() !== this.asked) {
      this.turnTo(startS).catch(tellFailure);
    }
    this.overlays.update();
    this.pane.renew();
  }

  /** What is seen is another part: say so, and fetch a strip's next sheet before this one ends. */
  look() {
    const { seen } = this;
    const { durationS, startS } = this.loaded;
    sayStretch(this.tools, seen, durationS);
    saySize(this.pane.shareOfTrue);
    sayPrints(this.choice, this.frame.dataset, seen);
    const nextS = findNextStart(this.choice, seen, durationS);
    const isHere = Math.abs(startS - this.choice.startS) < SAME_SECOND_S;
    if (nextS !== null && isHere && !this.asked.startsWith(`${nextS},`)) {
      this.turnTo(nextS, true).catch(tellFailure);
    }
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
      this.pane.zoomBy(zoom);
    }
  }

  /** @param {number} direction */
  step(direction) {
    const { durationS } = this.loaded;
    const byS = direction * WINDOW_S;
    if (this.choice.layout === "strip") {
      this.pane.carryOver(-byS * this.choice.speedMmS);
      this.pane.refresh();
      return;
    }
    const last = Math.max(0, Math.ceil(durationS / WINDOW_S - 1) * WINDOW_S);
    const startS = Math.min(Math.max(this.choice.startS + byS, 0), last);
    if (startS !== this.choice.startS) {
      this.turnTo(startS).catch(tellFailure);
    }
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
    return findSpot(this.sheet, this.choice, this.pane.pointAt(pointPx));
  }

  /**
   * How much time, and how many microvolts, so many pixels are.
   * @param {number} px
   */
  spanOf(px) {
    const mm = this.pane.mmOf(px);
    return { timeS: mm / this.choice.speedMmS, uv: (mm / this.choice.gainMmMv) * 1000 };
  }

  /**
   * Act on a key; whether it was one of the tracing's.
   * @param {string} key
   * @param {boolean} isShifted
   * @returns {boolean}
   */
  pressKey(key, isShifted) {
    const { width, height } = this.pane.sizePx;
    const around = {
      isLeap: isShifted,
      sampleS: 1 / this.loaded.rateHz,
      middle: () => this.spotAt({ x: width / 2, y: height / 2 }),
      seen: { timeS: this.spanOf(width).timeS, uv: this.spanOf(height).uv },
    };
    if (this.hand.pressKey(key, around) || this.overlays.pressKey(key)) {
      return true;
    }
    /** @type {Record<string, () => void>} */
    const acts = {
      ArrowLeft: () => this.pane.pan(-KEY_PAN_PX, 0),
      ArrowRight: () => this.pane.pan(KEY_PAN_PX, 0),
      ArrowUp: () => this.pane.pan(0, -KEY_PAN_PX),
      ArrowDown: () => this.pane.pan(0, KEY_PAN_PX),
      "+": () => this.pane.zoomBy("in"),
      "=": () => this.pane.zoomBy("in"),
      "-": () => this.pane.zoomBy("out"),
      "0": () => this.pane.zoomBy("fit"),
      "1": () => this.pane.zoomBy("true"),
      PageUp: () => this.step(-1),
      PageDown: () => this.step(1),
    };
    acts[key]?.();
    return key in acts;
  }

  /** @param {Element} link */
  showMark(link) {
    this.mark = readMark(link);
    const firstS = this.mark?.spansS[0]?.[0] ?? this.choice.startS;
    this.turnTo(findStart(this.choice, firstS, this.loaded.durationS))
      .then(() => this.comeToMark(firstS))
      .catch(tellFailure);
  }

  /**
   * Bring the marked lead into view, where it starts to show.
   * @param {number} firstS
   */
  comeToMark(firstS) {
    const place = findMarkedPlace(this.sheet, this.choice, this.mark, firstS);
    if (place !== null) {
      this.pane.centre(place);
      this.canvas.scrollIntoView({ block: "nearest" });
    }
  }
}

const frame = document.getElementById("viewer");
if (frame !== null) {
  new Tracing(frame).open().catch(tellFailure);
}
