// Parts of the page, found by id and kind.

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
