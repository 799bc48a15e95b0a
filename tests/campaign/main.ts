/**
 * `npm run campaign -- [--minutes N] [--seed S] [--json FILE] [name …]`: runs
 * the campaigns named (all, when none is) for N minutes together, or the slice
 * that CI runs with `--slice`. A case's id instead of names replays it alone.
 */

import { writeFileSync } from 'node:fs';
import { parseArgs } from 'node:util';
import { CAMPAIGNS } from './all.ts';
import { type Campaign, type Result, readId, runCampaign } from './campaign.ts';

const { values, positionals } = parseArgs({
  allowPositionals: true,
  options: {
    minutes: { type: 'string', default: '3' },
    seed: { type: 'string', default: '1' },
    json: { type: 'string' },
    slice: { type: 'boolean', default: false },
  },
});

/** The campaign of a name; ends the program when there is none. */
function named(name: string): Campaign {
  const found = CAMPAIGNS.find((campaign) => campaign.name === name);
  if (found) return found;
  console.error(`There is no campaign '${name}': ${CAMPAIGNS.map((one) => one.name).join(', ')}.`);
  process.exit(2);
}

async function replay(id: string, name: string, seed: number, index: number): Promise<Result[]> {
  console.log(`replaying ${id}`);
  return [await runCampaign(named(name), seed, index, (cases) => cases === 1)];
}

async function runAll(campaigns: readonly Campaign[], seed: number): Promise<Result[]> {
  const results: Result[] = [];
  const whole = campaigns.reduce((sum, { share }) => sum + share, 0);
  for (const campaign of campaigns) {
    const ms = (Number(values.minutes) * 60_000 * campaign.share) / whole;
    const until = performance.now() + ms;
    const enough = (cases: number): boolean =>
      values.slice ? cases >= campaign.slice : cases > 0 && performance.now() >= until;
    const result = await runCampaign(campaign, seed, 0, enough);
    tell(result);
    results.push(result);
  }
  return results;
}

function tell({ name, findings }: Result): void {
  for (const { id, what } of findings) console.log(`\n${name}: FINDING ${id}\n${what}`);
}

function table(results: readonly Result[]): string {
  const rows = results.map(({ name, cases, units, unit, seconds, findings }) => [
    name,
    String(cases),
    `${units} ${unit}`,
    String(findings.length),
    seconds.toFixed(1),
  ]);
  const all = [['campaign', 'cases', 'tried', 'findings', 'seconds'], ...rows];
  const widths = [0, 1, 2, 3, 4].map((i) => Math.max(...all.map((row) => row[i]?.length ?? 0)));
  return all
    .map((row) =>
      row.map((cell, i) => (i === 0 ? cell.padEnd(widths[i] ?? 0) : cell.padStart(widths[i] ?? 0))),
    )
    .map((row) => row.join('  '))
    .join('\n');
}

const seed = Number(values.seed);
const id = positionals[0] === undefined ? undefined : readId(positionals[0]);
const results = id
  ? await replay(positionals[0] ?? '', id.name, id.seed, id.index)
  : await runAll(positionals.length > 0 ? positionals.map(named) : CAMPAIGNS, seed);
if (id) results.forEach(tell);
console.log(`\nseed ${id?.seed ?? seed}\n${table(results)}`);
if (values.json !== undefined) {
  writeFileSync(
    values.json,
    `${JSON.stringify({ seed: id?.seed ?? seed, campaigns: results }, undefined, 2)}\n`,
  );
}
process.exitCode = results.some(({ findings }) => findings.length > 0) ? 1 : 0;
