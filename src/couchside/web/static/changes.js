// What renews itself asks only when what it follows has changed; without a stream it asks all the time.

const LONGEST_SILENCE_MS = 3000;

/**
 * By what parts follow, the mark at which it has changed last; null while no stream is there, and
 * undefined until that is known.
 * @type {Record<string, number> | null | undefined}
 */
let changedAt;

/** Beats heard: at each, every part asks once, for what changes without a mark. */
let beats = 0;

/** By the id of a part, as of when it has asked. @type {Map<string, {mark: number, beats: number}>} */
const asked = new Map();

listenToChanges();
askWhenChanged();

/** A browser without shared workers goes on asking. */
function listenToChanges() {
  if (!("SharedWorker" in globalThis)) {
    changedAt = null;
    return;
  }
  const worker = new SharedWorker(new URL("changes-worker.js", import.meta.url), "changes");
  worker.port.onmessage = ({ data }) => {
    if (data === "beat") {
      beats += 1;
    } else {
      changedAt = data;
    }
  };
  setTimeout(() => (changedAt ??= null), LONGEST_SILENCE_MS);
  addEventListener("pagehide", () => worker.port.postMessage("bye"));
  addEventListener("pageshow", (event) => event.persisted && location.reload());
}

/** A part whose turn has come, but for which nothing has changed, lets it pass. */
function askWhenChanged() {
  document.addEventListener("htmx:before:request", (event) => {
    const part = event.target;
    if (!(part instanceof HTMLElement) || !part.dataset.follows || event.defaultPrevented) {
      return;
    }
    if (changedAt !== null && !isDue(part, changedAt?.[part.dataset.follows] ?? 0)) {
      event.preventDefault();
    }
  });
}

/**
 * Whether a part is to ask; if so, it is noted as of when it does.
 * @param {HTMLElement} part
 * @param {number} mark
 * @returns {boolean}
 */
function isDue(part, mark) {
  const last = asked.get(part.id) ?? { mark: 0, beats: 0 };
  if (last.beats === beats && mark <= Math.max(last.mark, Number(part.dataset.seen))) {
    return false;
  }
  asked.set(part.id, { mark, beats });
  return true;
}
