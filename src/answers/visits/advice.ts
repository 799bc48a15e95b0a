/**
 * What to look for at a visit, in one line each, and the few cautions.
 *
 * Always holds: no claim about health; cautions are short and said once a
 * list. Where nothing is marked, it is common practice of the trade; mould
 * colours follow the American Mushroom Institute and Carrasco et al.
 */

import type { VisitKind } from '../../../shared/table.ts';

/** The line for a kind of visit in a stage. */
export function lookFor(kind: VisitKind, stage: string): string {
  switch (kind) {
    case 'lift':
      return 'Lift the film off growth that touches it, without opening the bag; leave the tips alone.';
    case 'turn':
      return 'Turn the bag so that its marked side faces the lamp.';
    case 'harvest':
      return 'Look for mould while the bag is still sealed. Ripe when the tips have coloured through. Antlers are woody: use pruning shears, cut at the base, and mind the blade.';
    case 'look':
      return LOOK_IN_STAGE[stage] ?? LOOK;
  }
}

const LOOK =
  'Mould is grey or dense white, later green (or orange, blue-green, black); rot is wet and slimy. A white margin, lacquer colour, yellow to tan ageing and amber drops are normal. Brown dust in a sealed bag means that caps have opened: look for a leak, which lets the gas out and turns antlers into caps; keep the filter clear.';

const LOOK_IN_STAGE: Readonly<Record<string, string>> = {
  colonise:
    'White growth should spread evenly through the block. Green, orange or grey patches, or wet ones, are signs of contamination.',
  wake: 'The first knobs show. Check that film and seal are whole and the filter is clear: a leak lets the gas out, and antlers open into caps.',
};

/** The line for a bag near one that was taken out. */
export function closerLookFor(near: string, why: string): string {
  return `A closer look, because ${near} was taken out (${why}): every side, and the foot of the block.`;
}

/** Said once under a list of visits. */
export const VISIT_CAUTIONS: readonly string[] = [
  'Look at sound bags first, suspects last. A suspect bag: do not open, squeeze or sniff it; mark it, bag it again, take it out, clean the shelf, wash your hands. Never eat growth from a mouldy bag.',
  'Spore dust is an irritant and some people are allergic to it: wear a mask when it shows. Fever, cough or short breath hours after a visit: stay away and see a doctor.',
];

/** Said once under a list that has a harvest in it. */
export const HARVEST_CAUTION =
  'Harvest: mind the blade, cut away from your hand. Dry at once, to 12 % moisture or less.';
