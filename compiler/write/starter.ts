/**
 * A first plan to change: commented for somebody who never wrote one.
 *
 * Always holds: it reads without an error for one to six shelves, in either
 * system of units, at any place and on any day.
 */

import { isoDate } from '../../shared/civil.ts';
import type { CivilDay } from '../../shared/units.ts';
import { HARVEST_DAYS } from '../resolve/builtin.ts';

export interface StarterOptions {
  /** How many shelves, 1–6. */
  readonly shelves: number;
  readonly units: 'in' | 'mm';
  /** IANA name of the place's time zone. */
  readonly timezone: string;
  /** Day on which the first bags are sealed. */
  readonly sealed: CivilDay;
}

interface Sizes {
  readonly size: string;
  readonly clear: string;
  readonly height: (shelf: number) => string;
  readonly bar: string;
  readonly footprint: string;
  readonly bagHeight: string;
  /** The same bag as it is bought, flat. */
  readonly flatBag: string;
  readonly fill: string;
  readonly room: string;
  readonly circuit: string;
  readonly margin: string;
  readonly end: string;
  /** Between the ends of the row and of the shelf: light past the last bag keeps its side straight. */
  readonly row: string;
}

const INCHES: Sizes = {
  size: '[36 in, 14 in]',
  clear: '20 in',
  height: (shelf) => `${12 + 22 * shelf} in`,
  bar: '34 in',
  footprint: '[8 in, 5 in]',
  bagHeight: '15.5 in',
  flatBag: '19 in',
  fill: '5 lb',
  room: '[65 F, 80 F]',
  circuit: '{ volts: 120 V, rating: 15 A }',
  margin: '3 in',
  end: '36 in',
  row: '[3 in, 33 in]',
};

const MILLIMETRES: Sizes = {
  size: '[900 mm, 360 mm]',
  clear: '510 mm',
  height: (shelf) => `${300 + 560 * shelf} mm`,
  bar: '850 mm',
  footprint: '[203 mm, 127 mm]',
  bagHeight: '395 mm',
  flatBag: '480 mm',
  fill: '2.3 kg',
  room: '[18 C, 27 C]',
  circuit: '{ volts: 230 V, rating: 10 A }',
  margin: '76 mm',
  end: '900 mm',
  row: '[75 mm, 825 mm]',
};

const SHELF_NAMES = ['one', 'two', 'three', 'four', 'five', 'six'];
const ZONE_NAMES = ['A', 'B', 'C', 'D', 'E', 'F'];
/** Pairs of outputs on the usual board. */
const OUTPUT_PAIRS = 3;

/** The text of a starter plan. */
export function starterPlan({ shelves, units, timezone, sealed }: StarterOptions): string {
  const sizes = units === 'in' ? INCHES : MILLIMETRES;
  const count = Math.min(Math.max(Math.round(shelves), 1), SHELF_NAMES.length);
  return [
    heading(timezone, sizes.circuit),
    rackPart(sizes, count),
    lampPart(sizes, count),
    bagPart(sizes, count, sealed),
    visitPart(sizes),
  ].join('\n');
}

function heading(timezone: string, circuit: string): string {
  return `# A shelf light plan. Change what is not true of your rack; check it with: leanward check FILE
# A line is "key: value"; lines that belong to a key are moved in by two spaces.
# Whatever stands behind a # is a remark. Every quantity carries its unit.
leanward: 1
title: My rack

place:
  # The place's time zone, by its IANA name.
  timezone: ${timezone}
  # The mains circuit of the lamps, for a check of the load. Take the # away and fill in your own.
  # circuit: ${circuit}

controllers:
  # The board that switches the lamps, and what feeds it: six low-voltage outputs, no mains in the box.
  rack: { board: mega328-dim6, supply: { volts: 12 V, rating: 5 A } }
`;
}

function rackPart(sizes: Sizes, count: number): string {
  const shelves = SHELF_NAMES.slice(0, count).map((name, i) => {
    if (i > 0) return `  ${name}: { like: one, height: ${sizes.height(i)} }`;
    return `  ${name}: { height: ${sizes.height(i)}, size: ${sizes.size}, clear: ${sizes.clear}, deck: wire }`;
  });
  const zones = ZONE_NAMES.slice(0, count).map(
    (name, i) => `  ${name}: { shelf: ${SHELF_NAMES[i]}, x: ${sizes.row}, bags: [3, 1] }`,
  );
  return `shelves:
  # height: of the shelf above the floor. size: width and depth. clear: free height above it.
  # deck: wire lets light through to the shelf below, solid does not.
${shelves.join('\n')}

zones:
  # A zone is a group of bags that are lit alike. bags: how many side by side, and how many rows deep.
  # x: from where to where its row of bags stands, from the left end of the shelf. Lamps that reach
  # past the row keep the outer bags from being drawn sideways. y, front to back, may be left out:
  # then it is the shelf's depth, less ${sizes.margin} where lamps stand.
${zones.join('\n')}
`;
}

function lampPart(sizes: Sizes, count: number): string {
  const lamps = ZONE_NAMES.slice(0, count).flatMap((zone, i) => {
    const pair = count <= OUTPUT_PAIRS ? i : Math.floor((i * OUTPUT_PAIRS) / count);
    return [
      `  ${zone}-front: { beside: ${zone}, side: front, fixture: bar, output: ${2 * pair + 1} }`,
      `  ${zone}-back: { beside: ${zone}, side: back, fixture: bar, output: ${2 * pair + 2} }`,
    ];
  });
  const shared =
    count <= OUTPUT_PAIRS
      ? ''
      : '  # The board has six outputs, so some shelves share theirs: put bags of one age on them.\n';
  return `fixtures:
  # A kind of lamp: how long, how much light (the package says it in lm), how much power.
  bar: { strip: ${sizes.bar}, flux: 350 lm, power: 4 W }

lamps:
  # Where each lamp stands, and the output of the board it hangs on. Lamps get warm: keep them off
  # film, paper and wood, fix them so that none can fall, and feel them after an hour.
${shared}${lamps.join('\n')}

# Boards that keep light from a neighbour. Take the # away where you have one.
# screens:
#   right-end: { shelf: one, x: ${sizes.end} }

# Light that comes anyway, from a window or a room lamp. Never direct sun: through a window it heats
# sealed bags within minutes.
# background:
#   window: { from: front, level: 60 lx, hours: [09:00, 18:00] }
`;
}

function bagPart(sizes: Sizes, count: number, sealed: CivilDay): string {
  return `bags:
  # footprint: across and deep, standing. fill: the wet block. height: of the bag as it stands, to the
  # seal: a gusseted ${sizes.flatBag} bag stands some ${sizes.bagHeight} high once its base is folded and its top sealed.
  # mix: the parts by their share of the dry mass (common practice), for the bag sheet: leanward prep FILE
  tall:
    footprint: ${sizes.footprint}
    height: ${sizes.bagHeight}
    fill: ${sizes.fill}
    mix: { parts: { sawdust: 60 %, hull: 40 % }, moisture: 60 %, spawn: 5 % }

# The stages of the crop are built in under the name antler: colonise (the trade's spawn run), wake
# (primordia), climb (elongation), ripen (maturation).
# Write your own where you know better; what a stage leaves out is taken from the built-in one.
# regimes:
#   antler:
#     - { stage: colonise, days: 28, light: none }
#     - { stage: wake, days: 14, photoperiod: 8 h, start: 09:00, lean: upright }
#     - { stage: climb, days: 49, photoperiod: 12 h, lean: { sway: [front, back], every: 7 d } }
#     - { stage: ripen, days: 21, lean: upright }

batches:
  # Bags sealed on one day. zones: where they stand; a zone holds one batch at a time.
  # When you see a stage begin, write it down: began: { climb: 2026-04-06 }
  # When the bags are out: ended: 2026-06-10
  first: { sealed: ${isoDate(sealed)}, zones: [${ZONE_NAMES.slice(0, count).join(', ')}] }
`;
}

function visitPart(sizes: Sizes): string {
  const [opens, closes] = HARVEST_DAYS.value;
  return `visits:
  # When somebody can come; reminders are given in these hours only.
  hours: [08:00, 21:00]
  # Look for mould once a week. Lifting the film off the growth is part of the stages.
  look: { on: [Sat], at: 18:00 }
  # Days after sealing: open while the last stage lasts.
  harvest: { from: ${opens} d, until: ${closes} d, at: 18:00 }

room:
  # Outside this for two hours is logged.
  keep: ${sizes.room}
`;
}
