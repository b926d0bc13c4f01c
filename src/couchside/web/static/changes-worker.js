// One stream of changes for all tabs of a browser: a browser opens six connections to one server.

const TRY_AGAIN_MS = 3000;

/** @type {Set<MessagePort>} */
const ports = new Set();

/**
 * What the stream has told last; null while it is not there, undefined until that is known.
 * @type {Record<string, number> | null | undefined}
 */
let changedAt;

/** @type {any} */ (globalThis).onconnect = (/** @type {MessageEvent} */ event) => {
  const port = event.ports[0];
  if (port === undefined) {
    return;
  }
  ports.add(port);
  port.onmessage = ({ data }) => data === "bye" && ports.delete(port);
  if (changedAt !== undefined) {
    port.postMessage(changedAt);
  }
};
listen();

function listen() {
  const source = new EventSource("/changes");
  source.onmessage = ({ data }) => {
    tell((changedAt = JSON.parse(data)));
  };
  source.addEventListener("beat", () => tell("beat"));
  source.onerror = () => {
    tell((changedAt = null));
    source.close();
    setTimeout(listen, TRY_AGAIN_MS);
  };
}

/** @param {Record<string, number> | "beat" | null} what */
function tell(what) {
  for (const port of ports) {
    port.postMessage(what);
  }
}
