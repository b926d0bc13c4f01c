// One stream of changes for all tabs of a browser: a browser opens six connections to one server.

const TRY_AGAIN_MS = 3000;

/** @type {Set<MessagePort>} */
const ports = new Set();
let isLive = false;

/** @type {any} */ (globalThis).onconnect = (/** @type {MessageEvent} */ event) => {
  const port = event.ports[0];
  if (port === undefined) {
    return;
  }
  ports.add(port);
  port.onmessage = ({ data }) => data === "bye" && ports.delete(port);
  if (isLive) {
    port.postMessage("changed");
  }
};
listen();

function listen() {
  const source = new EventSource("/changes");
  source.onmessage = () => tell("changed");
  source.onerror = () => {
    tell("lost");
    source.close();
    setTimeout(listen, TRY_AGAIN_MS);
  };
}

/** @param {"changed" | "lost"} what */
function tell(what) {
  isLive = what === "changed";
  for (const port of ports) {
    port.postMessage(what);
  }
}
