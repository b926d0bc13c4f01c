// What every page does beside its links and forms: files dropped in, and silence noticed.

const OUT_OF_TOUCH_AFTER = 3;

listenToDrops();
listenToSilence();
keepOpenForms();
rememberTaps();

/** Files that are let go anywhere on the page are handed in by its upload form. */
function listenToDrops() {
  const form = document.querySelector("#drop, #upload");
  const input = form?.querySelector("input[type=file]");
  if (!(form instanceof HTMLFormElement) || !(input instanceof HTMLInputElement)) {
    return;
  }
  const isCurtain = form.id === "drop";
  document.addEventListener("dragover", (event) => {
    event.preventDefault();
    form.hidden = false;
  });
  document.addEventListener("dragleave", (event) => {
    form.hidden = isCurtain && event.relatedTarget === null;
  });
  document.addEventListener("drop", (event) => {
    event.preventDefault();
    if (event.dataTransfer?.files.length) {
      input.files = event.dataTransfer.files;
      form.requestSubmit();
    } else {
      form.hidden = isCurtain;
    }
  });
}

/** Say so when a part of the page stops renewing itself, and stop saying so when it does again. */
function listenToSilence() {
  const notice = document.getElementById("out-of-touch");
  /** Failures in a row, by the id of the part. @type {Map<string, number>} */
  const failures = new Map();
  /** @param {Event} event @param {boolean} hasAnswered */
  const note = (event, hasAnswered) => {
    const part = event.target instanceof Element ? event.target.id : "";
    failures.set(part, hasAnswered ? 0 : (failures.get(part) ?? 0) + 1);
    if (notice !== null) {
      notice.hidden = Math.max(...failures.values()) < OUT_OF_TOUCH_AFTER;
    }
  };
  document.addEventListener("htmx:after:request", (event) => note(event, hasSucceeded(event)));
  document.addEventListener("htmx:error", (event) => note(event, false));
}

/**
 * @param {Event} event
 * @returns {boolean}
 */
function hasSucceeded(event) {
  const status = event instanceof CustomEvent ? event.detail?.ctx?.response?.status : 0;
  return status >= 200 && status < 400;
}

/** While somebody fills in a form in the part that renews itself, it stays as it is. */
function keepOpenForms() {
  document.addEventListener("htmx:before:request", (event) => {
    const isAtWork = document.activeElement?.closest("#now form") ?? null;
    if (isAtWork !== null && event.target instanceof Element && event.target.id === "now") {
      event.preventDefault();
    }
  });
}

/** The tap that leads to another page is told to it, so that its second half does nothing there. */
function rememberTaps() {
  document.addEventListener("click", (event) => {
    if (event.detail > 0) {
      const tap = { x: event.clientX, y: event.clientY, atMs: Date.now() };
      sessionStorage.setItem("last-tap", JSON.stringify(tap));
    }
  });
}
