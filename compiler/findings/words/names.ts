/**
 * Words for names that lead nowhere, outputs, and what stands in whose place.
 */

import { type AllWords, either, entry, some } from './message.ts';

const ONE: Readonly<Record<string, string>> = {
  shelves: 'shelf',
  zones: 'zone',
  lamps: 'lamp',
  fixtures: 'fixture',
  screens: 'screen',
  background: 'background light',
  bags: 'kind of bag',
  regimes: 'regime',
  stages: 'stage',
  batches: 'batch',
  controllers: 'controller',
  boards: 'board',
};

export const nameWords = {
  'name-unknown': ({ kind, name, known, meant }) => {
    const what = ONE[kind] ?? kind;
    const others = known.length > 0 ? `Known here: ${some(known, 12)}.` : `The plan names no ${what}.`;
    return {
      title: `unknown ${what}`,
      message: `There is no ${what} \`${name}\`.`,
      suggestion: meant ? `Did you mean \`${meant}\`?` : others,
    };
  },
  'name-circle': ({ name }) => ({
    title: 'copied in a circle',
    message: `Following \`like\` from here leads back to \`${name}\`.`,
    suggestion: 'Write one of them out in full.',
  }),
  'name-which': ({ entry: where, key, known }) => ({
    title: 'which one?',
    message: `${entry(where)} must say which \`${key}\`, for there are several.`,
    suggestion:
      key === 'controller'
        ? `Write it under the controller's name: ${either(
            known.slice(0, 12).map((name) => `${name}: { … }`),
          )}.`
        : `Add \`${key}:\` with ${either(known.slice(0, 12))}.`,
  }),
  'output-missing': ({ number: output, count, board, controller }) => ({
    title: 'no such output',
    message: `Controller \`${controller}\` (${board}) has outputs 1 to ${count}; there is no output ${output}.`,
    suggestion: 'Several lamps may share one output, or a second controller can be added.',
    second: 'the controller',
  }),
  'output-two-ways': ({ number: output, dimmable, full }) => ({
    title: 'an output used in two ways',
    message: `Output ${output} is to dim \`${dimmable}\` and to leave \`${full}\` at full.`,
    suggestion: 'Say `dimmable` of both or of neither, or use two outputs.',
    second: 'the other lamp on this output',
  }),
  'controller-same-address': ({ unit, name, other }) => ({
    title: 'one address for two controllers',
    message: `\`${name}\` and \`${other}\` both have unit ${unit}.`,
    suggestion: 'Give each controller its own `unit`.',
    second: 'the other controller',
  }),
  'controller-zones': ({ controller, count, limit, unlit }) => ({
    title: 'too many zones on one controller',
    message: `${count} zones count for controller \`${controller}\`; it can keep ${limit} apart.`,
    suggestion:
      unlit.length > 0
        ? `Zones on a shelf without lamps (${some(unlit)}) count for the first controller: join zones that are lit alike, or name first a controller that has room.`
        : 'Join zones that are lit alike, or add a controller.',
  }),
  'zone-taken': ({ zone, earlier, later, free, enters }) => ({
    title: 'two batches in one zone',
    message: `Batch \`${later}\` comes into zone \`${zone}\` on ${enters}, but \`${earlier}\` stands there until ${free}.`,
    suggestion: `If \`${earlier}\` is out sooner, write \`ended: ${enters}\` in it; else take another zone or a later day.`,
    second: 'the batch that stands there',
  }),
} satisfies Partial<AllWords>;
