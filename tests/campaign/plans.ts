/**
 * Plans that are broken: bytes, lines, structure and names changed by chance.
 *
 * What must hold: reading and compiling never throw; there is a plan exactly
 * when no finding is an error; every finding can be shown, its places lie in
 * the text, and nothing shown holds a control or direction sign; a table that
 * comes out decodes to what was encoded.
 */

import { compilePlan } from '../../compiler/compile.ts';
import { renderFindings } from '../../compiler/findings/render.ts';
import { readPlan } from '../../compiler/read-plan.ts';
import { type Chance, draw } from '../../firmware-sim/world/random.ts';
import { TABLE_MAX_BYTES } from '../../shared/table.ts';
import { decodeTable } from '../../shared/table-decode.ts';
import { BOARDS as boards, samplePlan } from '../support/boards.ts';
import { type Campaign, hold, pick } from './campaign.ts';

const SAMPLES = ['pantry', 'pantry-open', 'wire-rack', 'smallest'].map(samplePlan);

const PIECES = [
  ...['{', '}', '[', ']', ':', ': ', ',', '#', '"', "'", '\n', '\t', ' ', '- ', '&a ', '*a', '|\n', '>\n'],
  ...['? ', '! ', '%', '@', '---\n', '...\n', '<<: *a', '\u00a0', '\u201c', '\u201d', '\0', '\ud800', '\r\n'],
  ...[
    '0',
    '-1',
    '1e999',
    '.nan',
    '~',
    'null',
    'true',
    '2026-02-30',
    '25:00',
    '5 in',
    '5 lb',
    '0 d',
    '999999999 d',
  ],
  ...[
    'like: A',
    '__proto__',
    'constructor',
    'toString',
    'sway',
    'left',
    'A',
    'zones:',
    'ended: ',
    'then: keep',
  ],
];

const NAMES = [
  ...[
    '"\\e[31mred"',
    '"\\x9b2J"',
    '"a\\nb"',
    '"\\u202eevil"',
    '"\\u2028"',
    '__proto__',
    'constructor',
    '"../x"',
  ],
  ...[
    '"\\0"',
    '" "',
    '""',
    'null',
    '"CON"',
    '"a/b"',
    '1',
    'true',
    '2026-02-16',
    'é',
    '"\\ud800"',
    'x'.repeat(300),
  ],
];

/** C0 but for line ends and tabs, C1, and the signs that turn the direction of writing. */
// biome-ignore lint/suspicious/noControlCharactersInRegex: they are what is looked for.
export const UNSEEN = /[\0-\x08\x0b-\x1f\x7f-\x9f\u061c\u200e\u200f\u202a-\u202e\u2066-\u2069\u2028\u2029]/;

function bytes(text: string, chance: Chance): Uint8Array {
  const raw = new TextEncoder().encode(text);
  for (let change = 0; change <= draw(chance, 6); change++) raw[draw(chance, raw.length)] = draw(chance, 256);
  return raw;
}

function pieces(text: string, chance: Chance): string {
  let now = text;
  for (let change = 0; change <= draw(chance, 4); change++) {
    const at = draw(chance, now.length + 1);
    now = now.slice(0, at) + pick(chance, PIECES) + now.slice(at + draw(chance, 12));
  }
  return now;
}

function lines(text: string, chance: Chance): string {
  const all = text.split('\n');
  for (let change = 0; change <= draw(chance, 4); change++) {
    const [at, other] = [draw(chance, all.length), draw(chance, all.length)];
    const how = draw(chance, 4);
    const line = all[at] ?? '';
    if (how === 0) all.splice(at, 1);
    else if (how === 1) all.splice(other, 0, line);
    else if (how === 2) all.splice(at, 1, all[other] ?? '', line);
    else all[at] = `${' '.repeat(draw(chance, 5))}${line.trimStart()}`;
  }
  return all.join('\n');
}

/** Names and values swapped for hostile ones, so that most of these texts still parse. */
function names(text: string, chance: Chance): string {
  const words = [...text.matchAll(/[A-Za-z][\w-]*|\d[\d.-]*/g)];
  let now = text;
  for (let change = 0; change <= draw(chance, 2); change++) {
    const word = pick(chance, words)[0];
    const by = draw(chance, 3) === 0 ? pick(chance, words)[0] : pick(chance, NAMES);
    now = now.replaceAll(new RegExp(`\\b${word.replace(/[.*+?^$()[\]{}|\\]/g, '\\$&')}\\b`, 'g'), () => by);
  }
  return now;
}

const WAYS = [bytes, pieces, lines, names] as const;

/** A few findings have thousands of words; the rest of the text says no more. */
function check(source: Uint8Array | string): void {
  const { plan, findings, text, units } = readPlan(source, { boards });
  const failed = findings.some(({ severity }) => severity === 'error');
  hold((plan === undefined) === failed, 'a plan beside an error, or neither');
  for (const { span, second } of findings) {
    for (const { start, end } of second ? [span, second] : [span]) {
      const inside = start >= 0 && start <= end && end <= Math.max(text.length + 1, 1);
      hold(inside, `a finding at ${start}–${end} of ${text.length}`);
    }
  }
  const compiled = plan === undefined ? undefined : compilePlan(source, { boards });
  const shown = renderFindings(compiled?.findings ?? findings, { file: 'campaign', text, units });
  const unseen = UNSEEN.exec(shown);
  hold(
    unseen === null,
    () =>
      `U+${unseen?.[0].codePointAt(0)?.toString(16)} is shown: ${JSON.stringify(shown.slice(Math.max(0, (unseen?.index ?? 0) - 60), (unseen?.index ?? 0) + 20))}`,
  );
  for (const { encoded } of compiled?.tables ?? []) {
    const table = decodeTable(encoded.bytes);
    const fits = encoded.bytes.length <= TABLE_MAX_BYTES;
    hold(table.ok || !fits, 'a table that is none');
  }
}

export const plans: Campaign = {
  name: 'plans',
  about: 'plans with bytes, lines, structure and names changed: never a throw, no plan beside an error',
  unit: 'plans',
  share: 9,
  least: 5000,
  slice: 250,
  run(chance) {
    check(pick(chance, WAYS)(pick(chance, SAMPLES), chance));
    return 1;
  },
};
