// When nobody has had a hand on the page for a while, it is covered, and comes back as it was.

const TELL_AWAKE_EVERY_MS = 60_000;
const LOOK_EVERY_MS = 5_000;
const LOCKED = 423;

const cover = document.getElementById("lock");
if (cover instanceof HTMLDialogElement) {
  watch(cover);
}

/** @param {HTMLDialogElement} cover */
function watch(cover) {
  const afterMs = Number(cover.dataset.afterS) * 1000;
  let lastTouchAtMs = Date.now();
  let lastToldAtMs = Date.now();
  let isCovered = false;

  const touch = () => {
    lastTouchAtMs = Date.now();
    if (!cover.open && lastTouchAtMs - lastToldAtMs > TELL_AWAKE_EVERY_MS) {
      lastToldAtMs = lastTouchAtMs;
      void post("/awake").then((answer) => answer.status === 204 || close());
    }
  };
  const close = () => {
    isCovered = true;
    if (!cover.open) {
      cover.showModal();
      cover.querySelector("input")?.focus();
    }
  };
  const open = () => {
    lastTouchAtMs = Date.now();
    lastToldAtMs = lastTouchAtMs;
    isCovered = false;
    cover.close();
  };

  for (const kind of ["pointerdown", "pointermove", "keydown", "wheel", "scroll"]) {
    document.addEventListener(kind, touch, { passive: true, capture: true });
  }
  setInterval(() => {
    if (!cover.open && Date.now() - lastTouchAtMs > afterMs) {
      close();
      void post("/lock");
    }
  }, LOOK_EVERY_MS);
  document.addEventListener("htmx:after:request", (event) => {
    if (event instanceof CustomEvent && event.detail?.ctx?.response?.status === LOCKED) {
      close(); // in another tab, or by the server
    }
  });
  cover.addEventListener("cancel", (event) => event.preventDefault());
  cover.addEventListener("keydown", (event) => event.key === "Escape" && event.preventDefault());
  cover.addEventListener("close", () => isCovered && close()); // browsers cancel only so often
  cover.querySelector("form")?.addEventListener("submit", (event) => void unlock(event, cover, open));
  document.getElementById("lock-now")?.closest("form")?.addEventListener("submit", (event) => {
    event.preventDefault();
    void post("/lock").then(close);
  });
}

/**
 * @param {SubmitEvent} event
 * @param {HTMLDialogElement} cover
 * @param {() => void} open
 */
async function unlock(event, cover, open) {
  event.preventDefault();
  const form = event.target;
  if (!(form instanceof HTMLFormElement)) {
    return;
  }
  const answer = await post("/locked", new FormData(form));
  form.reset();
  const refusal = cover.querySelector(".refusal");
  if (answer.status === 204) {
    open();
  } else if (answer.status !== 403) {
    location.reload(); // the sign-in has ended; the server leads to where one signs in
  } else if (refusal instanceof HTMLElement) {
    refusal.textContent = await answer.text();
    refusal.hidden = false;
  }
  if (answer.status === 204 && refusal instanceof HTMLElement) {
    refusal.hidden = true;
  }
}

/**
 * @param {string} address
 * @param {FormData} [form]
 * @returns {Promise<Response>}
 */
function post(address, form = new FormData()) {
  const token = document.querySelector("dialog.lock input[name=form_token]");
  if (token instanceof HTMLInputElement) {
    form.set("form_token", token.value);
  }
  const headers = { accept: "application/json" };
  return fetch(address, { method: "POST", body: form, headers, redirect: "manual" });
}
