/**
 * Words for electrical load, contacts, assumptions and one-sided lamps.
 */

import { sideInPlan } from '../../plan/sides.ts';
import { count, list, number, some, text, type Words } from './message.ts';

const LOCAL = 'Local codes differ; when in doubt, ask a licensed electrician.';

export const loadWords = {
  'load-circuit': ({ amperes, rating, most, everything }) => ({
    title: 'near the limit of the circuit',
    message: everything
      ? `With every lamp on, as in the work light, the circuit has to carry ${number(amperes)} A; it is made for ${number(rating)} A.`
      : `Lamps that burn together draw up to ${number(amperes)} A; for hours on end a circuit of ${number(rating)} A should carry at most ${number(most)} A (80 %).`,
    suggestion: `Spread the lamps over two circuits. ${LOCAL}`,
  }),
  'load-supply': ({ controller, amperes, rating, most, everything }) => ({
    title: 'near the limit of the supply',
    message: everything
      ? `With every lamp on, as in the work light, the supply of controller \`${text(controller)}\` has to give ${number(amperes)} A; it is made for ${number(rating)} A.`
      : `The supply of controller \`${text(controller)}\` has to give up to ${number(amperes)} A at one time; of its ${number(rating)} A at most ${number(most)} A (80 %) should be used for hours on end.`,
    suggestion: 'Use a larger supply.',
  }),
  'load-usb': ({ relays, amperes, limit }) => ({
    title: 'more than a USB port gives',
    message: `${count(number(relays), 'relay')} on at once draw ${number(amperes)} A; a USB port gives ${number(limit)} A.`,
    suggestion:
      'Feed the relays from a supply of their own, and write it under `place`: `supply: { volts: 5 V, rating: 2 A }`.',
  }),
  'load-output': ({ controller, number: output, amperes, rating }) => ({
    title: 'near the limit of an output',
    message: `The lamps on output ${number(output)} of controller \`${text(controller)}\` draw ${number(amperes)} A; the output is made for ${number(rating)} A, 80 % of it for hours on end.`,
    suggestion: `Spread the lamps over two outputs. ${LOCAL}`,
  }),
  'lamp-one-side': ({ zone, stage, side, opposite }) => ({
    title: 'lamps on one side only',
    message:
      side === undefined
        ? `Stage \`${text(stage)}\` is to sway, but zone \`${text(zone)}\` has no lamp at any side.`
        : `Stage \`${text(stage)}\` is to sway, but zone \`${text(zone)}\` has lamps on its ${sideInPlan(number(side))} side only.`,
    suggestion:
      side === undefined
        ? 'Put lamps on two opposite sides, or say `lean: upright`.'
        : `Turn the bags instead: \`lean: { sway: [${sideInPlan(number(side))}, ${sideInPlan(number(opposite))}], every: 7 d, by: turning }\`, or put a lamp on the ${sideInPlan(number(opposite))} side too.`,
  }),
  'value-assumed': ({ values }) => ({
    title: 'assumed values with little evidence',
    message: `${count(list(values).length, 'value')} the plan leaves out ${list(values).length === 1 ? 'is' : 'are'} assumed with low confidence: ${some(list(values), 6)}.`,
    suggestion: 'Write down your own where you know better; `check` lists them all.',
  }),
  'controller-address': ({ unit }) => ({
    title: 'an address no controller takes',
    message: `Unit ${number(unit)} is the byte with which some bootloaders begin to program the chip, so no controller answers to it.`,
    suggestion: 'Take another address, 1 to 247.',
  }),
  'load-contact-life': ({ controller, number: output, operations, life, years }) => ({
    title: 'contact life',
    message: `Output ${number(output)} of controller \`${text(controller)}\` switches ${number(operations)} times in this plan; its contact is good for ${number(life)} at rated load, about ${number(years)} years like this.`,
    suggestion: 'Fewer, longer blocks of light spare the contact.',
  }),
} satisfies Readonly<Record<string, Words>>;
