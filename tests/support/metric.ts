/** Finds metric units in what a grower reads, for tests of plans in inches, pounds and °F. */

/**
 * A number with a metric unit of length, mass, volume or temperature. Not among them: lx, lm, W, V, A,
 * µmol and their like, which have no US unit of their own (NIST Handbook 44 and SP 811 give none).
 */
const METRIC =
  /(?<![\w.])\d[\d.,]*[\s\u00a0]?(?:mm\/d|kg\/L|g\/L|kg\/m3|lm\/m|mm|cm|km|m|kg|g|mg|mL|L|°\s?C|C)(?![\w/°])/g;

/** Every metric measure in a text; of a page what is read, not how it is drawn. */
export function metricIn(text: string): string[] {
  const read = text
    // Hexadecimal, in which a C is a digit.
    .replace(/(checksum|CRC|identity|plan) [0-9A-F]{4,8}\b/g, '$1')
    .replace(/<style>[\s\S]*?<\/style>/g, ' ')
    .replace(/(?:aria-label|title)="([^"]*)"/g, '>$1<')
    .replace(/<[^>]*>/g, ' ');
  return [...read.matchAll(METRIC)].map(
    ([found], i, all) =>
      `${found} in “${read.slice(Math.max(0, (all[i]?.index ?? 0) - 50), (all[i]?.index ?? 0) + 20)}”`,
  );
}

/** The measure alone of what `metricIn` found: `12 mm`. */
export const measureOf = (found: string): string => found.slice(0, found.indexOf(' in “'));
