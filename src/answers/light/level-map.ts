/**
 * The level over a shelf at one minute of the grow and one height: what the
 * simulated controller's lamps and the light of the place give.
 *
 * Always holds: at the heights of a bag's cells it is the level that the rack's
 * moment tells of them; plain data only, so that a worker can hand it on.
 */

import type { SoundPlan } from '../../../compiler/compiled.ts';
import { type LevelSheet, type LevelSheets, levelsOn } from '../../../compiler/light/level-sheet.ts';
import { bagsOn } from '../../../compiler/plan/on-a-day.ts';
import { firstInstant } from '../../../compiler/plan/utc-offsets.ts';
import { FULL } from '../../../compiler/solve/patterns.ts';
import { itemAt } from '../../../shared/assert.ts';
import type { CivilDay } from '../../../shared/units.ts';
import { burningAt, elapsedAt, type Shown } from './moment.ts';

/** A place between the bags. */
export interface OpenLevel {
  /** mm on the shelf: the middle of what it stands for. */
  readonly x: number;
  readonly y: number;
  /** lx on a small surface turned to the brightest side. */
  readonly level: number;
}

export interface LevelMap {
  /** Index of the shelf, and mm above it. */
  readonly shelf: number;
  readonly height: number;
  /** By the bag's place the levels of its cells at that height, x fastest, lx; none where the height is not in its headspace. */
  readonly bags: ReadonlyMap<string, readonly number[]>;
  readonly open: readonly OpenLevel[];
  /** Size of what an open place stands for, mm. */
  readonly step: readonly [number, number];
}

/** Sheets that were worked out lately, by the bags, shelf and height that they are for. */
const KEPT_SHEETS = 60;

/** The maps of one plan. */
export class LevelMaps {
  private readonly sound: SoundPlan;
  private readonly sheets: LevelSheets;
  private readonly kept = new Map<string, LevelSheet>();

  constructor(sound: SoundPlan, sheets: LevelSheets) {
    this.sound = sound;
    this.sheets = sheets;
  }

  /** The map of a shelf (index) `height` mm above it, at `minute` (by the wall clock) of a simulated day. */
  at(runs: readonly Shown[], day: CivilDay, minute: number, shelf: number, height: number): LevelMap {
    const { plan, timeline } = this.sound;
    const utc = firstInstant(timeline.offsets, day, minute);
    const sheet = this.sheetOf(bagsOn(plan, day), shelf, height);
    const burning = burningAt(this.sound, runs, utc).flatMap(([output, level]) =>
      itemAt(timeline.field.outputs, output).lamps.map((lamp) => [lamp, level / FULL] as const),
    );
    const even = elapsedAt(this.sound, utc);
    const today = timeline.demands.find(
      ({ span }) => even !== undefined && span[0] <= even && even < span[1],
    );
    const on = (today?.background ?? []).flatMap(([index, from, to]) =>
      even !== undefined && from <= even && even < to ? [index] : [],
    );
    const levels = levelsOn(sheet, burning, on);
    const bags = new Map<string, number[]>();
    const open: OpenLevel[] = [];
    for (const [n, { x, y, inside }] of sheet.places.entries()) {
      const level = itemAt(levels, n);
      if (inside) {
        const { name } = itemAt(itemAt(plan.zones, inside.zone).places, inside.bag);
        bags.set(name, [...(bags.get(name) ?? []), level]);
      } else open.push({ x, y, level });
    }
    return { shelf, height, bags, open, step: sheet.step };
  }

  private sheetOf(occupancy: readonly number[], shelf: number, height: number): LevelSheet {
    const key = `${shelf} ${height} ${occupancy.join()}`;
    const known = this.kept.get(key);
    if (known) return known;
    const made = this.sheets.sheet(occupancy, shelf, height);
    const [oldest] = this.kept.keys();
    if (this.kept.size >= KEPT_SHEETS && oldest !== undefined) this.kept.delete(oldest);
    this.kept.set(key, made);
    return made;
  }
}
