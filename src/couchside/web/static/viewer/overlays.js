// What can be laid over the tracing: boundaries, the representative beat, an earlier one's beat.

/** @typedef {import("./waves.js").Waves} Waves */
/** @typedef {import("./waves.js").EarlierBeat} EarlierBeat */
/** @typedef {"boundaries" | "beat" | "earlier"} OverlayName */

/**
 * What is to be drawn; null is not there, or not wanted.
 * @typedef {object} Layers
 * @property {boolean} hasBoundaries
 * @property {boolean} hasBeat
 * @property {Waves | null} waves
 * @property {EarlierBeat | null} earlier
 */

import { byId } from "./page.js";
import { fetchEarlierBeat, fetchWaves } from "./waves.js";

/** @type {Record<string, OverlayName>} */
const KEYS = { b: "boundaries", r: "beat", e: "earlier" };

/** What is wanted over the tracing, and what was fetched for it. */
export class Overlays {
  /**
   * @param {HTMLFormElement} tools
   * @param {DOMStringMap} addresses
   * @param {{changed: () => void, failed: (error: unknown) => void}} told
   */
  constructor(tools, addresses, told) {
    this.tools = tools;
    this.addresses = addresses;
    this.told = told;
    /** @type {Waves | null} */
    this.waves = null;
    /** @type {EarlierBeat | null} */
    this.earlier = null;
    this.stretch = { startS: 0, lengthS: 0 };
    this.asked = "";
    this.hasAskedEarlier = false;
  }

  /** @returns {Set<string>} */
  get wanted() {
    return new Set(new FormData(this.tools).getAll("overlay").map(String));
  }

  /** @returns {Layers} */
  get layers() {
    const { wanted, waves } = this;
    return {
      hasBoundaries: wanted.has("boundaries"),
      hasBeat: wanted.has("beat"),
      waves: wanted.size > 0 ? waves : null,
      earlier: wanted.has("earlier") ? this.earlier : null,
    };
  }

  /**
   * Another stretch is shown.
   * @param {number} startS
   * @param {number} lengthS
   */
  turnTo(startS, lengthS) {
    this.stretch = { startS, lengthS };
    this.update();
  }

  /** Fetch what is wanted and not there, and say what each line is. */
  update() {
    const { wanted } = this;
    for (const words of document.querySelectorAll("[data-overlay]")) {
      if (words instanceof HTMLElement) {
        words.hidden = !wanted.has(words.dataset.overlay ?? "");
      }
    }
    if (wanted.size > 0) {
      this.fetchBeats().catch(this.told.failed);
    }
    if (wanted.has("earlier")) {
      this.fetchEarlier().catch(this.told.failed);
    }
  }

  /** The beats of the stretch; only the newest wish is answered. */
  async fetchBeats() {
    const { startS, lengthS } = this.stretch;
    const wish = `${startS},${lengthS}`;
    if (wish !== this.asked) {
      this.asked = wish;
      const waves = await fetchWaves(this.addresses.waves ?? "", startS, lengthS);
      if (wish === this.asked) {
        this.waves = waves;
        this.tell(waves);
      }
    }
  }

  async fetchEarlier() {
    if (!this.hasAskedEarlier) {
      this.hasAskedEarlier = true;
      this.earlier = await fetchEarlierBeat(this.addresses.earlier ?? "");
      this.told.changed();
    }
  }

  /** @param {Waves} waves */
  tell(waves) {
    byId("no-beat", HTMLElement).hidden = waves.representative !== null;
    this.told.changed();
  }

  /**
   * Switch an overlay by its key; whether it was one.
   * @param {string} key
   * @returns {boolean}
   */
  pressKey(key) {
    const name = KEYS[key.toLowerCase()];
    const box = name && this.tools.querySelector(`input[name=overlay][value=${name}]`);
    if (!(box instanceof HTMLInputElement)) {
      return false;
    }
    box.checked = !box.checked;
    box.dispatchEvent(new Event("change", { bubbles: true }));
    return true;
  }
}
