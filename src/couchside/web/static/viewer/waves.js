// What the API says of beats: where they are, their boundaries, the beat that stands for them.

/** @typedef {"p" | "qrs" | "t"} WaveName */

/**
 * Of each lead and each beat, in seconds of the recording; null where a wave was not found.
 * @typedef {object} Bounds
 * @property {(number | null)[][]} onset_s
 * @property {(number | null)[][]} offset_s
 */

/**
 * A beat to be laid upon others; time is counted from where a beat is detected.
 * @typedef {object} Beat
 * @property {number} rate_hz
 * @property {number} from_s  where its first sample stands
 * @property {(number | null)[][]} microvolts  of each lead; the level just before QRS is 0
 */

/**
 * A boundary over all leads.
 * @typedef {object} Boundary
 * @property {string} boundary  "p_onset", "p_offset", "qrs_onset", "qrs_offset" or "t_offset"
 * @property {number | null} at_s
 * @property {number | null} half_width_ms
 */

/**
 * @typedef {object} Waves
 * @property {string[]} leads
 * @property {{at_s: number, group: number}[]} beats
 * @property {Record<WaveName, Bounds>} waves
 * @property {(Beat & {beat_count: number, boundaries: Boundary[]}) | null} representative
 */

/** @typedef {Beat & {leads: string[]}} EarlierBeat */

/** Beats whose waves reach into the stretch from outside are wanted too. */
const BEYOND_S = 1;

/**
 * The beats of a stretch.
 * @param {string} address
 * @param {number} startS
 * @param {number} lengthS
 * @returns {Promise<Waves>}
 */
export async function fetchWaves(address, startS, lengthS) {
  const fromS = Math.max(0, startS - BEYOND_S);
  return fetchJson(`${address}?start_s=${fromS}&length_s=${startS - fromS + lengthS + BEYOND_S}`);
}

/**
 * The beat of the person's earlier recording; null where there is none.
 * @param {string} address
 * @returns {Promise<EarlierBeat | null>}
 */
export async function fetchEarlierBeat(address) {
  return (await fetchJson(address)).beat;
}

/**
 * Where a boundary over all leads lies from a beat, in seconds.
 * @param {Waves} waves
 * @param {string} name
 * @returns {number | null}
 */
export function findBoundary(waves, name) {
  return waves.representative?.boundaries.find((each) => each.boundary === name)?.at_s ?? null;
}

/**
 * Whether a wave was found in a beat, in any lead.
 * @param {Bounds} bounds
 * @param {number} beat
 * @returns {boolean}
 */
export function isFound(bounds, beat) {
  return bounds.onset_s.some((row) => (row[beat] ?? null) !== null);
}

/**
 * @param {string} address
 * @returns {Promise<any>}
 */
async function fetchJson(address) {
  const response = await fetch(address);
  if (!response.ok) {
    throw new Error(`The beats could not be fetched (${response.status}).`);
  }
  return response.json();
}
