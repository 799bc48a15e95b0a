/**
 * Words for things that do not fit where they are.
 */

import { sizeWords } from '../../../shared/measures.ts';
import { type AllWords, count } from './message.ts';

const AXIS: Readonly<Record<string, string>> = { x: 'wide', y: 'deep', z: 'high' };

export const geometryWords = {
  'zone-no-room': ({ zone, axis, size, lamps, shelf }, units) => ({
    title: 'no room for the zone',
    message: `Shelf \`${shelf}\` is ${sizeWords(size, units, 'down')} ${AXIS[axis]}, and the lamps of zone \`${zone}\` take ${sizeWords(lamps, units, 'up')} of that: nothing is left for bags.`,
    suggestion: `Check the size of shelf \`${shelf}\`, or give the zone its range: \`${axis}: [FROM, UNTIL]\`.`,
  }),
  'zone-off-shelf': ({ zone, axis, from, to, size, shelf }, units) => ({
    title: 'zone off its shelf',
    message: `Zone \`${zone}\` goes from ${sizeWords(from, units, 'down')} to ${sizeWords(to, units, 'up')} along \`${axis}\`, but shelf \`${shelf}\` is ${sizeWords(size, units, 'down')} ${AXIS[axis]}.`,
    suggestion: `Keep \`${axis}\` between ${sizeWords(0, units)} and ${sizeWords(size, units, 'down')}.`,
    second: 'the shelf',
  }),
  'zone-overlap': ({ zone, other }) => ({
    title: 'zones overlap',
    message: `Zones \`${zone}\` and \`${other}\` cover the same part of the shelf.`,
    suggestion: 'Give each its own range of `x` (or `y`).',
    second: 'the other zone',
  }),
  'screen-in-bag': ({ screen, bag }) => ({
    title: 'screen through a bag',
    message: `Screen \`${screen}\` goes through bag ${bag}.`,
    suggestion: 'Put it between the zones, or leave it room with `x` and `y` of the zone.',
    second: 'the zone of that bag',
  }),
  'lamp-in-bag': ({ lamp, bag }) => ({
    title: 'lamp inside a bag',
    message: `Lamp \`${lamp}\` goes through bag ${bag}.`,
    suggestion: 'Move the lamp outside the bags, or leave it room with `x` and `y` of the zone.',
    second: 'the zone of that bag',
  }),
  'lamp-facing-away': ({ lamp, shelf }) => ({
    title: 'lamp facing away',
    message: `Lamp \`${lamp}\` shines away from all bags on shelf \`${shelf}\`.`,
    suggestion: 'Turn it with `facing`: the side it shines toward. A lamp at the left faces `right`.',
  }),
  'bag-no-room': ({ zone, bag, axis, count: bags, needs, room, whole, fits }, units) => ({
    title: 'the bags do not fit',
    message: `${count(bags, `bag \`${bag}\``, `bags \`${bag}\``)} need ${sizeWords(needs, units, 'up')} along \`${axis}\`, but zone \`${zone}\` is ${sizeWords(room, units, 'down')} ${AXIS[axis]}${
      whole === undefined
        ? ''
        : ` (its shelf: ${sizeWords(whole, units, 'down')}; where \`${axis}\` is left out, room stays free for the lamps)`
    }.`,
    suggestion:
      fits > 0
        ? `${count(fits, 'bag fits', 'bags fit')}; or make the zone larger.`
        : 'Make the zone larger, or turn the footprint: [across, deep].',
    second: 'the bag',
  }),
  'bag-too-tall': ({ bag, height, shelf, clear }, units) => ({
    title: 'the bag is too tall',
    message: `Bag \`${bag}\` stands ${sizeWords(height, units, 'up')} high, but shelf \`${shelf}\` has ${sizeWords(clear, units, 'down')} clear.`,
    suggestion: 'Check `height` of the bag and `clear` of the shelf.',
    second: 'the shelf',
  }),
  'bag-no-headspace': ({ bag, block, height }, units) => ({
    title: 'no headspace in the bag',
    message: `The block of bag \`${bag}\` would stand ${sizeWords(block, units, 'up')} high, and the bag is ${sizeWords(height, units, 'down')}: nothing is left to grow in.`,
    suggestion: 'Check `fill`, `density`, `footprint` and `height`.',
    second: 'the height of the bag',
  }),
  'shelf-passed': ({ what, name, axis, at, size, shelf }, units) => ({
    title: `${what} off the shelf`,
    message:
      axis === 'z'
        ? `The ${what} \`${name}\` is at ${sizeWords(at, units)} above shelf \`${shelf}\`, which has ${sizeWords(size, units, 'down')} clear.`
        : `The ${what} \`${name}\` is at ${axis} = ${sizeWords(at, units)}, far off shelf \`${shelf}\` (${sizeWords(size, units)} ${AXIS[axis]}).`,
    suggestion: 'Check the unit and the order: x left to right, y front to back, z up from the shelf.',
    second: 'the shelf',
  }),
} satisfies Partial<AllWords>;
