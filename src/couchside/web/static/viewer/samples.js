// The samples of one recording, as the API gives them.

/**
 * @typedef {object} Samples
 * @property {string[]} leads
 * @property {number} rateHz
 * @property {number} startS  where the first sample of `rows` stands in the recording
 * @property {number} durationS  of the whole recording
 * @property {string} filter  what was taken away for the view; empty while it is as recorded
 * @property {Float32Array[]} rows  microvolts, one array a lead; NaN where a sample is missing
 */

/**
 * Fetch a stretch of a recording.
 * @param {string} address
 * @param {number} startS
 * @param {number} lengthS
 * @param {string[]} filters  such as "low_pass_hz=40", for the view alone
 * @returns {Promise<Samples>}
 */
export async function fetchSamples(address, startS, lengthS, filters) {
  const asked = [`start_s=${startS}`, `length_s=${lengthS}`, ...filters].join("&");
  const response = await fetch(`${address}?${asked}`);
  if (!response.ok) {
    throw new Error(`The samples could not be fetched (${response.status}).`);
  }
  return unpack(response.headers, await response.arrayBuffer());
}

/**
 * The highest and lowest value of a lead, in microvolts; 0 where it has none.
 * @param {Float32Array} row
 * @returns {{highest: number, lowest: number}}
 */
export function findExtremes(row) {
  let highest = 0;
  let lowest = 0;
  for (const value of row) {
    if (value > highest) {
      highest = value;
    } else if (value < lowest) {
      lowest = value;
    }
  }
  return { highest, lowest };
}

/**
 * Little-endian float32, lead after lead; the headers say which leads and at what rate.
 * @param {Headers} headers
 * @param {ArrayBuffer} body
 * @returns {Samples}
 */
function unpack(headers, body) {
  const leads = field(headers, "x-leads").split(",").map(decodeURIComponent);
  const values = readLittleEndian(body);
  const count = values.length / leads.length;
  return {
    leads,
    rateHz: Number(field(headers, "x-rate-hz")),
    startS: Number(field(headers, "x-start-s")),
    durationS: Number(field(headers, "x-duration-s")),
    filter: field(headers, "x-filter"),
    rows: leads.map((_, row) => values.subarray(row * count, (row + 1) * count)),
  };
}

/**
 * @param {ArrayBuffer} body
 * @returns {Float32Array}
 */
function readLittleEndian(body) {
  const view = new DataView(body);
  return Float32Array.from({ length: body.byteLength / 4 }, (_, place) => view.getFloat32(4 * place, true));
}

/**
 * @param {Headers} headers
 * @param {string} name
 * @returns {string}
 */
function field(headers, name) {
  const value = headers.get(name);
  if (value === null) {
    throw new Error(`The samples came without ${name}.`);
  }
  return value;
}
