/**
 * Commands that write are killed (SIGKILL) at any moment: flash, log, note, batch.
 *
 * What must hold: the plan is the old or the new one, whole; the archive is
 * sound and has every record once, in order, and every entry of the book that was
 * said to be kept; the controller's file is whole and runs the old or the new
 * table; whatever was left behind stands in no later command's way.
 *
 * When a program is killed is a matter of its speed: an id gives the same command
 * and the same share of its usual time, not the same instruction.
 */

import { spawn } from 'node:child_process';
import { cpSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { readPlan } from '../../compiler/read-plan.ts';
import { draw } from '../../firmware-sim/world/random.ts';
import { sure } from '../../shared/assert.ts';
import { STATUS } from '../../shared/registers.ts';
import { utcSeconds } from '../../shared/units.ts';
import { gapsOf } from '../../src/archive/gaps.ts';
import { readNotes } from '../../src/archive/notes.ts';
import { withArchive } from '../../src/archive/open.ts';
import { controllersOf, readRecords } from '../../src/archive/read.ts';
import { boardById } from '../../src/files/boards.ts';
import { lockFile } from '../../src/files/lock.ts';
import { readVirtualFile } from '../../src/virtual/file.ts';
import { restoreDevice } from '../../src/virtual/makers.ts';
import { long, pass, status } from '../firmware-sim/controller/host.ts';
import { BOARDS, samplePlan } from '../support/boards.ts';
import { type Campaign, hold } from './campaign.ts';

const LAUNCHER = fileURLToPath(new URL('../../src/leanward.js', import.meta.url));
const PLAN = samplePlan('smallest');
const CHANGED = PLAN.replace('flux: 350 lm', 'flux: 360 lm');
const COMMANDS = ['flash', 'log', 'note', 'batch'] as const;
type Command = (typeof COMMANDS)[number];

let base = '';
let here = '';
/** How long each takes when nobody kills it, ms. */
const usual = new Map<Command, number>();
/** What the board runs before and after the flash. */
const digests = new Map<'old' | 'new', number>();

const at = (name: string): string => join(here, name);

function words(command: Command): string[] {
  const plan = at('rack.plan.yaml');
  const port = `virtual:${at('rack.json')}`;
  switch (command) {
    case 'flash':
      return ['flash', plan, '--port', port, '--drop-days', '--yes'];
    case 'log':
      return ['log', plan, '--port', port, '--advance', '3d'];
    case 'note':
      return ['note', plan, 'A-1', 'seen', '--day', '2026-03-01'];
    case 'batch':
      return ['batch', plan, '--zones', 'A', '--sealed', '2027-02-01', '--name', 'later'];
  }
}

/** Runs a command; killed after `ms` when given. Gives its exit code, null when it was killed. */
function run(command: Command, ms?: number): Promise<number | null> {
  const child = spawn(process.execPath, [LAUNCHER, ...words(command)], {
    stdio: 'ignore',
    env: { ...process.env, TZ: 'UTC' },
  });
  const timer = ms === undefined ? undefined : setTimeout(() => child.kill('SIGKILL'), ms);
  return new Promise((resolve) =>
    child.on('close', (code) => {
      clearTimeout(timer);
      resolve(code);
    }),
  );
}

async function digestOnBoard(): Promise<number> {
  const device = await restoreDevice(
    sure(readVirtualFile(at('rack.json'))).image,
    sure(boardById('mega328-relay8')),
    utcSeconds(0),
    at('rack.json'),
  );
  pass(device, 200); // whatever was on trial is over
  return long(status(device), STATUS.digest);
}

/** Everything that must hold whatever was killed. */
async function sound(command: Command, code: number | null): Promise<void> {
  const text = readFileSync(at('rack.plan.yaml'), 'utf8');
  hold(readPlan(text, { boards: BOARDS }).plan !== undefined, 'the plan has errors');
  const before = command === 'flash' ? CHANGED : PLAN;
  hold(text === before || (command === 'batch' && text.includes('later:')), 'the plan is another');
  const runs = await digestOnBoard();
  const may = command === 'flash' ? [digests.get('old'), digests.get('new')] : [digests.get('old')];
  hold(may.includes(runs), () => `table ${runs.toString(16)} runs`);
  await withArchive(at('rack.virtual.archive.sqlite'), 0, async (archive) => {
    for (const { identity } of await controllersOf(archive)) {
      hold((await gapsOf(archive, identity)).length === 0, 'the archive has gaps');
      let next = 1;
      for await (const { sequence } of readRecords(archive, identity))
        hold(sequence === next++, `record ${sequence} after ${next - 2}`);
    }
    const notes = await readNotes(archive, 'rack');
    hold(
      notes.some(({ text: words }) => words === 'first'),
      'the first entry is gone',
    );
    const kept = notes.some(({ text: words }) => words === 'seen');
    if (command === 'note' && code === 0) hold(kept, 'an entry that was said to be kept is not');
  });
  for (const name of ['rack.plan.yaml', 'rack.json']) lockFile(at(name))();
}

export const kills: Campaign = {
  name: 'kills',
  about: "flash, log, note and batch killed at any moment: old or new, whole, and in nobody's way",
  unit: 'kills',
  share: 8,
  least: 300,
  slice: 8,
  async prepare() {
    base = mkdtempSync(join(tmpdir(), 'leanward-campaign-'));
    here = base;
    writeFileSync(at('rack.plan.yaml'), PLAN);
    hold((await run('flash')) === 0, 'no flash');
    digests.set('old', await digestOnBoard());
    hold((await run('log')) === 0, 'no log');
    hold(await note('first'), 'no note');
    for (const command of COMMANDS) {
      here = mkdtempSync(join(tmpdir(), 'leanward-campaign-'));
      fresh(command);
      const begun = performance.now();
      hold((await run(command)) === 0, `no ${command}`);
      usual.set(command, performance.now() - begun);
      if (command === 'flash') digests.set('new', await digestOnBoard());
      rmSync(here, { recursive: true, force: true });
    }
    return async () => rmSync(base, { recursive: true, force: true });
  },
  async run(chance) {
    const command = COMMANDS[draw(chance, COMMANDS.length)] ?? 'log';
    here = mkdtempSync(join(tmpdir(), 'leanward-campaign-'));
    try {
      fresh(command);
      // The first half of its time goes to starting Node.
      const code = await run(command, (0.3 + draw(chance, 1000) / 1000) * (usual.get(command) ?? 1000));
      await sound(command, code);
      const again = await run(command);
      hold(again === 0 || (command === 'batch' && again === 1), `${command} afterwards ended with ${again}`);
      return 1;
    } finally {
      rmSync(here, { recursive: true, force: true });
    }
  },
};

/** The folder as it was before. */
function fresh(command: Command): void {
  cpSync(base, here, { recursive: true });
  if (command === 'flash') writeFileSync(at('rack.plan.yaml'), CHANGED);
}

async function note(text: string): Promise<boolean> {
  const child = spawn(
    process.execPath,
    [LAUNCHER, 'note', at('rack.plan.yaml'), 'A-1', text, '--day', '2026-03-01'],
    { stdio: 'ignore' },
  );
  return (await new Promise((resolve) => child.on('close', resolve))) === 0;
}
