// The hand that sets calipers: by mouse, finger and key. It holds them; the tracing draws them.

/** @typedef {import("./calipers.js").Caliper} Caliper */
/** @typedef {import("./calipers.js").CaliperKind} CaliperKind */
/** @typedef {import("./calipers.js").Part} Part */
/** @typedef {import("./calipers.js").Spot} Spot */

import { findPart, measureWay, setCaliper, shiftPart, writeReading } from "./calipers.js";
import { byId } from "./page.js";

/** Keys move a line by one sample; with Shift by as many as this. */
const LEAP_SAMPLES = 10;
/** Or by this many microvolts, and ten times that with Shift. */
const STEP_UV = 10;
const NEW_SHARE = 0.06;

/** What the hand has set, and which line it holds. */
export class Hand {
  /**
   * @param {HTMLFormElement} tools
   * @param {() => void} changed
   */
  constructor(tools, changed) {
    this.tools = tools;
    this.changed = changed;
    this.output = byId("caliper-reading", HTMLOutputElement);
    /** @type {Map<CaliperKind, Caliper>} */
    this.set = new Map();
    /** @type {{kind: CaliperKind, part: Part}} */
    this.held = { kind: "interval", part: 1 };
    /** @type {Spot | null} */
    this.at = null;
  }

  /** @returns {CaliperKind | null}  null while the hand moves the sheet */
  get kind() {
    const chosen = new FormData(this.tools).get("hand");
    return chosen === "interval" || chosen === "amplitude" ? chosen : null;
  }

  get isMarching() {
    return new FormData(this.tools).has("marching");
  }

  get calipers() {
    return [...this.set.values()];
  }

  /**
   * Take the line that is near, or set a new caliper there.
   * @param {Spot} spot
   * @param {{timeS: number, uv: number}} near
   */
  take(spot, near) {
    const kind = this.kind;
    if (kind === null) {
      return;
    }
    const caliper = this.set.get(kind);
    const part = caliper && findPart(caliper, spot, kind === "interval" ? near.timeS : near.uv);
    if (caliper === undefined || part === null || part === undefined) {
      this.set.set(kind, setCaliper(kind, spot));
    }
    this.held = { kind, part: part ?? 1 };
    this.at = spot;
    this.tell();
  }

  /** @param {Spot} spot */
  drag(spot) {
    const caliper = this.set.get(this.held.kind);
    if (caliper !== undefined && this.at !== null) {
      const way = measureWay(caliper.kind, this.at, spot);
      this.set.set(caliper.kind, shiftPart(caliper, this.held.part, way));
      this.at = spot;
      this.tell();
    }
  }

  /**
   * Act on a key while a caliper is chosen; whether it was one of the hand's.
   * @param {string} key
   * @param {{isLeap: boolean, sampleS: number, middle: () => Spot, seen: {timeS: number, uv: number}}} around
   * @returns {boolean}
   */
  pressKey(key, around) {
    const kind = this.kind;
    if (key === "c" || key === "C") {
      this.chooseNext();
      return true;
    }
    if (kind === null) {
      return false;
    }
    const step = kind === "interval" ? around.sampleS : STEP_UV;
    const by = (around.isLeap ? LEAP_SAMPLES : 1) * step;
    /** @type {Record<string, () => void>} */
    const acts = {
      Enter: () => this.setInMiddle(kind, around),
      " ": () => this.holdOther(kind),
      m: () => this.toggleMarching(),
      Escape: () => this.clear(),
      [kind === "interval" ? "ArrowLeft" : "ArrowDown"]: () => this.nudge(kind, -by),
      [kind === "interval" ? "ArrowRight" : "ArrowUp"]: () => this.nudge(kind, by),
    };
    acts[key]?.();
    return key in acts;
  }

  clear() {
    this.set.clear();
    this.tell();
  }

  /** Say the readings in words, and draw. */
  tell() {
    const words = this.output.dataset.byHand ?? "";
    const readings = this.calipers.map(writeReading);
    this.output.value = readings.length ? `${words} ${readings.join(" · ")}` : "";
    this.changed();
  }

  /** From moving to intervals to amplitudes and round again. */
  chooseNext() {
    const ways = [...this.tools.querySelectorAll("input[name=hand]")];
    const now = ways.findIndex((way) => way instanceof HTMLInputElement && way.checked);
    const next = ways[(now + 1) % ways.length];
    if (next instanceof HTMLInputElement) {
      next.checked = true;
      next.dispatchEvent(new Event("change", { bubbles: true }));
    }
  }

  /**
   * @param {CaliperKind} kind
   * @param {{middle: () => Spot, seen: {timeS: number, uv: number}}} around
   */
  setInMiddle(kind, around) {
    const caliper = setCaliper(kind, around.middle());
    const apart = NEW_SHARE * (kind === "interval" ? around.seen.timeS : around.seen.uv);
    this.set.set(kind, shiftPart(caliper, 1, apart));
    this.held = { kind, part: 1 };
    this.tell();
  }

  /** @param {CaliperKind} kind */
  holdOther(kind) {
    const next = { 0: 1, 1: "both", both: 0 };
    const part = this.held.kind === kind ? next[this.held.part] : 1;
    this.held = { kind, part: /** @type {Part} */ (part) };
  }

  toggleMarching() {
    const box = this.tools.querySelector("input[name=marching]");
    if (box instanceof HTMLInputElement) {
      box.checked = !box.checked;
      box.dispatchEvent(new Event("change", { bubbles: true }));
    }
  }

  /**
   * @param {CaliperKind} kind
   * @param {number} by
   */
  nudge(kind, by) {
    const caliper = this.set.get(kind);
    if (caliper !== undefined) {
      const part = this.held.kind === kind ? this.held.part : 1;
      this.set.set(kind, shiftPart(caliper, part, by));
      this.tell();
    }
  }
}
