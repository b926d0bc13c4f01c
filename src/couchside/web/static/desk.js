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

/** Say so when the pages stop renewing themselves, and stop saying so when they do again. */
function listenToSilence() {
  const notice = document.getElementById("out-of-touch");
  let failures = 0;
  /** @param {boolean} hasAnswered */
  const note = (hasAnswered) => {
    failures = hasAnswered ? 0 : failures + 1;
    if (notice !== null) {
      notice.hidden = failures < OUT_OF_TOUCH_AFTER;
    }
  };
  document.addEventListener("htmx:after:request", (event) => note(hasSucceeded(event)));
  document.addEventListener("htmx:error", () => note(false));
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
