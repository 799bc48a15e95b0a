/** The worker's part in the map of the level: what is known of a plan's shelves is kept while it is the plan. */

import type { SoundPlan } from '../../../compiler/compiled.ts';
import { LevelSheets } from '../../../compiler/light/level-sheet.ts';
import { type LevelMap, LevelMaps } from '../../answers/light/level-map.ts';
import type { Shown } from '../../answers/light/moment.ts';
import type { At } from './messages.ts';

let kept: { readonly sound: SoundPlan; readonly maps: LevelMaps } | undefined;

/** The maps of shelves (indices), each at its height. */
export function mapsAt(
  sound: SoundPlan,
  photometry: Readonly<Record<string, string>>,
  runs: readonly Shown[],
  { day, minute }: At,
  shelves: readonly (readonly [shelf: number, height: number])[],
): LevelMap[] {
  if (kept?.sound !== sound)
    kept = { sound, maps: new LevelMaps(sound, new LevelSheets(sound.plan, { photometry })) };
  const { maps } = kept;
  return shelves.map(([shelf, height]) => maps.at(runs, day, minute, shelf, height));
}
