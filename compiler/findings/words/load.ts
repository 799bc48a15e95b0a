/**
 * Words for electrical load, contacts, assumptions and one-sided lamps.
 */

import { sideInPlan } from '../../plan/sides.ts';
import { type AllWords, count, some } from './message.ts';

const LOCAL = 'Local codes differ; when in doubt, ask a licensed electrician.';

export const loadWords = {
  'load-circuit': ({ amperes, rating, most, everything }) => ({
    title: 'near the limit of the circuit',
    message: everything
      ? `With every lamp on, as in the work light, the circuit has to carry ${amperes} A; it is made for ${rating} A.`
      : `Lamps that burn together draw up to ${amperes} A; for hours on end a circuit of ${rating} A should carry at most ${most} A (80 %).`,
    suggestion: `Spread the lamps over two circuits. ${LOCAL}`,
  }),
  'load-supply': ({ controller, amperes, rating, most, everything }) => ({
    title: 'near the limit of the supply',
    message: everything
      ? `With every lamp on, as in the work light, the supply of controller \`${controller}\` has to give ${amperes} A; it is made for ${rating} A.`
      : `The supply of controller \`${controller}\` has to give up to ${amperes} A at one time; of its ${rating} A at most ${most} A (80 %) should be used for hours on end.`,
    suggestion: 'Use a larger supply.',
  }),
  'load-usb': ({ relays, amperes, limit }) => ({
    title: 'more than a USB port gives',
    message: `${count(relays, 'relay')} on at once draw ${amperes} A; a USB port gives ${limit} A.`,
    suggestion:
      'Feed the relays from a supply of their own, and write it under `place`: `supply: { volts: 5 V, rating: 2 A }`.',
  }),
  'load-output': ({ controller, number: output, amperes, rating }) => ({
    title: 'near the limit of an output',
    message: `The lamps on output ${output} of controller \`${controller}\` draw ${amperes} A; the output is made for ${rating} A, 80 % of it for hours on end.`,
    suggestion: `Spread the lamps over two outputs. ${LOCAL}`,
  }),
  'lamp-one-side': ({ zone, stage, side, opposite }) => ({
    title: 'lamps on one side only',
    message:
      side === undefined
        ? `Stage \`${stage}\` is to sway, but zone \`${zone}\` has no lamp at any side.`
        : `Stage \`${stage}\` is to sway, but zone \`${zone}\` has lamps on its ${sideInPlan(side)} side only.`,
    suggestion:
      side === undefined
        ? 'Put lamps on two opposite sides, or say `lean: upright`.'
        : `Turn the bags instead: \`lean: { sway: [${sideInPlan(side)}, ${sideInPlan(opposite ?? 0)}], every: 7 d, by: turning }\`, or put a lamp on the ${sideInPlan(opposite ?? 0)} side too.`,
  }),
  'value-assumed': ({ values }) => ({
    title: 'assumed values with little evidence',
    message: `${count(values.length, 'value')} the plan leaves out ${values.length === 1 ? 'is' : 'are'} assumed with low confidence: ${some(
      values.map(({ path, value }) => `${path}: ${value}`),
      6,
    )}.`,
    suggestion: 'Write down your own where you know better; `check --all` lists them all.',
  }),
  'controller-address': ({ unit }) => ({
    title: 'an address no controller takes',
    message: `Unit ${unit} is the byte with which some bootloaders begin to program the chip, so no controller answers to it.`,
    suggestion: 'Take another address, 1 to 247.',
  }),
  'load-contact-life': ({ controller, number: output, operations, life, years }) => ({
    title: 'contact life',
    message: `Output ${output} of controller \`${controller}\` switches ${operations} times in this plan; its contact is good for ${life} at rated load, about ${years} years like this.`,
    suggestion: 'Fewer, longer blocks of light spare the contact.',
  }),
} satisfies Partial<AllWords>;
