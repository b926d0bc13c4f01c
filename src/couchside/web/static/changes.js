// What renews itself asks only when something has changed; without a stream it asks all the time.

/** Number of changes told so far; 0 while no stream is there. */
let changes = 0;

/** By the id of a part that renews itself: the change that it has asked after. @type {Map<string, number>} */
const asked = new Map();

listenToChanges();
askWhenChanged();

/** A browser without shared workers goes on asking. */
function listenToChanges() {
  if (!("SharedWorker" in globalThis)) {
    return;
  }
  const worker = new SharedWorker(new URL("changes-worker.js", import.meta.url), "changes");
  let told = 0;
  worker.port.onmessage = ({ data }) => {
    told += 1;
    changes = data === "changed" ? told : 0;
  };
  addEventListener("pagehide", () => worker.port.postMessage("bye"));
  addEventListener("pageshow", (event) => event.persisted && location.reload());
}

/** A part whose turn has come, but for which nothing has changed, lets it pass. */
function askWhenChanged() {
  document.addEventListener("htmx:before:request", (event) => {
    const part = event.target;
    if (!(part instanceof Element) || !part.matches("[hx-trigger^=every]") || event.defaultPrevented) {
      return;
    }
    if (changes > 0 && asked.get(part.id) === changes) {
      event.preventDefault();
    } else {
      asked.set(part.id, changes);
    }
  });
}
