// Calipers set by hand: what they hold, how they move, what they read. Pure: no page, no canvas.

/** @typedef {import("./sheet.js").Sheet} Sheet */
/** @typedef {import("./sheet.js").Panel} Panel */
/** @typedef {import("./sheet.js").Choice} Choice */

/** @typedef {"interval" | "amplitude"} CaliperKind */

/**
 * Two lines across one axis of the signal.
 * @typedef {object} Caliper
 * @property {CaliperKind} kind
 * @property {[number, number]} ends  seconds of the recording, or microvolts
 * @property {string} lead  where it was set, as it is labelled; an interval holds for all leads
 * @property {number} atS  the second at which it was set
 */

/**
 * A point of the sheet, in the signal's own terms.
 * @typedef {object} Spot
 * @property {number} timeS
 * @property {string} lead
 * @property {number} uv
 * @property {number} riseUv  as high above the sheet's upper edge, whichever lead is there
 */

/** @typedef {0 | 1 | "both"} Part  one line, or both together */

/** Shorter than this, marching would cover the tracing with lines. */
export const LEAST_MARCH_S = 0.1;

/**
 * What stands at a point of the sheet: the second, and the nearest lead's microvolts.
 * @param {Sheet} sheet
 * @param {Choice} choice
 * @param {{x: number, y: number}} pointMm
 * @returns {Spot}
 */
export function findSpot(sheet, choice, pointMm) {
  const nearest = sheet.panels.reduce((best, panel) =>
    distanceMm(panel, pointMm) < distanceMm(best, pointMm) ? panel : best);
  return {
    timeS: nearest.startS + (pointMm.x - nearest.leftMm) / choice.speedMmS,
    lead: nearest.label,
    uv: ((nearest.baselineMm - pointMm.y) / choice.gainMmMv) * 1000,
    riseUv: (-pointMm.y / choice.gainMmMv) * 1000,
  };
}

/**
 * @param {CaliperKind} kind
 * @param {Spot} spot
 * @returns {Caliper}
 */
export function setCaliper(kind, spot) {
  const value = kind === "interval" ? spot.timeS : spot.uv;
  return { kind, ends: [value, value], lead: spot.lead, atS: spot.timeS };
}

/**
 * Which part of a caliper a hand takes at a spot: a line that is near, both from between them.
 * @param {Caliper} caliper
 * @param {Spot} spot
 * @param {number} near  how far off a line may be taken, in its own unit
 * @returns {Part | null}
 */
export function findPart(caliper, spot, near) {
  if (caliper.kind === "amplitude" && caliper.lead !== spot.lead) {
    return null;
  }
  const value = caliper.kind === "interval" ? spot.timeS : spot.uv;
  const [first, second] = caliper.ends;
  const off = [Math.abs(value - first), Math.abs(value - second)];
  if (Math.min(...off) <= near) {
    return (off[1] ?? 0) <= (off[0] ?? 0) ? 1 : 0;
  }
  return (value - first) * (value - second) < 0 ? "both" : null;
}

/**
 * @param {Caliper} caliper
 * @param {Part} part
 * @param {number} by  seconds or microvolts
 * @returns {Caliper}
 */
export function shiftPart(caliper, part, by) {
  const [first, second] = caliper.ends;
  return { ...caliper, ends: [part === 1 ? first : first + by, part === 0 ? second : second + by] };
}

/**
 * How far a hand has gone along a caliper's axis; it may leave the lead and still hold the line.
 * @param {CaliperKind} kind
 * @param {Spot} from
 * @param {Spot} to
 * @returns {number}
 */
export function measureWay(kind, from, to) {
  return kind === "interval" ? to.timeS - from.timeS : to.riseUv - from.riseUv;
}

/**
 * What an interval reads; the rate is null where the lines stand on one another.
 * @param {Caliper} caliper
 * @returns {{ms: number, perMin: number | null}}
 */
export function readInterval(caliper) {
  const ms = Math.abs(caliper.ends[1] - caliper.ends[0]) * 1000;
  return { ms, perMin: ms >= 1 ? 60000 / ms : null };
}

/**
 * What an amplitude reads: from the first line to the second, upwards positive.
 * @param {Caliper} caliper
 * @returns {number} millivolts
 */
export function readAmplitude(caliper) {
  return (caliper.ends[1] - caliper.ends[0]) / 1000;
}

/**
 * The reading as it is written beside the caliper.
 * @param {Caliper} caliper
 * @returns {string}
 */
export function writeReading(caliper) {
  if (caliper.kind === "amplitude") {
    return `${caliper.lead} ${readAmplitude(caliper).toFixed(2).replace("-", "−")} mV`;
  }
  const { ms, perMin } = readInterval(caliper);
  return perMin === null ? `${ms.toFixed(0)} ms` : `${ms.toFixed(0)} ms · ${perMin.toFixed(0)} /min`;
}

/**
 * The interval set down again and again before and after its own lines.
 * @param {Caliper} caliper
 * @param {number} fromS
 * @param {number} toS
 * @returns {number[]}  seconds, without the caliper's own two
 */
export function march(caliper, fromS, toS) {
  const first = Math.min(...caliper.ends);
  const stepS = Math.abs(caliper.ends[1] - caliper.ends[0]);
  if (caliper.kind !== "interval" || stepS < LEAST_MARCH_S) {
    return [];
  }
  const lowest = Math.ceil((fromS - first) / stepS);
  const highest = Math.floor((toS - first) / stepS);
  const steps = Array.from({ length: Math.max(highest - lowest + 1, 0) }, (_, at) => lowest + at);
  return steps.filter((step) => step !== 0 && step !== 1).map((step) => first + step * stepS);
}

/**
 * The panel that an amplitude's lines cross: its lead's, at its second where that is shown.
 * @param {Sheet} sheet
 * @param {Choice} choice
 * @param {Caliper} caliper
 * @returns {Panel | undefined}
 */
export function findPanel(sheet, choice, caliper) {
  const own = sheet.panels.filter((panel) => panel.label === caliper.lead);
  const endS = (/** @type {Panel} */ panel) => panel.startS + panel.widthMm / choice.speedMmS;
  return own.find((panel) => panel.startS <= caliper.atS && caliper.atS < endS(panel)) ?? own[0];
}

/**
 * @param {Panel} panel
 * @param {{x: number, y: number}} pointMm
 * @returns {number}
 */
function distanceMm(panel, pointMm) {
  const beside = Math.max(panel.leftMm - pointMm.x, 0, pointMm.x - panel.leftMm - panel.widthMm);
  return Math.hypot(beside, panel.baselineMm - pointMm.y);
}
