/**
 * `npm run campaign -- [--minutes N] [--seed S] [--json FILE] [name …]`: runs
 * the campaigns named (all, when none is) for N minutes together, longer where one
 * has not tried enough by then, in as many processes as there are cores, or the slice with `--slice`. A
 * case's id instead of names replays it alone.
 */

import { spawn } from 'node:child_process';
import { mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { availableParallelism, tmpdir } from 'node:os';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { parseArgs } from 'node:util';
import { missingOf } from '../support/needs.ts';
import { CAMPAIGNS } from './all.ts';
import { type Campaign, merged, type Result, readId, runCampaign } from './campaign.ts';

/** The minutes that a campaign's `least` is meant for. */
const LEAST_MINUTES = 30;
const OWN = fileURLToPath(import.meta.url);
const RUNNER = fileURLToPath(new URL('../support/run-ts.js', import.meta.url));

const { values, positionals } = parseArgs({
  allowPositionals: true,
  options: {
    minutes: { type: 'string', default: '3' },
    seed: { type: 'string', default: '1' },
    json: { type: 'string' },
    slice: { type: 'boolean', default: false },
    // Given by this program to its own processes: the first case, and of how many each takes one.
    part: { type: 'string' },
    parts: { type: 'string' },
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

/** Those that can run here; what the others lack is told. */
function runnable(campaigns: readonly Campaign[]): Campaign[] {
  return campaigns.filter(({ name, needs = [] }) => {
    const missing = missingOf(needs);
    if (missing.length > 0) console.log(`${name}: left out, needs ${missing.join(', ')} (Debian)`);
    return missing.length === 0;
  });
}

async function runAll(campaigns: readonly Campaign[], part: number, parts: number): Promise<Result[]> {
  const results: Result[] = [];
  const whole = campaigns.reduce((sum, { share }) => sum + share, 0);
  for (const campaign of campaigns) {
    const ms = (Number(values.minutes) * 60_000 * campaign.share) / whole;
    const until = performance.now() + ms;
    const least = ((campaign.least ?? 0) * Number(values.minutes)) / (LEAST_MINUTES * parts);
    const enough = (cases: number, units: number): boolean =>
      values.slice ? cases >= campaign.slice : cases > 0 && units >= least && performance.now() >= until;
    const result = await runCampaign(campaign, Number(values.seed), part, enough, parts);
    tell(result);
    results.push(result);
  }
  return results;
}

/** Every core takes its part of the cases. */
async function runApart(campaigns: readonly Campaign[]): Promise<Result[]> {
  const parts = availableParallelism();
  const folder = mkdtempSync(join(tmpdir(), 'leanward-campaign-'));
  const runs = Array.from({ length: parts }, (_, part) => {
    const json = join(folder, `${part}.json`);
    const words = ['--part', String(part), '--parts', String(parts), '--json', json];
    const asked = ['--minutes', values.minutes, '--seed', values.seed, ...campaigns.map(({ name }) => name)];
    const child = spawn(process.execPath, [RUNNER, OWN, ...words, ...asked], {
      stdio: ['ignore', 'inherit', 'inherit'],
    });
    return new Promise<Result[]>((resolve, reject) =>
      child.on('close', (code) => {
        if (code !== 0 && code !== 1) reject(new Error(`part ${part} ended with ${code}`));
        else resolve(JSON.parse(readFileSync(json, 'utf8')).campaigns);
      }),
    );
  });
  try {
    return merged(await Promise.all(runs));
  } finally {
    rmSync(folder, { recursive: true, force: true });
  }
}

function tell({ name, findings }: Result): void {
  for (const { id, what } of findings) console.log(`\n${name}: FINDING ${id}\n${what}`);
}

function table(results: readonly Result[]): string {
  const rows = results.map(({ name, cases, units, unit, also, seconds, findings }) => [
    name,
    String(cases),
    `${units} ${unit}${also ? ` (${also[0]} ${also[1]})` : ''}`,
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

async function results(): Promise<Result[]> {
  const id = positionals[0] === undefined ? undefined : readId(positionals[0]);
  if (id) {
    const found = await replay(positionals[0] ?? '', id.name, id.seed, id.index);
    found.forEach(tell);
    return found;
  }
  const campaigns = positionals.length > 0 ? positionals.map(named) : CAMPAIGNS;
  if (values.part !== undefined) return runAll(campaigns, Number(values.part), Number(values.parts));
  const can = runnable(campaigns);
  return values.slice ? runAll(can, 0, 1) : runApart(can);
}

const found = await results();
if (values.part === undefined) console.log(`\nseed ${values.seed}\n${table(found)}`);
if (values.json !== undefined) {
  writeFileSync(values.json, `${JSON.stringify({ seed: values.seed, campaigns: found }, undefined, 2)}\n`);
}
process.exitCode = found.some(({ findings }) => findings.length > 0) ? 1 : 0;
