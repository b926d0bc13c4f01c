// A beat laid upon each beat of the leading group: the representative one broad, an earlier one broken.

/** @typedef {import("./waves.js").Waves} Waves */
/** @typedef {import("./waves.js").Beat} Beat */
/** @typedef {import("./place.js").Place} Place */

import { trace } from "./place.js";
import { findBoundary } from "./waves.js";

/** A beat is drawn from before P to after T; so far from QRS where one of these is missing. */
const AROUND_S = 0.06;
const BEFORE_QRS_S = 0.25;
const AFTER_QRS_S = 0.4;
/** Over so long before QRS a beat is set level with the tracing. */
const LEVEL_S = 0.04;
const BROAD_MM = 0.95;
const BROKEN_MM = 0.32;
const LEAST_BROKEN_PX = 1.4;
const DASHES_MM = [1.6, 0.9];

/**
 * The representative beat, as a broad line to lie under the tracing.
 * @param {CanvasRenderingContext2D} context
 * @param {Waves} waves
 * @param {Place} place
 * @param {{scale: number, colour: string}} pen
 */
export function drawRepresentative(context, waves, place, { scale, colour }) {
  const row = waves.representative?.microvolts[waves.leads.indexOf(place.name)];
  if (waves.representative && row) {
    context.lineWidth = BROAD_MM * scale;
    context.strokeStyle = colour;
    strokeBeats(context, waves, place, waves.representative, row);
  }
}

/**
 * An earlier recording's beat, as a broken line.
 * @param {CanvasRenderingContext2D} context
 * @param {Waves} waves
 * @param {Place} place
 * @param {import("./waves.js").EarlierBeat} earlier
 * @param {{scale: number, colour: string}} pen
 */
export function drawEarlier(context, waves, place, earlier, { scale, colour }) {
  const row = earlier.microvolts[earlier.leads.indexOf(place.name)];
  if (row) {
    context.lineWidth = Math.max(BROKEN_MM * scale, LEAST_BROKEN_PX);
    context.strokeStyle = colour;
    context.setLineDash(DASHES_MM.map((mm) => mm * scale));
    strokeBeats(context, waves, place, earlier, row);
    context.setLineDash([]);
  }
}

/**
 * @param {CanvasRenderingContext2D} context
 * @param {Waves} waves
 * @param {Place} place
 * @param {Beat} beat
 * @param {(number | null)[]} row  of the place's lead
 */
function strokeBeats(context, waves, place, beat, row) {
  const qrsS = findBoundary(waves, "qrs_onset");
  if (qrsS === null) {
    return;
  }
  const fromS = (findBoundary(waves, "p_onset") ?? qrsS - BEFORE_QRS_S) - AROUND_S;
  const toS = (findBoundary(waves, "t_offset") ?? qrsS + AFTER_QRS_S) + AROUND_S;
  context.beginPath();
  for (const { at_s: beatS, group } of waves.beats) {
    if (group === 0 && place.shows(beatS + (fromS + toS) / 2, (toS - fromS) / 2)) {
      const startS = beatS + beat.from_s;
      const level = findLevel(place, beat, row, startS, beatS + qrsS);
      const [first, last] = [Math.max(beatS + fromS, place.fromS), Math.min(beatS + toS, place.toS)]
        .map((second) => Math.round((second - startS) * beat.rate_hz));
      trace(context, place, {
        read: (at) => (row[at] ?? NaN) + level,
        fromS: startS,
        rateHz: beat.rate_hz,
        first: Math.max(first ?? 0, 0),
        last: Math.min(last ?? 0, row.length - 1),
      });
    }
  }
  context.lineJoin = "bevel";
  context.stroke();
}

/**
 * How much higher the tracing stands than the beat, just before QRS; NaN where no sample is there.
 * @param {Place} place
 * @param {Beat} beat
 * @param {(number | null)[]} row
 * @param {number} startS  where the beat's first sample stands
 * @param {number} qrsS  where its QRS begins
 * @returns {number}
 */
function findLevel(place, beat, row, startS, qrsS) {
  let sum = 0;
  let count = 0;
  for (let second = qrsS - LEVEL_S; second < qrsS; second += 1 / beat.rate_hz) {
    const apart = place.read(second) - (row[Math.round((second - startS) * beat.rate_hz)] ?? NaN);
    if (!Number.isNaN(apart)) {
      sum += apart;
      count += 1;
    }
  }
  return sum / count;
}
