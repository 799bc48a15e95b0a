/**
 * What the trade would say to a bag sheet: remarks, never refusals.
 *
 * Always holds: what has no source is called a starting value of Leanward's.
 * Not a word about health.
 */

import type { ResolvedBag, ResolvedPlan, ResolvedStage } from '../../../compiler/plan/plan.ts';
import { bandOfStage } from '../../../compiler/plan/room-band.ts';
import { massWords, sizeWords, temperature, temperatureBand, type Units } from '../../../shared/measures.ts';

export interface Remark {
  /** `fits` agrees with common practice, `look` differs from it, `wrong` cannot be done as written. */
  readonly kind: 'fits' | 'look' | 'wrong';
  readonly text: string;
}

interface Figures {
  readonly moisture: number;
  readonly waterKg: number;
  readonly headspaceMm: number;
  readonly blockMm: number;
  readonly wetKg: number;
}

/** Published range of the block's moisture is 60–70 %, one sawdust yielded better at 56 %; the band is a starting value. */
const MOISTURE_BAND = [0.56, 0.65] as const;
/** A starting value, no source: the first harvest comes hardly before twelve weeks. */
const FIRST_HARVEST_DAYS = 84;
/** A starting value, no source: about 70 °F. */
const ROOM_CELSIUS = (70 - 32) / 1.8;

/** The remarks on a sheet, most serious first. */
export function remarksOn(plan: ResolvedPlan, bag: ResolvedBag, figures: Figures, units: Units): Remark[] {
  const order = { wrong: 0, look: 1, fits: 2 } as const;
  return [
    onWater(figures, units),
    onHeadspace(bag, figures, units),
    onMoisture(figures),
    onFill(figures),
    onHarvest(plan),
    onRoom(plan, units),
    onMix(bag),
  ]
    .filter((remark) => remark !== undefined)
    .sort((a, b) => order[a.kind] - order[b.kind]);
}

function onWater({ waterKg, wetKg }: Figures, units: Units): Remark | undefined {
  if (waterKg >= 0) return undefined;
  return {
    kind: 'wrong',
    text:
      `The parts as weighed come to ${massWords(wetKg - waterKg, units)} a bag, more than the ` +
      `${massWords(wetKg, units)} of wet mix: they hold more water than the mix is meant to have. ` +
      'Dry them first, or write a higher moisture.',
  };
}

function onHeadspace(bag: ResolvedBag, { headspaceMm }: Figures, units: Units): Remark | undefined {
  if (headspaceMm > 0) return undefined;
  return {
    kind: 'wrong',
    text: `The fill stands higher than the bag (${sizeWords(bag.height, units)}): fill less or take a taller bag.`,
  };
}

function onMoisture({ moisture }: Figures): Remark {
  const percent = `${(moisture * 100).toFixed(0)} %`;
  const [low, high] = MOISTURE_BAND;
  if (moisture >= low - 1e-9 && moisture <= high + 1e-9) {
    return {
      kind: 'fits',
      text: `${percent} moisture lies in the usual range (published: 60–70 %; 56 % did better with one sawdust).`,
    };
  }
  return {
    kind: 'look',
    text: `${percent} moisture is unusual: Leanward's starting value is 60 % (56–65 %).`,
  };
}

function onFill({ blockMm, headspaceMm }: Figures): Remark {
  const free = Math.max(headspaceMm, 0);
  const share = `${((100 * free) / (blockMm + free)).toFixed(0)} % of the bag's height is free`;
  const ratio = `${(free / blockMm).toFixed(1)} times the block's height`;
  if (headspaceMm >= blockMm) return { kind: 'fits', text: `${share}, ${ratio}: room for antlers.` };
  return {
    kind: 'look',
    text: `${share}, ${ratio}. A lighter fill or a taller bag leaves the antlers more room.`,
  };
}

function onHarvest({ visits }: ResolvedPlan): Remark | undefined {
  if (!visits.harvest || visits.harvest.from >= FIRST_HARVEST_DAYS) return undefined;
  return {
    kind: 'look',
    text: `Harvest from day ${visits.harvest.from}: antlers are hardly ready before twelve weeks (day ${FIRST_HARVEST_DAYS}; a starting value).`,
  };
}

function onRoom({ room }: ResolvedPlan, units: Units): Remark | undefined {
  if (!room) return undefined;
  const inside = room.low <= ROOM_CELSIUS + 1e-9 && ROOM_CELSIUS <= room.high + 1e-9;
  if (inside) return undefined;
  return {
    kind: 'look',
    text: `The room is kept at ${temperatureBand(room, units)}: ${temperature(ROOM_CELSIUS, units)} is Leanward's starting value.`,
  };
}

/** What the stages of a batch want of the room; nothing where none has a temperature of its own. */
export function roomOfStages(plan: ResolvedPlan, stages: readonly ResolvedStage[], units: Units): Remark[] {
  if (!stages.some(({ keep }) => keep !== undefined)) return [];
  const bands = new Map(stages.map((stage) => [stage.name, bandOfStage(plan, stage)]));
  const each = [...bands].map(([name, band]) =>
    band === undefined ? `${name} as it is` : `${name} ${temperatureBand(band, units)}`,
  );
  return [{ kind: 'fits', text: `The room, stage by stage: ${each.join(', ')}.` }];
}

function onMix(bag: ResolvedBag): Remark | undefined {
  if (bag.mix) return undefined;
  return {
    kind: 'look',
    text:
      `Bag ${bag.name} names no mix, so only totals are given, at 60 % moisture (assumed). ` +
      'Common practice is 60 parts of sawdust to 40 parts of hull by dry mass: write mix: { parts: { sawdust: 60 %, hull: 40 % } }.',
  };
}
