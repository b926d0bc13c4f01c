// Where waves begin and end: upright lines with bands over all leads, and a tick on each lead.

/** @typedef {import("./waves.js").Waves} Waves */
/** @typedef {import("./waves.js").WaveName} WaveName */
/** @typedef {import("./place.js").Place} Place */

import { isFound } from "./waves.js";

const UPRIGHT_PX = 1;
const TICK_MM = 1.5;
const FOOT_MM = 0.7;
const TICK_WIDTH_MM = 0.3;
/** @type {WaveName[]} */
const WAVES = ["p", "qrs", "t"];

/**
 * Bands of the half-widths around the boundaries over all leads, at each beat of the leading group.
 * @param {CanvasRenderingContext2D} context
 * @param {Waves} waves
 * @param {Place} place
 * @param {string} colour
 */
export function drawBands(context, waves, place, colour) {
  context.fillStyle = colour;
  for (const { atS, halfS } of listBoundaries(waves)) {
    if (halfS !== null && place.shows(atS, halfS)) {
      const fromPx = place.x(Math.max(atS - halfS, place.fromS));
      const toPx = place.x(Math.min(atS + halfS, place.toS));
      context.fillRect(fromPx, place.topPx, toPx - fromPx, place.heightPx);
    }
  }
}

/**
 * The boundaries over all leads themselves, as upright lines.
 * @param {CanvasRenderingContext2D} context
 * @param {Waves} waves
 * @param {Place} place
 * @param {string} colour
 */
export function drawUprights(context, waves, place, colour) {
  context.beginPath();
  for (const { atS } of listBoundaries(waves)) {
    if (place.shows(atS)) {
      context.moveTo(place.x(atS), place.topPx);
      context.lineTo(place.x(atS), place.topPx + place.heightPx);
    }
  }
  context.lineWidth = UPRIGHT_PX;
  context.strokeStyle = colour;
  context.stroke();
}

/**
 * A stroke where a wave of this lead begins or ends, with a foot that points into the wave.
 * @param {CanvasRenderingContext2D} context
 * @param {Waves} waves
 * @param {Place} place
 * @param {{scale: number, colour: string}} pen
 */
export function drawTicks(context, waves, place, { scale, colour }) {
  const lead = waves.leads.indexOf(place.name);
  context.beginPath();
  for (const name of WAVES) {
    const { onset_s: onsets, offset_s: offsets } = waves.waves[name];
    addTicks(context, place, onsets[lead] ?? [], { scale, way: 1 });
    addTicks(context, place, offsets[lead] ?? [], { scale, way: -1 });
  }
  context.strokeStyle = colour;
  context.lineWidth = Math.min(Math.max(TICK_WIDTH_MM * scale, 1.2), 2.5);
  context.stroke();
}

/**
 * @param {CanvasRenderingContext2D} context
 * @param {Place} place
 * @param {(number | null)[]} seconds
 * @param {{scale: number, way: number}} drawn  to which side the foot points
 */
function addTicks(context, place, seconds, { scale, way }) {
  for (const second of seconds) {
    const uv = second === null ? NaN : place.read(second);
    if (second !== null && place.shows(second) && !Number.isNaN(uv)) {
      const [x, y] = [place.x(second), place.y(uv)];
      context.moveTo(x, y - TICK_MM * scale);
      context.lineTo(x, y + TICK_MM * scale);
      context.lineTo(x + way * FOOT_MM * scale, y + TICK_MM * scale);
    }
  }
}

/**
 * A beat in which no P or no T was found has none there.
 * @param {Waves} waves
 * @returns {{atS: number, halfS: number | null}[]}  seconds of the recording
 */
function listBoundaries(waves) {
  const boundaries = waves.representative?.boundaries ?? [];
  return waves.beats.flatMap(({ at_s: beatS, group }, number) =>
    boundaries.flatMap(({ boundary, at_s: atS, half_width_ms: halfMs }) => {
      const wave = /** @type {WaveName} */ (boundary.slice(0, boundary.indexOf("_")));
      return group === 0 && atS !== null && isFound(waves.waves[wave], number)
        ? [{ atS: beatS + atS, halfS: halfMs === null ? null : halfMs / 1000 }]
        : [];
    }));
}
