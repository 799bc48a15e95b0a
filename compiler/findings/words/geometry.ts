/**
 * Words for things that do not fit where they are.
 */

import { count, number, text, type Words } from './message.ts';

const AXIS: Readonly<Record<string, string>> = { x: 'wide', y: 'deep', z: 'high' };

export const geometryWords = {
  'zone-off-shelf': ({ zone, axis, from, to, size, shelf }) => ({
    title: 'zone off its shelf',
    message: `Zone \`${text(zone)}\` goes from ${number(from)} mm to ${number(to)} mm in ${text(axis)}, but shelf \`${text(shelf)}\` is ${number(size)} mm ${AXIS[text(axis)]}.`,
    suggestion: `Keep \`${text(axis)}\` between 0 mm and ${number(size)} mm.`,
    second: 'the shelf',
  }),
  'zone-overlap': ({ zone, other }) => ({
    title: 'zones overlap',
    message: `Zones \`${text(zone)}\` and \`${text(other)}\` cover the same part of the shelf.`,
    suggestion: 'Give each its own range of `x` (or `y`).',
    second: 'the other zone',
  }),
  'lamp-in-bag': ({ lamp, bag }) => ({
    title: 'lamp inside a bag',
    message: `Lamp \`${text(lamp)}\` goes through bag ${text(bag)}.`,
    suggestion: 'Move the lamp outside the bags, or leave it room with `x` and `y` of the zone.',
    second: 'the zone of that bag',
  }),
  'lamp-facing-away': ({ lamp, shelf }) => ({
    title: 'lamp facing away',
    message: `Lamp \`${text(lamp)}\` shines away from all bags on shelf \`${text(shelf)}\`.`,
    suggestion: 'Turn it with `facing`: the side it shines toward. A lamp at the left faces `right`.',
  }),
  'bag-no-room': ({ zone, bag, axis, count: bags, needs, room, fits }) => ({
    title: 'the bags do not fit',
    message: `${count(number(bags), `bag \`${text(bag)}\``, `bags \`${text(bag)}\``)} need ${number(needs)} mm in ${text(axis)}, but zone \`${text(zone)}\` is ${number(room)} mm ${AXIS[text(axis)]}.`,
    suggestion:
      number(fits) > 0
        ? `${count(number(fits), 'bag fits', 'bags fit')}; or make the zone larger.`
        : 'Make the zone larger, or turn the footprint: [across, deep].',
    second: 'the bag',
  }),
  'bag-too-tall': ({ bag, height, shelf, clear }) => ({
    title: 'the bag is too tall',
    message: `Bag \`${text(bag)}\` stands ${number(height)} mm high, but shelf \`${text(shelf)}\` has ${number(clear)} mm clear.`,
    suggestion: 'Check `height` of the bag and `clear` of the shelf.',
    second: 'the shelf',
  }),
  'bag-no-headspace': ({ bag, block, height }) => ({
    title: 'no headspace in the bag',
    message: `The block of bag \`${text(bag)}\` would stand ${Math.round(number(block))} mm high, and the bag is ${Math.round(number(height))} mm: nothing is left to grow in.`,
    suggestion: 'Check `fill`, `density`, `footprint` and `height`.',
    second: 'the height of the bag',
  }),
  'shelf-passed': ({ what, name, axis, at, size, shelf }) => ({
    title: `${text(what)} off the shelf`,
    message:
      axis === 'z'
        ? `The ${text(what)} \`${text(name)}\` is at ${number(at)} mm above shelf \`${text(shelf)}\`, which has ${number(size)} mm clear.`
        : `The ${text(what)} \`${text(name)}\` is at ${text(axis)} = ${number(at)} mm, far off shelf \`${text(shelf)}\` (${number(size)} mm ${AXIS[text(axis)]}).`,
    suggestion: 'Check the unit and the order: x left to right, y front to back, z up from the shelf.',
    second: 'the shelf',
  }),
} satisfies Readonly<Record<string, Words>>;
