/**
 * A thousand bags: 25 shelves of four zones of ten, and for `check` racks of other kinds.
 * The wish is that visits, bag sheets, labels and check answer within two seconds of
 * processor time, each kind by itself.
 */

import { spawnSync } from 'node:child_process';
import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { compilePlan } from '../../compiler/compile.ts';
import { readPlan } from '../../compiler/read-plan.ts';
import { visitOccurrences } from '../../compiler/timeline/visits.ts';
import { sure } from '../../shared/assert.ts';
import { dayFromIso } from '../../shared/civil.ts';
import { bagLives } from '../../src/answers/bags/lives.ts';
import { shortLines } from '../../src/answers/check/short.ts';
import { bagLabels } from '../../src/answers/labels/labels.ts';
import { labelsPage } from '../../src/answers/labels/page.ts';
import { labelSheet } from '../../src/answers/labels/sheets.ts';
import { sheetPart } from '../../src/answers/prep/kept.ts';
import { partsText } from '../../src/answers/prep/text.ts';
import { workText } from '../../src/answers/visits/text.ts';
import { workFrom } from '../../src/answers/visits/work.ts';
import { BOARDS } from '../support/boards.ts';
import { RACKS, rackText } from '../support/racks.ts';
import { type Row, row } from './row.ts';

const SHELVES = 25;
const MOST_MS = { most: 2000 };

/** Shelves with four zones of five by two bags, a lamp in front and one behind, sealed over half a year. */
function thousand(): string {
  const shelves = Array.from({ length: SHELVES }, (_, i) => i + 1);
  const zones = shelves.flatMap((n) =>
    ['a', 'b', 'c', 'd'].map((one, i) => ({ n, name: `S${n}${one}`, x: 6 + 41 * i })),
  );
  return `leanward: 1
place: { timezone: America/Chicago }
controllers:
${shelves.map((n) => `  c${n}: { unit: ${n}, supply: { volts: 5 V, rating: 2 A } }`).join('\n')}
shelves:
${shelves.map((n) => `  s${n}: { height: ${n * 24} in, size: [170 in, 26 in], clear: 22 in, deck: solid }`).join('\n')}
zones:
${zones.map(({ n, name, x }) => `  ${name}: { shelf: s${n}, x: [${x} in, ${x + 35} in], y: [4 in, 22 in], bags: [5, 2] }`).join('\n')}
lamps:
${zones.map(({ n, name }, i) => `  ${name}f: { beside: ${name}, side: front, output: c${n}/${2 * (i % 4) + 1}, flux: 1500 lm }\n  ${name}b: { beside: ${name}, side: back, output: c${n}/${2 * (i % 4) + 2}, flux: 1500 lm }`).join('\n')}
bags: { tall: { footprint: [5 in, 8 in], height: 19 in, fill: 5 lb, mix: { parts: { sawdust: 60 %, hull: 40 % } } } }
batches:
${shelves.map((n) => `  b${n}: { sealed: 2026-0${(n % 6) + 1}-06, zones: [S${n}a, S${n}b, S${n}c, S${n}d] }`).join('\n')}
`;
}

/** Processor time of `work`, ms: other work on the machine does not count. */
function processor(work: () => void): number {
  const { user, system } = process.cpuUsage();
  work();
  const spent = process.cpuUsage({ user, system });
  return (spent.user + spent.system) / 1000;
}

/** Tells its processor time when it ends, in milliseconds, as the last line of its errors. */
const TELLING = `data:text/javascript,process.on('exit', () => {
  const { user, system } = process.cpuUsage();
  process.stderr.write(String((user + system) / 1000));
})`;

/** Processor time of the whole command `check`, start-up included, ms. */
function commandTime(text: string): number {
  const folder = mkdtempSync(join(tmpdir(), 'leanward-bench-'));
  try {
    const path = join(folder, 'rack.plan.yaml');
    writeFileSync(path, text);
    const program = fileURLToPath(new URL('../../src/leanward.js', import.meta.url));
    const { stderr } = spawnSync(process.execPath, ['--import', TELLING, program, 'check', path], {
      encoding: 'utf8',
    });
    return Number(/[\d.]+$/.exec(stderr)?.[0]);
  } finally {
    rmSync(folder, { recursive: true, force: true });
  }
}

/** What `check` works out and says of a rack. */
function checkTime(text: string): number {
  return processor(() => {
    shortLines('rack.plan.yaml', compilePlan(text, { boards: BOARDS }), false);
  });
}

export async function rows(): Promise<Row[]> {
  const text = thousand();
  const plan = sure(readPlan(text, { boards: BOARDS }).plan);
  const today = sure(dayFromIso('2026-05-14'));
  const visits = processor(() => {
    const known = { visits: visitOccurrences(plan), notes: [], outcomes: new Map() };
    workText(workFrom(plan, known, today, 14), today, 14);
  });
  const sheets = processor(() => {
    partsText(plan.batches.map((batch) => sheetPart(plan, batch, [], 'us', 0)));
  });
  const labels = processor(() => {
    labelsPage('bench', bagLabels(plan, bagLives(plan, []), today), labelSheet('letter-30', 'letter'), 0);
  });
  const check = processor(() => {
    compilePlan(text, { boards: BOARDS });
  });
  return [
    row('visits of a fortnight, 1,000 bags (processor time)', visits, 'ms', MOST_MS),
    row('bag sheets, 1,000 bags', sheets, 'ms', MOST_MS),
    row('labels, 1,000 bags', labels, 'ms', MOST_MS),
    row('check, 1,000 bags', check, 'ms', MOST_MS),
    row('the same with its words, as a command with its start-up', commandTime(text), 'ms', MOST_MS),
    ...Object.entries(RACKS).map(([name, shape]) =>
      row(`check with its words, ${name}`, checkTime(rackText(shape)), 'ms', MOST_MS),
    ),
  ];
}
