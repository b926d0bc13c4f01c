// Which leads stand in which order, and which of them upside down. Pure: no page, no canvas.

/** @typedef {"standard" | "Cabrera"} LimbOrder */

/**
 * A lead at its place.
 * @typedef {object} Placed
 * @property {number} lead  row of the samples
 * @property {string} name  as the recording has it
 * @property {string} label  as it is written; "−aVR" where it is drawn inverted
 * @property {1 | -1} sign  −1 where it is drawn inverted
 */

const LIMB = {
  standard: ["I", "II", "III", "aVR", "aVL", "aVF"],
  Cabrera: ["aVL", "I", "aVR", "II", "aVF", "III"],
};
const CHEST = ["V1", "V2", "V3", "V4", "V5", "V6"];
export const MOST_STRIP_LEADS = 3;

/**
 * The twelve in the trade's order, then any other lead in the order of the file.
 * @param {readonly string[]} leads
 * @param {LimbOrder} limbOrder
 * @returns {Placed[]}
 */
export function putInOrder(leads, limbOrder) {
  const scheme = [...LIMB[limbOrder], ...CHEST];
  const standard = scheme.filter((name) => leads.includes(name));
  const others = leads.filter((name) => !standard.includes(name));
  return [...standard, ...others].map((name) => place(leads, name, limbOrder));
}

/**
 * Named leads as they are recorded, those that are not there left out.
 * @param {readonly string[]} leads
 * @param {readonly string[]} names
 * @returns {Placed[]}
 */
export function pick(leads, names) {
  const there = names.filter((name) => leads.includes(name));
  const chosen = there.length ? there : leads.slice(0, 1);
  return chosen.slice(0, MOST_STRIP_LEADS).map((name) => place(leads, name, "standard"));
}

/**
 * @param {readonly string[]} leads
 * @param {string} name
 * @param {LimbOrder} limbOrder
 * @returns {Placed}
 */
function place(leads, name, limbOrder) {
  const isInverted = limbOrder === "Cabrera" && name === "aVR";
  return { lead: leads.indexOf(name), name, label: isInverted ? `−${name}` : name, sign: isInverted ? -1 : 1 };
}
