/**
 * What the trade would say to a bag sheet: remarks, never refusals.
 *
 * Always holds: each remark says that it is common practice where it has no
 * source. Not a word about health.
 */

import type { ResolvedBag, ResolvedPlan } from '../../../compiler/plan/plan.ts';

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
}

/** Common practice, no source: 60 % and up to a few points more for a long grow. */
const MOISTURE_BAND = [0.56, 0.65] as const;
/** Common practice, no source: hardly a harvest before twelve weeks. */
const FIRST_HARVEST_DAYS = 84;
/** Common practice, no source: about 70 °F. */
const ROOM_CELSIUS = 21.1;
/** Common practice, no source: a bag to grow in is filled about two pounds under its ten-pound block. */
const LIGHTER_BY = 0.2;

/** The remarks on a sheet, most serious first. */
export function remarksOn(plan: ResolvedPlan, bag: ResolvedBag, figures: Figures): Remark[] {
  const order = { wrong: 0, look: 1, fits: 2 } as const;
  return [
    onWater(figures),
    onHeadspace(bag, figures),
    onMoisture(figures),
    onFill(figures),
    onHarvest(plan),
    onRoom(plan),
    onMix(bag),
  ]
    .filter((remark) => remark !== undefined)
    .sort((a, b) => order[a.kind] - order[b.kind]);
}

function onWater({ waterKg }: Figures): Remark | undefined {
  if (waterKg >= 0) return undefined;
  return {
    kind: 'wrong',
    text: 'The parts hold more water than the mix is meant to have: dry them first, or write a higher moisture.',
  };
}

function onHeadspace(bag: ResolvedBag, { headspaceMm }: Figures): Remark | undefined {
  if (headspaceMm > 0) return undefined;
  return {
    kind: 'wrong',
    text: `The fill stands higher than the bag (${bag.height} mm): fill less or take a taller bag.`,
  };
}

function onMoisture({ moisture }: Figures): Remark {
  const percent = `${(moisture * 100).toFixed(0)} %`;
  const [low, high] = MOISTURE_BAND;
  if (moisture >= low - 1e-9 && moisture <= high + 1e-9) {
    return {
      kind: 'fits',
      text: `${percent} moisture: common practice is 60 %, a couple of points more for a long grow.`,
    };
  }
  return { kind: 'look', text: `${percent} moisture is unusual: common practice is 60 % (56–65 %).` };
}

function onFill({ blockMm, headspaceMm }: Figures): Remark {
  const share = blockMm / (blockMm + Math.max(headspaceMm, 0));
  if (headspaceMm >= blockMm) {
    return { kind: 'fits', text: 'The growth has more height than the block: room for antlers.' };
  }
  const lighter = `${Math.round(LIGHTER_BY * 100)} %`;
  return {
    kind: 'look',
    text:
      `The block takes ${(share * 100).toFixed(0)} % of the bag's height. A lighter fill leaves more room: common ` +
      `practice fills a bag to grow in about ${lighter} under a block to fruit from (eight pounds for ten).`,
  };
}

function onHarvest({ visits }: ResolvedPlan): Remark | undefined {
  if (!visits.harvest || visits.harvest.from >= FIRST_HARVEST_DAYS) return undefined;
  return {
    kind: 'look',
    text: `Harvest from day ${visits.harvest.from}: common practice is hardly before twelve weeks (day ${FIRST_HARVEST_DAYS}).`,
  };
}

function onRoom({ room }: ResolvedPlan): Remark | undefined {
  if (!room) return undefined;
  const inside = room.low <= ROOM_CELSIUS && ROOM_CELSIUS <= room.high;
  if (inside) return undefined;
  return {
    kind: 'look',
    text: `The room is kept at ${room.low}–${room.high} °C: common practice is about 21 °C (70 °F).`,
  };
}

function onMix(bag: ResolvedBag): Remark | undefined {
  if (bag.mix) return undefined;
  return {
    kind: 'look',
    text:
      `Bag ${bag.name} names no mix, so only totals are given, at 60 % moisture (assumed). ` +
      'Common practice is 60 parts sawdust to 40 parts hull by dry mass.',
  };
}
