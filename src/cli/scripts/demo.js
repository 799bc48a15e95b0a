/**
 * `npm run demo`: the main job from beginning to end, with no hardware — a
 * plan, its check, a simulated week, the flash, a week of life with a power cut
 * and an answered visit, the log, and what happened in a few lines.
 *
 * `npm run demo -- --port virtual:chip` does the same on the emulated chip.
 * Every step is a command that a grower types; nothing is done behind them.
 */

import { spawnSync } from 'node:child_process';
import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';

const program = fileURLToPath(new URL('../../leanward.js', import.meta.url));
const folder = mkdtempSync(join(tmpdir(), 'leanward-demo-'));
const given = process.argv.indexOf('--port');
const kind = given < 0 ? 'virtual' : process.argv[given + 1];
if (kind !== 'virtual' && kind !== 'virtual:chip') {
  process.stderr.write('The demo runs on --port virtual or --port virtual:chip.\n');
  process.exit(2);
}
const port = `${kind}:pantry.controller`;
const plan = 'pantry.plan.yaml';
const timezone = 'Europe/Lisbon';

/** Runs one command as the grower would, shows it, and gives what it printed. */
function leanward(words, { show = true } = {}) {
  const typed = words.map((word) => (/^[\w./:,-]+$/.test(word) ? word : `'${word}'`)).join(' ');
  if (show) process.stdout.write(`\n$ leanward ${typed}\n`);
  const { status, stdout, stderr } = spawnSync(process.execPath, [program, ...words], {
    cwd: folder,
    encoding: 'utf8',
  });
  if (show) process.stdout.write(`${stderr}${stdout}`);
  if (status === 0) return stdout;
  process.stdout.write(show ? '' : stderr);
  process.stdout.write(`\nThis step ended with ${status}; the demo stops here.\n`);
  rmSync(folder, { recursive: true, force: true });
  process.exit(1);
}

process.stdout.write(
  'A pantry rack of two shelves, bags sealed on 16 February 2026. It is now spring; the growth climbs.\n',
);
leanward(['init', plan, '--shelves', '2', '--units', 'mm', '--timezone', timezone, '--sealed', '2026-02-16']);
leanward(['check', plan]);
leanward(['simulate', plan, '--from', '2026-04-13']);
leanward(['flash', plan, '--port', port, '--at', '2026-04-12 22:00', '--yes']);
const week = ['--port', port, '--plan', plan, '--advance', '7d'];
const events = ['--event', '2026-04-14 09:00 cut 2h', '--event', '2026-04-17 18:20 press'];
leanward(['log', ...week, ...events]);
tell(JSON.parse(leanward(['log', '--port', port, '--plan', plan, '--json'], { show: false })));
rmSync(folder, { recursive: true, force: true });

/** What happened, read back from the controller's own records. */
function tell({ records }) {
  const of = (type) => records.filter((record) => record.type === type);
  const visits = of('visit');
  const done = visits.filter(({ outcome }) => outcome === 'done' || outcome === 'late').length;
  const missed = visits.filter(({ outcome }) => outcome === 'missed').length;
  const cuts = of('boot').filter(
    ({ outageMinutes }) => typeof outageMinutes === 'number' && outageMinutes > 0,
  );
  const whole = of('light').filter(({ partial }) => !partial).length;
  process.stdout.write('\nWhat happened, from the log:\n');
  process.stdout.write(`  ${whole} days of light were written down whole, each with its proof.\n`);
  for (const { time, words } of cuts) {
    process.stdout.write(
      `  At ${wallTime(time)} the ${words.replace(/^started: /, '')}; the lamps were right again at once.\n`,
    );
  }
  process.stdout.write(`  Visits: ${done} answered with the button, ${missed} missed.\n`);
}

/** An instant as the place's clocks show it. */
function wallTime(instant) {
  const place = { timeZone: timezone, dateStyle: 'short', timeStyle: 'short' };
  return new Intl.DateTimeFormat('sv-SE', place).format(new Date(instant));
}
