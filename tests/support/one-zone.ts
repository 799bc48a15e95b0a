/** The plan of one bag in one zone that is to lean to the left, with the lamps that a test wants. */

/** Its text with these lines under `lamps:`. */
export const oneZone = (lamps: string): string => `leanward: 1
place: { timezone: Etc/UTC }
shelves:
  counter: { size: [600 mm, 450 mm], clear: 520 mm }
zones:
  A: { bags: [1, 1] }
lamps:
${lamps}
bags:
  tall: { footprint: [200 mm, 120 mm], height: 380 mm, fill: 2.2 kg }
regimes:
  plain:
    - { stage: climb, days: 20, photoperiod: 12 h, start: 08:00, level: [300 lx, 1500 lx], lean: { hold: left } }
batches:
  spring: { sealed: 2026-02-16, regime: plain }
`;
