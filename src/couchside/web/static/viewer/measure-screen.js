// A card or a ruler held against the screen: its outline is made as large as the thing itself.

import { byId } from "./page.js";
import { forgetScale, keepScale, readScale, truePxPerMm } from "./screen.js";

/** An ID-1 card, such as a bank card, in millimetres [ISO7810]. */
const CARD_MM = { long: 85.6, short: 53.98 };
const RULER_MM = { long: 100, short: 50 };
const RULER_HIGH_MM = 12;
const FINE_STEP = 0.02;

/** The outline, the slider under it, and what is said of this screen. */
export class ScreenMeasure {
  /** @param {() => void} changed  the true size is another one now */
  constructor(changed) {
    this.changed = changed;
    this.panel = byId("measure-screen", HTMLDetailsElement);
    this.outline = byId("screen-outline", HTMLElement);
    this.slider = byId("screen-slider", HTMLInputElement);
    this.panel.addEventListener("toggle", () => this.show());
    this.panel.addEventListener("input", () => this.draw());
    this.panel.addEventListener("click", (event) => this.press(event));
    this.tell();
  }

  /** What is held against the screen, in millimetres from left to right. */
  get wideMm() {
    const size = this.isCard ? CARD_MM : RULER_MM;
    return this.isNarrow ? size.short : size.long;
  }

  get highMm() {
    return this.isCard ? (this.isNarrow ? CARD_MM.long : CARD_MM.short) : RULER_HIGH_MM;
  }

  get isCard() {
    const chosen = this.panel.querySelector("input[name=against]:checked");
    return chosen instanceof HTMLInputElement && chosen.value === "card";
  }

  /** On a telephone there is room for the short side alone. */
  get isNarrow() {
    return this.panel.clientWidth < RULER_MM.long * truePxPerMm() * 1.25;
  }

  /** Open with what holds now. */
  show() {
    if (this.panel.open) {
      this.slider.value = String(truePxPerMm());
      this.draw();
    }
  }

  draw() {
    const pxPerMm = Number(this.slider.value);
    this.outline.classList.toggle("is-ruler", !this.isCard);
    this.outline.style.width = `${this.wideMm * pxPerMm}px`;
    this.outline.style.height = `${this.highMm * pxPerMm}px`;
    this.outline.style.setProperty("--tick", `${10 * pxPerMm}px`);
    byId("screen-size", HTMLOutputElement).value = `${this.wideMm} mm`;
  }

  /** @param {Event} event */
  press(event) {
    const button = event.target instanceof Element ? event.target.closest("button") : null;
    const { size, screen } = button?.dataset ?? {};
    if (size) {
      this.slider.value = String(Number(this.slider.value) + Number(size) * FINE_STEP);
      this.draw();
    } else if (screen) {
      this.settle(screen === "keep");
    }
  }

  /** @param {boolean} isKept */
  settle(isKept) {
    let isWritten = true;
    if (isKept) {
      isWritten = keepScale(Number(this.slider.value));
    } else {
      forgetScale();
    }
    this.panel.open = false;
    this.panel.querySelector("summary")?.focus();
    this.tell();
    byId("screen-unkept", HTMLElement).hidden = isWritten;
    this.changed();
  }

  /** Say whether this screen was measured, and when. */
  tell() {
    const place = byId("screen-state", HTMLElement);
    const scale = readScale();
    const day = scale && new Date(scale.measuredOn).toLocaleDateString(document.documentElement.lang);
    place.textContent = scale
      ? (place.dataset.measured ?? "").replace("{day}", day ?? "")
      : place.dataset.unmeasured ?? "";
    place.classList.toggle("is-unmeasured", scale === null);
  }
}
