/**
 * Kinds of bag: film, block and the mix for the bag sheet.
 */

import { kilograms } from '../../shared/units.ts';
import { fillHeight } from '../plan/block-height.ts';
import type { ResolvedBag, ResolvedMix } from '../plan/plan.ts';
import type { MapNode } from '../read/tree.ts';
import {
  BLOCK_MOISTURE,
  DENSITY,
  type Default,
  FILM_PASSES,
  FILM_SCATTERS,
  PART_MOISTURE,
  SPAWN_SHARE,
} from './builtin.ts';
import type { Context, NamedEntry } from './context.ts';

/** The kinds of bag, in plan order; undefined where one lacks a size or fill. */
export function resolveBags(context: Context): readonly (ResolvedBag | undefined)[] {
  return context.section('bags').map((entry) => bag(context, entry));
}

function bag(context: Context, { name, keySpan, map }: NamedEntry): ResolvedBag | undefined {
  const footprint = context.pair(map, 'footprint', (node) => context.lengthOf(node));
  const height = context.length(map, 'height');
  const fill = context.quantity(map, 'fill', 'mass');
  const path = `bags.${name}`;
  const density = orDefault(
    context,
    map,
    'density',
    path,
    DENSITY,
    context.quantity(map, 'density', 'density'),
  );
  const film = context.map(map, 'film');
  const filmPath = `${path}.film`;
  const passes = orDefault(context, film, 'passes', filmPath, FILM_PASSES, context.share(film, 'passes'));
  const scatters = orDefault(
    context,
    film,
    'scatters',
    filmPath,
    FILM_SCATTERS,
    context.share(film, 'scatters'),
  );
  const mix = resolveMix(context, map, path);
  if (!footprint || height === undefined || fill === undefined) return undefined;
  const resolved = {
    name,
    footprint,
    height,
    fill: kilograms(fill),
    density,
    film: { passes, scatters },
    mix,
  };
  const full = { ...resolved, span: keySpan };
  const block = fillHeight(full);
  if (block >= height) {
    context.report(
      'bag-no-headspace',
      context.spanOf(map, 'fill'),
      { bag: name, block, height },
      context.spanOf(map, 'height'),
    );
  }
  return full;
}

/** The value written, or the default, noted as assumed where nothing is written. */
function orDefault(
  context: Context,
  map: MapNode | undefined,
  key: string,
  path: string,
  fallback: Default<number>,
  written: number | undefined,
): number {
  if (!context.has(map, key)) {
    context.assume(`${path}.${key}`, context.told(fallback), fallback.confidence, fallback.because);
  }
  return written ?? fallback.value;
}

function resolveMix(context: Context, bagMap: MapNode, bagPath: string): ResolvedMix | undefined {
  const mix = context.map(bagMap, 'mix');
  const partsMap = context.map(mix, 'parts');
  if (!mix || !partsMap) return undefined;
  const path = `${bagPath}.mix`;
  const parts = [...partsMap.entries.keys()].map((name) => part(context, partsMap, name, `${path}.parts`));
  const moisture = orDefault(context, mix, 'moisture', path, BLOCK_MOISTURE, context.share(mix, 'moisture'));
  const spawn = orDefault(context, mix, 'spawn', path, SPAWN_SHARE, context.share(mix, 'spawn'));
  const whole = parts.filter((found) => found !== undefined);
  if (whole.length < parts.length) return undefined;
  const sum = whole.reduce((total, { share }) => total + share, 0);
  if (Math.abs(sum - 1) > 0.005) {
    context.report('mix-not-whole', context.keySpan(mix, 'parts'), { percent: Math.round(sum * 1000) / 10 });
  }
  return { parts: whole, moisture, spawn };
}

function part(context: Context, parts: MapNode, name: string, path: string) {
  const map = context.map(parts, name);
  const share = map ? context.share(map, 'share') : context.share(parts, name);
  const moisture = orDefault(
    context,
    map,
    'moisture',
    `${path}.${name}`,
    PART_MOISTURE,
    context.share(map, 'moisture'),
  );
  return share === undefined ? undefined : { name, share, moisture };
}
