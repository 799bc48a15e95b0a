/** The grow book from the command line: a bag's life, and nonsense that is refused with nothing written. */

import { mkdirSync, mkdtempSync, readdirSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, describe, expect, it } from 'vitest';
import { sampleText } from '../answers/visits/plan.ts';
import { here as leanward } from './here.ts';
import { jsonOf } from './run.ts';

const folder = mkdtempSync(join(tmpdir(), 'leanward-bags-'));
afterAll(() => rmSync(folder, { recursive: true, force: true }));

/** The pantry of years ago, so that no day of it is to come: early in A and C, late in B; D is empty, once older bags are out. */
const text = sampleText('pantry')
  .replace('2026-02-16', '2022-02-14')
  .replace('2026-03-09', '2022-03-07')
  .replace('zones: [B, D]', 'zones: [B]')
  .replace(
    'batches:\n',
    'batches:\n  old: { sealed: 2021-09-01, zones: [D], bag: tall, regime: antler, ended: 2022-01-10 }\n',
  )
  .replace('bag: tall, regime: antler }', 'bag: tall, regime: antler, lot: L1 } # the first');

let made = 0;
/** A folder of its own with the plan, and a picture of one pixel (a GIF, as its specification says). */
function fresh(): { readonly at: string; readonly plan: string; readonly photo: string } {
  made += 1;
  const at = join(folder, String(made));
  mkdirSync(at);
  const plan = join(at, 'rack.plan.yaml');
  writeFileSync(plan, text);
  const photo = join(at, 'tips.gif');
  writeFileSync(photo, Buffer.from('R0lGODlhAQABAAAAACwAAAAAAQABAAACAkQBADs=', 'base64'));
  return { at, plan, photo };
}

/** Every file below a folder with what is in it. */
function everything(at: string): Record<string, string> {
  const names = readdirSync(at, { recursive: true, withFileTypes: true }).filter((one) => one.isFile());
  return Object.fromEntries(
    names.map((one) => {
      const path = join(one.parentPath, one.name);
      return [path, readFileSync(path, 'latin1')];
    }),
  );
}

async function done(...words: string[]): Promise<string> {
  const ran = await leanward(...words);
  expect(ran.code, `${words.join(' ')}\n${ran.err}`).toBe(0);
  return ran.out;
}

describe('nonsense', () => {
  const { at, plan, photo } = fresh();
  const on = (iso: string): string[] => ['--day', iso];

  it('is refused with a sentence and exit code 1, and nothing is written', async () => {
    await done('cull', plan, 'A-1', '--why', 'mould', ...on('2022-03-20'));
    await done('harvest', plan, 'C-1', '--fresh', '85', 'g', '--dry', '30', 'g', ...on('2022-05-20'));
    await done('made', plan, 'L1', 'sterilised', '--from', '14:00', ...on('2022-02-13'));
    await done('began', plan, 'knobs', 'early', ...on('2022-03-30'));
    await done('move', plan, 'early-02', '--to', 'A-1', ...on('2022-04-01'));
    const before = everything(at);
    const cases: [sentence: string, ...words: string[]][] = [
      ['early-01 was culled on 2022-03-20 (mould)', 'cull', 'early-01', ...on('2022-03-21')],
      ['early-01 was culled on', 'harvest', 'early-01', '--fresh', '85 g', ...on('2022-05-20')],
      ['early-03 was harvested on', 'cull', 'C1', ...on('2022-05-21')],
      ['early-03 was harvested on', 'harvest', 'C-1', '--fresh', '85 g', ...on('2022-05-21')],
      ['weighed dry already: 30 g', 'harvest', 'C-1', '--dry', '31 g', ...on('2022-05-27')],
      ['early-04 has not been harvested', 'harvest', 'C-2', '--dry', '31 g', ...on('2022-05-27')],
      ['was sealed on 2022-02-14', 'cull', 'C-2', ...on('2022-02-13')],
      ['was sealed on 2022-02-14', 'note', 'C-2', 'x', ...on('2022-02-13')],
      ['2999-01-01 is still to come', 'cull', 'C-2', ...on('2999-01-01')],
      ['8.50 kg: bag tall holds 2.20 kg', 'harvest', 'C-2', '--fresh', '8.5', 'kg', ...on('2022-05-20')],
      ['given nothing', 'harvest', 'C-2', '--fresh', '0 g', ...on('2022-05-20')],
      ['90 g dry and 85 g fresh', 'harvest', 'C-2', '--fresh', '85 g', '--dry', '90 g', ...on('2022-05-20')],
      ['There is no photo', 'note', 'C-2', '--photo', join(at, 'none.jpg'), ...on('2022-05-20')],
      ['is no photo', 'note', 'C-2', '--photo', plan, ...on('2022-05-20')],
      ['nothing left to measure', 'note', 'early-01', '--height', '9 cm', ...on('2022-05-20')],
      ['stands in A already', 'move', 'early-02', '--to', 'A', ...on('2022-04-02')],
      ['early-02 was moved on 2022-04-01', 'cull', 'early-02', ...on('2022-03-25')],
      ['Zone B is lit for late', 'move', 'early-02', '--to', 'B', ...on('2022-04-02')],
      ['early-02 cannot change places with itself', 'move', 'A-1', '--swap', 'early-02', ...on('2022-04-02')],
      ['early-01 was culled on', 'move', 'early-04', '--swap', 'early-01', ...on('2022-04-02')],
      ['Zone B is lit for late', 'move', 'early-02', '--swap', 'late-02', ...on('2022-04-02')],
      ['--swap early-04', 'move', 'early-02', '--to', 'C-2', ...on('2022-04-02')],
      ['One place holds one bag', 'move', 'early-02', 'early-04', '--to', 'D-1', ...on('2022-04-02')],
      ['early-04 stands in C-2', 'move', 'early-02', '--to', 'C-2', ...on('2022-04-02')],
      ['knobs seen, 2022-03-30', 'began', 'knobs', 'early', ...on('2022-04-02')],
      ['was sealed on', 'made', 'L1', 'inoculated', ...on('2022-02-15')],
      ['was sterilised on 2022-02-13', 'made', 'L1', 'mixed', ...on('2022-02-14')],
    ];
    // Late stands in B on places of its own: one is made free, so that only the light speaks against a guest.
    await done('cull', plan, 'late-01', ...on('2022-03-21'));
    Object.assign(before, everything(at));
    for (const [sentence, command = '', ...words] of cases) {
      const ran = await leanward(command, plan, ...words);
      expect(`${ran.out}${ran.err}`, words.join(' ')).toContain(sentence);
      expect(ran.err, words.join(' ')).toContain('Nothing was written');
      expect(ran.code, words.join(' ')).toBe(1);
      expect(ran.err).not.toMatch(/^ {4}at /m);
    }
    for (const [said, ...where] of [['Where to?'], ['not both', '--to', 'D-1', '--swap', 'early-04']]) {
      const ran = await leanward('move', plan, 'early-02', ...where, ...on('2022-04-02'));
      expect(ran.err).toContain(said);
      expect(ran.code).toBe(2);
    }
    // A stage before the one that the book has begun: the plan itself would be wrong.
    const early = await leanward('began', plan, 'wake', 'early', ...on('2022-03-31'));
    expect(early.code).toBe(1);
    expect(early.err).toContain('stage-too-early');
    expect(everything(at)).toEqual(before);
    expect(readFileSync(photo, 'latin1')).toMatch(/^GIF89a/);
  });

  it('about a plan without a book makes none', async () => {
    const bare = fresh();
    const before = everything(bare.at);
    const ran = await leanward('harvest', bare.plan, 'A-1', '--fresh', '9 kg', ...on('2022-05-20'));
    expect(ran.code).toBe(1);
    expect(everything(bare.at)).toEqual(before);
  });
});

describe("a bag's life", () => {
  const { at, plan, photo } = fresh();

  it('goes from note to move to harvest, and the last one out offers to end its zone', async () => {
    const noted = await done(
      'note',
      plan,
      'A1',
      '--photo',
      photo,
      '--lean',
      '20 deg left',
      '--day',
      '2022-04-10',
    );
    expect(noted).toContain('early-01 (A-1)  leans 20° to the left, photo early-01.2022-04-10.');
    const [kept = ''] = readdirSync(join(at, 'rack.photos'));
    expect(readFileSync(join(at, 'rack.photos', kept))).toEqual(readFileSync(photo));
    const moved = await done('move', plan, 'early-01', 'A-2', '--to', 'D', '--day', '2022-04-20', '--end');
    expect(moved).toContain('early-02 (A-2)  moved to D-2');
    expect(moved).toContain('leanward flash');
    // Comments stay, and the batch stands in D from that day on, in its stage.
    expect(readFileSync(plan, 'utf8')).toContain(
      'early: { sealed: 2022-02-14, zones: [A, C, D], bag: tall, regime: antler, lot: L1, enters: { D: 2022-04-20 }, ended: { A: 2022-04-20 } } # the first',
    );
    const visits = jsonOf(
      'visits',
      await done('visits', plan, '--json', '--day', '2022-04-21', '--days', '6'),
    );
    const places = (visits.visits as { zone: string; batch: string; stage: string; places: string[] }[])
      .filter(({ batch }) => batch === 'early')
      .map(({ zone, stage, places }) => `${zone} ${stage} ${places.join()}`);
    expect([...new Set(places)].sort()).toEqual(['C climb C-1,C-2', 'D climb D-1,D-2']);
    const some = await done(
      'harvest',
      plan,
      'D-1',
      'D-2',
      '--fresh',
      '170 g',
      '--together',
      '--day',
      '2022-05-20',
    );
    expect(some).toContain('early-01 (D-1)  harvested, 85 g fresh (its share of 2 bags weighed together)');
    expect(some).toContain('Zone D has no bag left');
    expect(readFileSync(plan, 'utf8')).not.toContain('D: 2022-05-20');
    const dry = await done(
      'harvest',
      plan,
      'early-01',
      'early-02',
      '--dry',
      '29 g, 31 g',
      '--day',
      '2022-05-27',
    );
    expect(dry).toContain('early-02 (D-2)  harvested, 31 g dry');
    await done('cull', plan, '--end', '--day', '2022-05-28');
    expect(readFileSync(plan, 'utf8')).toContain('ended: { A: 2022-04-20, D: 2022-05-20 }');
    expect(await done('cull', plan)).toContain('No bag was culled.');
  });

  it('has its photos in the review, by bag and day', async () => {
    await done('note', plan, 'early-01', '--photo', photo, '--day', '2022-03-30');
    await done('note', plan, 'C-1', '--photo', photo, '--day', '2022-04-02');
    const page = join(at, 'review.html');
    const told = await done('review', plan, '--page', page);
    expect(told).toContain('  early-01: 2022-03-30, 2022-04-10\n  early-03: 2022-04-02\n');
    const picture = `data:image/gif;base64,${readFileSync(photo).toString('base64')}`;
    const text = readFileSync(page, 'utf8');
    const shown = [...text.matchAll(/<figure><img src="([^"]*)" alt="[^"]*"><figcaption>([^<]*)</g)];
    expect(shown.map(([, source, words]) => [source, words])).toEqual([
      [picture, 'early-01, 2022-03-30'],
      [picture, 'early-01, 2022-04-10'],
      [picture, 'early-03, 2022-04-02'],
    ]);
    const json = jsonOf('review', await done('review', plan, '--json'));
    expect(json.photos).toMatchObject([
      { bag: 'early-01', day: '2022-03-30' },
      { bag: 'early-01', day: '2022-04-10' },
      { bag: 'early-03', day: '2022-04-02' },
    ]);
  });

  it('may be taken back, entry by entry', async () => {
    const book = jsonOf('note', await done('note', plan, '--json')).notes as {
      id: string;
      bag: string;
      dryG?: number;
    }[];
    const dry = book.find(({ bag, dryG }) => bag === 'early-02' && dryG !== undefined);
    await done('note', plan, '--withdraw', dry?.id ?? '');
    const again = await done('harvest', plan, 'early-02', '--dry', '30 g', '--day', '2022-05-28');
    expect(again).toContain('30 g dry');
  });
});

describe('an entry that changed the plan', () => {
  const { plan } = fresh();
  const idOf = async (about: string): Promise<string> => {
    const { notes } = jsonOf('note', await done('note', plan, '--json')) as {
      notes: { id: string; bag: string; batch: string; kind: string }[];
    };
    const found = notes.find(({ bag, batch, kind }) => `${kind} ${bag || batch}` === about);
    return found?.id ?? 'none';
  };

  it('takes that along when it is taken back, and stays in the record of the lot', async () => {
    const before = readFileSync(plan, 'utf8');
    await done('began', plan, 'knobs', 'early', '--day', '2022-03-30');
    const begun = readFileSync(plan, 'utf8');
    await done('move', plan, 'early-01', 'A-2', '--to', 'D', '--day', '2022-04-20', '--end');
    const moved = readFileSync(plan, 'utf8');
    // The other bag still stands in D; but A has a bag again.
    const first = await done('note', plan, '--withdraw', await idOf('move early-01'));
    expect(first).toContain('What it wrote into');
    expect(readFileSync(plan, 'utf8')).toBe(moved.replace(', ended: { A: 2022-04-20 }', ''));
    await done('note', plan, '--withdraw', await idOf('move early-02'));
    expect(readFileSync(plan, 'utf8')).toBe(begun);
    const last = await done('note', plan, '--withdraw', await idOf('began early'));
    expect(last).toMatch(/^ {2}- .*began: \{ climb: 2022-03-30 \}.*$/m);
    expect(last).toContain('leanward flash');
    expect(readFileSync(plan, 'utf8')).toBe(before);
    const lot = await done('review', plan, '--lot', 'L1');
    expect(lot.match(/taken back on \d{4}-\d\d-\d\d .*: moved to D-[12]/g)).toHaveLength(2);
    expect(lot).toMatch(/taken back on .*: knobs seen/);
  });
});

describe('a stage that the plan had for another day', () => {
  it('is on that day again once the entry is taken back', async () => {
    const { plan } = fresh();
    const meant = text.replace(
      'zones: [B], bag: tall',
      'zones: [B], began: { climb: 2022-04-20 }, bag: tall',
    );
    writeFileSync(plan, meant);
    const { notes } = jsonOf(
      'note',
      await done('began', plan, 'knobs', 'late', '--day', '2022-04-15', '--json'),
    );
    const [entry] = notes as { id: string; before: string }[];
    expect(entry).toMatchObject({ before: '2022-04-20' });
    expect(readFileSync(plan, 'utf8')).toBe(meant.replace('climb: 2022-04-20', 'climb: 2022-04-15'));
    const back = jsonOf('note', await done('note', plan, '--withdraw', entry?.id ?? '', '--json'));
    expect(back).toMatchObject({ note: entry, notes: [entry], stays: [] });
    const [gone, come, ...more] = back.changed as string[];
    expect(gone).toMatch(/^- .*climb: 2022-04-15/);
    expect(come).toMatch(/^\+ .*climb: 2022-04-20/);
    expect(more).toEqual([]);
    expect(readFileSync(plan, 'utf8')).toBe(meant);
  });
});

describe('a note without a bag', () => {
  it('is of the whole rack, or of a batch, and stands in the record of the lots that were there', async () => {
    const { at, plan, photo } = fresh();
    const on = ['--day', '2022-03-20'];
    expect(await done('note', plan, 'fan moved to the left', ...on)).toContain(
      '2022-03-20  the whole rack  fan moved to the left',
    );
    expect(await done('note', plan, 'late', 'all', 'white', ...on)).toContain('2022-03-20  late  all white');
    await done('note', plan, '--rack', 'cleaned', '--photo', photo, ...on);
    expect(readdirSync(join(at, 'rack.photos'))).toEqual([
      expect.stringMatching(/^the_whole_rack\.2022-03-20/),
    ]);
    const lot = await done('review', plan, '--lot', 'L1');
    expect(lot).toMatch(/2022-03-20 {2}the whole rack {2}fan moved to the left/);
    expect(lot).not.toContain('all white');
    const before = everything(at);
    const one = await leanward('note', plan, 'cleaned', ...on);
    expect(one.code).toBe(2);
    expect(one.err).toContain("no bag 'cleaned'");
    expect(one.err).toContain('For a note on the whole rack add --rack.');
    const high = await leanward('note', plan, '--rack', '--height', '9 cm', ...on);
    expect(high.err).toContain('A height, a lean or a mass is of one bag.');
    expect(everything(at)).toEqual(before);
  });
});

describe('a word that may mean two bags', () => {
  it('is refused with both readings', async () => {
    const plan = join(folder, 'two.plan.yaml');
    writeFileSync(
      plan,
      `leanward: 1
place: { timezone: America/Chicago }
shelves: { counter: { size: [96 in, 20 in], clear: 20 in, deck: wire } }
zones:
  A: { x: [0 in, 70 in], y: [3 in, 17 in], bags: [11, 1] }
  A1: { x: [74 in, 92 in], y: [3 in, 17 in], bags: [1, 1] }
lamps: { front: { beside: A, side: front, output: 1, flux: 350 lm } }
bags: { tall: { footprint: [5 in, 8 in], height: 19 in, fill: 5 lb } }
batches: { spring: { sealed: 2022-02-14 } }
`,
    );
    const ran = await leanward('cull', plan, 'A11', '--day', '2022-03-20');
    expect(ran.code).toBe(1);
    expect(ran.err).toContain("'A11' may be place A-11 (spring-11), or place A1-1 (spring-12).");
    expect(await done('cull', plan, 'A1-1', '--day', '2022-03-20')).toContain('spring-12 (A1-1)');
  });
});
