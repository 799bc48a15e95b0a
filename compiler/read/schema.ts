/**
 * The shape of a plan, version 1: which keys there are, what each holds, and
 * one line on each for editors (`shared/plan.schema.json` is made from this).
 *
 * Always holds: only what can be seen in one value alone is checked here;
 * whatever needs a second place (names, geometry, days) is in `resolve/`.
 */

import * as z from 'zod';
import { COLOUR_WORDS } from '../light/blue.ts';
import {
  colourLeaf,
  date,
  expecting,
  fluxLeaf,
  nameOf,
  plainNumber,
  quantity,
  share,
  side,
  text,
  time,
  weekdayLeaf,
  whole,
  wholeDays,
  word,
  yesNo,
} from './leaf.ts';

const LENGTH_MAX_MM = 20_000;

const length = (example: string) =>
  quantity('length', example, { above: 0, max: LENGTH_MAX_MM, limits: { above: '0 mm', most: '20 m' } });
const position = (example: string) =>
  quantity('length', example, { min: -2000, max: LENGTH_MAX_MM, limits: { least: '-2 m', most: '20 m' } });
const lux = () =>
  quantity('illuminance', '300 lx', { min: 0, max: 200_000, limits: { least: '0 lx', most: '200000 lx' } });
const celsius = () =>
  quantity('temperature', '21 C', { min: -20, max: 60, limits: { least: '-20 C', most: '60 C' } });
const wholeDaysQuantity = (example: string) =>
  quantity('time', example, {
    above: 0,
    max: 5_256_000,
    step: 1440,
    limits: { whole: 'days', least: '1 d', most: '3650 d' },
  });

const pair = <Item extends z.ZodType>(item: Item, example: string) =>
  z.tuple([item, item], expecting({ expects: 'pair', example }));
const point = (example: string) =>
  z.tuple(
    [position('60 mm'), position('60 mm'), position('330 mm')],
    expecting({ expects: 'point', example }),
  );
const map = <Shape extends z.core.$ZodLooseShape>(shape: Shape, example: string) =>
  z.strictObject(shape, expecting({ expects: 'group', example }));
const list = <Item extends z.ZodType>(item: Item, example: string) =>
  z.array(item, expecting({ expects: 'list', example })).min(1);
const named = <Item extends z.ZodType>(item: Item, example: string) =>
  z.record(z.string(), item, expecting({ expects: 'named-entries', example }));

const like = (what: string) =>
  nameOf(what).optional().describe(`Copy the ${what} of this name; keys given here override.`);

const rating = map(
  {
    volts: quantity('voltage', '230 V', {
      above: 0,
      max: 1000,
      limits: { above: '0 V', most: '1000 V' },
    }).describe('Voltage.'),
    rating: quantity('current', '10 A', {
      above: 0,
      max: 400,
      limits: { above: '0 A', most: '400 A' },
    }).describe('Current it is made for.'),
  },
  '{ volts: 230 V, rating: 10 A }',
);

const place = map(
  {
    timezone: text().describe('IANA time zone of the place, such as Europe/Lisbon or America/Chicago.'),
    circuit: rating.optional().describe('The mains circuit that feeds the lamps, for the load check.'),
    supply: z
      .union([rating, named(rating, '{ rack: { volts: 5 V, rating: 2 A } }')])
      .optional()
      .describe("The controller's own supply, or each one's by its name, for the load check."),
  },
  '{ timezone: Europe/Lisbon }',
);

const controller = map(
  {
    like: like('controller'),
    board: text().optional().describe('The kind of board, such as mega328-relay8.'),
    unit: whole('1', 1, 247).optional().describe('Modbus unit address, 1 to 247.'),
    supply: rating.optional().describe("The controller's own supply, for the load check."),
  },
  '{ board: mega328-relay8, unit: 1 }',
);

const surface = () => z.union([word(['black', 'dark', 'grey', 'pale', 'white']), share()]).optional();
const surfaces = map(
  {
    deck: surface().describe("The shelf's own board."),
    above: surface().describe('The underside of the board above.'),
    back: surface().describe('A wall or card behind.'),
    front: surface().describe('A curtain or door in front.'),
    left: surface().describe('A wall or card at the left.'),
    right: surface().describe('A wall or card at the right.'),
  },
  '{ deck: pale, back: white }',
);

const shelf = map(
  {
    like: like('shelf'),
    height: quantity('length', '1100 mm', {
      min: 0,
      max: LENGTH_MAX_MM,
      limits: { least: '0 mm', most: '20 m' },
    })
      .optional()
      .describe('Height of its surface above the floor.'),
    size: pair(length('36 in'), '[36 in, 14 in]').describe('Width and depth.'),
    clear: length('20 in').describe('Free height up to the next board.'),
    deck: word(['solid', 'wire']).optional().describe('solid (passes no light) or wire (passes most of it).'),
    surfaces: surfaces
      .optional()
      .describe('How pale what stands round it is, where it differs from the rest.'),
  },
  '{ size: [36 in, 14 in], clear: 20 in }',
);

const zone = map(
  {
    like: like('zone'),
    shelf: nameOf('shelf').optional().describe('The shelf it is on; needed when there are several.'),
    x: pair(position('60 mm'), '[60 mm, 560 mm]')
      .optional()
      .describe('From and to, left to right seen from the front.'),
    y: pair(position('60 mm'), '[60 mm, 390 mm]').optional().describe('From and to, front to back.'),
    bags: pair(whole('2', 1, 40), '[5, 1]').describe('How many bags across (x) and how many deep (y).'),
  },
  '{ bags: [5, 1] }',
);

const lampKind = {
  flux: fluxLeaf()
    .optional()
    .describe(
      'Light it gives, in all (350 lm), per length of a strip (450 lm/m) or per watt (90 lm/W); left out, assumed from its power and colour.',
    ),
  power: quantity('power', '5 W', { above: 0, max: 5000, limits: { above: '0 W', most: '5000 W' } })
    .optional()
    .describe('Electrical power, for the load check.'),
  photometry: text().optional().describe("Name of the lamp's .ies file beside the plan."),
  colour: colourLeaf(['white', ...Object.keys(COLOUR_WORDS)])
    .optional()
    .describe('Its colour: the temperature of a white, a wavelength, or a word. Growth bends to blue only.'),
  spectrum: text()
    .optional()
    .describe(
      'In place of a colour: name of a text file beside the plan (.csv, .tsv, .txt), wavelength in nm and relative power line by line.',
    ),
  dimmable: yesNo().optional().describe('true when it may be dimmed by a dim output.'),
};
const beam = () =>
  quantity('angle', '60 deg', { above: 0, max: 179, limits: { above: '0 deg', most: '179 deg' } }).describe(
    'Full beam angle between the half-intensity directions.',
  );

const fixture = map(
  {
    like: like('fixture'),
    strip: length('34 in').optional().describe('A strip of this length.'),
    spot: beam().optional().describe('A spot of this beam angle.'),
    panel: pair(length('300 mm'), '[300 mm, 100 mm]').optional().describe('A panel of this size.'),
    ...lampKind,
  },
  '{ strip: 34 in, flux: 350 lm }',
);

const facingWords = ['up', 'down'];
const lamp = map(
  {
    like: like('lamp'),
    output: text().describe('Output number, with the controller when there are several: 1 or pantry/1.'),
    fixture: nameOf('fixture').optional().describe('The kind of lamp, from fixtures.'),
    beside: nameOf('zone').optional().describe('The zone it stands beside; then only the side is needed.'),
    side: word(['left', 'right', 'front', 'back', 'above'])
      .optional()
      .describe('Which side of that zone it stands on.'),
    gap: quantity('length', '2 in', { min: 0, max: 2000, limits: { least: '0 mm', most: '2 m' } })
      .optional()
      .describe('Distance from the zone (beside only).'),
    up: position('13 in').optional().describe("Height above the shelf's surface (beside only)."),
    length: length('34 in').optional().describe('Length of the strip (beside only).'),
    help: z
      .array(nameOf('zone'), { error: JSON.stringify({ expects: 'a list', example: '[B]' }) })
      .optional()
      .describe('Other zones it may burn for; left out, it burns for its own zone only.'),
    shelf: nameOf('shelf').optional().describe('The shelf whose coordinates are used.'),
    strip: map(
      {
        from: point('[10 mm, 80 mm, 330 mm]').describe('One end.'),
        to: point('[10 mm, 370 mm, 330 mm]').describe('The other end.'),
      },
      '{ from: [10 mm, 80 mm, 330 mm], to: [10 mm, 370 mm, 330 mm] }',
    )
      .optional()
      .describe('A strip between two points.'),
    spot: map(
      { at: point('[10 mm, 200 mm, 330 mm]').describe('Where it is.'), beam: beam().optional() },
      '{ at: [10 mm, 200 mm, 330 mm], beam: 60 deg }',
    )
      .optional()
      .describe('A spot at a point.'),
    panel: map(
      {
        at: point('[10 mm, 200 mm, 330 mm]').describe('Its centre.'),
        size: pair(length('300 mm'), '[300 mm, 100 mm]').optional().describe('Across, and up or along.'),
      },
      '{ at: [10 mm, 200 mm, 330 mm], size: [300 mm, 100 mm] }',
    )
      .optional()
      .describe('A flat panel.'),
    facing: z
      .union([
        side(facingWords),
        z.tuple([plainNumber('1', -1e6, 1e6), plainNumber('0', -1e6, 1e6), plainNumber('0', -1e6, 1e6)]),
      ])
      .optional()
      .describe('The side it shines toward: a word, degrees, or a direction [x, y, z].'),
    ...lampKind,
  },
  '{ beside: A, side: front, output: 1, flux: 350 lm }',
);

const screen = map(
  {
    like: like('screen'),
    shelf: nameOf('shelf').optional().describe('The shelf it stands on.'),
    x: position('600 mm').optional().describe('Across the whole depth at this x.'),
    y: position('200 mm').optional().describe('Across the whole width at this y.'),
    from: point('[600 mm, 0 mm, 0 mm]').optional().describe('One corner, for a smaller board.'),
    to: point('[600 mm, 300 mm, 400 mm]').optional().describe('The opposite corner.'),
  },
  '{ shelf: upper, x: 600 mm }',
);

const hoursPair = () => pair(time(), '[08:00, 21:00]');
const weekdays = () => list(weekdayLeaf(), '[Tue, Fri]').describe('Days of the week.');

const background = map(
  {
    like: like('background'),
    from: side(['above']).describe('The side it comes from: a word, degrees, or above.'),
    level: lux().describe('How strong it is at the shelf.'),
    hours: hoursPair().describe('From and to, times of day.'),
    on: weekdays().optional(),
    shelf: nameOf('shelf').optional().describe('The one shelf it shines on; left out, all.'),
    zones: list(nameOf('zone'), '[A]').optional().describe('The zones it shines on; left out, all.'),
  },
  '{ from: front, level: 60 lx, hours: [09:00, 18:00] }',
);

const mixPart = z.union([
  share(),
  map(
    {
      share: share().describe('Share of the dry mass.'),
      moisture: share({ min: 0, max: 0.95 }).optional().describe('Its moisture as bought, wet basis.'),
    },
    '{ share: 80 %, moisture: 10 % }',
  ),
]);
const bag = map(
  {
    like: like('bag'),
    footprint: pair(length('5 in'), '[5 in, 8 in]').describe('Across (x) and deep (y), standing.'),
    height: length('15 in').describe(
      'Height of the bag as it stands, filled, folded and sealed: to the seal.',
    ),
    fill: quantity('mass', '5 lb', {
      above: 0,
      max: 100,
      limits: { above: '0 kg', most: '100 kg' },
    }).describe('Mass of the wet block.'),
    density: quantity('density', '0.65 kg/L', {
      min: 0.1,
      max: 2,
      limits: { least: '0.1 kg/L', most: '2 kg/L' },
    })
      .optional()
      .describe('Density of the wet block.'),
    film: map(
      {
        passes: share({ above: 0, max: 1 }).optional().describe('Share of light it passes.'),
        scatters: share().optional().describe('Share of the passed light that is scattered, mostly forward.'),
      },
      '{ passes: 0.7, scatters: 0.4 }',
    )
      .optional()
      .describe('What the film does to light.'),
    mix: map(
      {
        parts: named(mixPart, '{ sawdust: 80 %, bran: 20 % }').describe('Parts by share of dry mass.'),
        moisture: share({ min: 0.2, max: 0.9 }).optional().describe('Moisture of the block, wet basis.'),
        spawn: share({ min: 0, max: 0.5 }).optional().describe("Spawn as a share of the wet block's mass."),
      },
      '{ parts: { sawdust: 80 %, bran: 20 % }, moisture: 60 % }',
    )
      .optional()
      .describe('What goes into the block, for the bag sheet.'),
  },
  '{ footprint: [5 in, 8 in], height: 15 in, fill: 5 lb }',
);

const every = () => wholeDaysQuantity('7 d');
const visitRule = map(
  {
    every: every().optional().describe('Once in so many days.'),
    on: weekdays().optional(),
    at: time().optional().describe('Time of day.'),
  },
  '{ every: 3 d, at: 18:00 }',
);

const sides = (what: string) => list(side(), '[left, right]').describe(what);
const lean = z.union([
  word(['upright', 'sway']),
  map(
    {
      hold: side().optional().describe('Lean toward one side throughout.'),
      sway: z
        .tuple([side(), side()], expecting({ expects: 'pair', example: '[left, right]' }))
        .optional()
        .describe('Swing between two sides.'),
      wind: sides('Go round through these sides in turn.').optional(),
      every: every().optional().describe('Time on each side.'),
      by: word(['lamps', 'turning'])
        .optional()
        .describe('turning: the lamps stay and each change is a visit that turns the bags.'),
    },
    '{ sway: [left, right], every: 7 d }',
  ),
]);

const stage = map(
  {
    stage: text().describe('Its name.'),
    days: wholeDays().optional().describe('How many days it lasts.'),
    light: word(['none']).optional().describe('none: kept dark.'),
    photoperiod: quantity('time', '12 h', { above: 0, step: 1, limits: { whole: 'minutes', above: '0 min' } })
      .optional()
      .describe('Hours of light a day.'),
    start: time().optional().describe('When the light comes on.'),
    level: pair(lux(), '[300 lx, 1500 lx]').optional().describe('Least and most light wanted at the growth.'),
    lean: lean.optional().describe('The side growth is drawn toward: upright, hold, sway or wind.'),
    lift: visitRule.optional().describe('When to lift the film off the growth.'),
    look: visitRule.optional().describe('When to look for mould.'),
    keep: pair(celsius(), '[18 C, 24 C]')
      .optional()
      .describe('The temperature to keep in this stage; left out, that of room.'),
  },
  '{ stage: climb, days: 49, photoperiod: 12 h }',
);

const batch = map(
  {
    like: like('batch'),
    sealed: date().describe('The day its bags are sealed: day 0.'),
    zones: z
      .array(nameOf('zone'), expecting({ expects: 'list', example: '[A, C]' }))
      .min(1)
      .optional()
      .describe('The zones its bags stand in; left out, all (if it is the only batch).'),
    bag: nameOf('bag').optional().describe('The kind of bag, from bags.'),
    regime: z
      .union([nameOf('regime'), named(nameOf('regime'), '{ A: antler, B: mine }')])
      .optional()
      .describe('The stages it goes through, from regimes; for all its zones or for each.'),
    enters: z
      .union([text(), named(text(), '{ B: 2026-05-01 }')])
      .optional()
      .describe(
        'The stage with which its bags come into the zones (until then elsewhere, dark); or, by zone, the day bags were moved there.',
      ),
    began: named(date(), '{ climb: 2026-04-06 }').optional().describe('The day a stage was seen to begin.'),
    ended: z
      .union([date(), named(date(), '{ A: 2026-06-01 }')])
      .optional()
      .describe('The day it was ended, for all its zones or for each.'),
    // biome-ignore lint/suspicious/noThenProperty: the grower's word
    then: word(['keep']).optional().describe('keep: the last light goes on until ended, at most 8 weeks.'),
    strain: text().optional().describe('For your records.'),
    spawn: text().optional().describe('For your records.'),
    lot: text().optional().describe('For your records.'),
    note: text().optional().describe('For your records.'),
  },
  '{ sealed: 2026-02-16 }',
);

const visits = map(
  {
    hours: z
      .union([hoursPair(), list(hoursPair(), '[[07:00, 09:00], [17:00, 20:00]]')])
      .optional()
      .describe('When somebody may visit: one window or several.'),
    most: quantity('bags', '20 bags', {
      min: 1,
      max: 10_000,
      step: 1,
      limits: { least: '1 bag', most: '10000 bags' },
    })
      .optional()
      .describe('Most bags visited in a day.'),
    look: visitRule.optional().describe('When to look for mould.'),
    lift: visitRule
      .optional()
      .describe('When to lift the film, in lit stages that do not say it themselves.'),
    harvest: map(
      {
        from: wholeDaysQuantity('98 d').describe('First day, counted from sealing.'),
        until: wholeDaysQuantity('112 d').describe('The day it is over, counted from sealing.'),
        at: time().optional().describe('Time of day.'),
      },
      '{ from: 98 d, until: 112 d }',
    )
      .optional()
      .describe('When to harvest.'),
    pulse: word(['sound', 'light', 'both', 'none']).optional().describe('How the controller reminds.'),
    away: list(pair(date(), '[[2026-04-01, 2026-04-10]]'), '[[2026-04-01, 2026-04-10]]')
      .optional()
      .describe('Days on which nobody visits, first and last.'),
  },
  '{ hours: [08:00, 21:00] }',
);

const room = map(
  { keep: pair(celsius(), '[21 C, 27 C]').optional().describe('Outside this for two hours is logged.') },
  '{ keep: [21 C, 27 C] }',
);

const threeOf = <Item extends z.ZodType>(item: Item) => z.union([item, z.tuple([item, item, item])]);
const growth = map(
  {
    rate: threeOf(
      quantity('growth', '2.5 mm/d', { above: 0, max: 50, limits: { above: '0 mm/d', most: '50 mm/d' } }),
    )
      .optional()
      .describe('Growth a day, or [low, middle, high].'),
    tip: threeOf(length('8 mm')).optional().describe('Diameter of the tip.'),
    pull: threeOf(plainNumber('0.4', 0, 1))
      .optional()
      .describe('How far the lit and the dark side differ in growth, 0 to 1.'),
    gravity: threeOf(plainNumber('0.25', 0, 10))
      .optional()
      .describe('How strongly it rights itself against light.'),
    lag: threeOf(quantity('time', '0.5 d', { above: 0, max: 20_160, limits: { above: '0 d', most: '14 d' } }))
      .optional()
      .describe('How long it takes to answer.'),
  },
  '{ rate: 2.5 mm/d }',
);

/** The whole plan. */
export const planSchema = map(
  {
    leanward: whole('1', 1, 1_000_000).describe('Version of the plan language: 1.'),
    title: text().optional().describe('What the plan is for.'),
    place: place.describe('Where the rack stands.'),
    controllers: named(controller, '{ rack: { board: mega328-relay8 } }')
      .optional()
      .describe('The controllers; left out, one named rack on mega328-relay8.'),
    shelves: named(shelf, '{ counter: { size: [36 in, 14 in], clear: 20 in } }').describe('The shelves.'),
    surfaces: surfaces
      .optional()
      .describe(
        'How pale boards, walls and cards round every shelf are: black to white, or the share of light they throw back.',
      ),
    zones: named(zone, '{ A: { bags: [5, 1] } }').describe('Parts of a shelf whose bags are lit alike.'),
    fixtures: named(fixture, '{ bar: { strip: 34 in, flux: 350 lm } }')
      .optional()
      .describe('Kinds of lamp used again and again.'),
    lamps: named(lamp, '{ front: { beside: A, side: front, output: 1, flux: 350 lm } }')
      .optional()
      .describe('The lamps; left out, background light is all there is.'),
    screens: named(screen, '{ middle: { x: 600 mm } }')
      .optional()
      .describe('Opaque boards that stand on a shelf.'),
    background: named(background, '{ window: { from: front, level: 60 lx, hours: [09:00, 18:00] } }')
      .optional()
      .describe('Other light that comes anyway. Never direct sun.'),
    bags: named(bag, '{ tall: { footprint: [5 in, 8 in], height: 15 in, fill: 5 lb } }').describe(
      'Kinds of bag.',
    ),
    regimes: named(list(stage, '- { stage: climb, days: 49 }'), '{ mine: [ { stage: climb, days: 49 } ] }')
      .optional()
      .describe('Stages in order; antler is built in.'),
    batches: named(batch, '{ spring: { sealed: 2026-02-16 } }').describe('Bags sealed on one day.'),
    visits: visits.optional().describe('When you visit, and for what.'),
    room: room.optional().describe('The temperature to keep.'),
    clock: word(['civil', 'steady'])
      .optional()
      .describe('civil follows the wall clock; steady keeps the offset of the sealing day.'),
    growth: growth.optional().describe('Figures for the estimate of the likely lean.'),
  },
  'leanward: 1',
);
