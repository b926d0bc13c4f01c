// Parts of the page, found by id and kind, and what is said there when something fails.

/**
 * @template {HTMLElement} T
 * @param {string} id
 * @param {new () => T} kind
 * @returns {T}
 */
export function byId(id, kind) {
  const element = document.getElementById(id);
  if (!(element instanceof kind)) {
    throw new Error(`The page has no ${id}.`);
  }
  return element;
}

/** @param {unknown} error */
export function tellFailure(error) {
  const place = byId("tracing-failure", HTMLElement);
  place.textContent = `The tracing cannot be shown: ${error instanceof Error ? error.message : error}`;
  place.hidden = false;
}
