/**
 * `npm run season`: a whole season from the command line, with no hardware: two
 * lots, three treatments, 24 bags, their life and what befell them, to the
 * record of a lot and the comparison of treatments.
 *
 * Every step is a command that a grower types (`season.json`, on the rack of
 * `season.plan.yaml`); nothing is done behind them. `--keep FOLDER` leaves plan,
 * archive and pages in a folder, `--json` prints the last review as JSON alone.
 */

import { spawnSync } from 'node:child_process';
import { copyFileSync, mkdirSync, mkdtempSync, readFileSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';

const here = (name) => fileURLToPath(new URL(name, import.meta.url));
const program = here('../../leanward.js');
const isJson = process.argv.includes('--json');
const at = process.argv.indexOf('--keep');
const kept = at < 0 ? undefined : process.argv[at + 1];
const folder = kept ?? mkdtempSync(join(tmpdir(), 'leanward-season-'));
mkdirSync(folder, { recursive: true });

const plan = 'pantry.plan.yaml';
const port = ['--port', 'virtual:pantry.controller'];
const BRIEF_LINES = 12;
const HOUR = 3_600_000;
copyFileSync(here('season.plan.yaml'), join(folder, plan));

/** Where the controller's time stands, as a civil time at the place. */
let now = '';

for (const step of JSON.parse(readFileSync(here('season.json'), 'utf8'))) take(step);
if (kept === undefined) rmSync(folder, { recursive: true, force: true });

function take(step) {
  if (step.say) tell(`\n${step.say}\n`);
  if (step.flash) flash(step);
  if (step.live) live(step);
  if (step.run) run(step);
}

function run({ run: [command, ...rest], day, lines }) {
  const words = [command, plan, ...rest, ...(day ? ['--day', day] : [])];
  const isLast = command === 'review' && rest.includes('season.html');
  if (isLast && isJson) process.stdout.write(leanward([...words, '--json'], 0));
  else leanward(words, lines);
}

function flash({ flash: when }) {
  if (when !== 'again') now = when;
  leanward(['flash', plan, ...port, ...(when === 'again' ? [] : ['--at', when]), '--yes'], BRIEF_LINES);
}

/** Time goes by; every visit that falls due is answered twenty minutes later (18:20), but on the days that are missed. */
function live({ live: until, events = [], missed = [], setClock = false }) {
  const [from, to] = [now, until].map((time) => Date.parse(`${time.replace(' ', 'T')}Z`));
  const days = Math.ceil((to - from) / (24 * HOUR)) + 1;
  const asked = ['visits', plan, '--day', now.slice(0, 10), '--days', String(days), '--json'];
  const { visits } = JSON.parse(leanward(asked, 0));
  const due = new Set(
    visits.flatMap(({ day, kind, closer }) => (kind === 'harvest' || closer ? [] : [`${day} 18:20`])),
  );
  const presses = [...due].filter(
    (time) => time > now && time < until && !missed.includes(time.slice(0, 10)),
  );
  const happens = [...events, ...presses.map((time) => `${time} press`)].flatMap((one) => ['--event', one]);
  tell(
    `\n(${presses.length} visiting days answered, ${missed.length} missed; ${events.join('; ') || 'nothing else happens'})\n`,
  );
  const log = ['log', plan, ...port, '--advance', `${(to - from) / HOUR}h`, ...happens];
  leanward(setClock ? [...log, '--set-clock'] : log, 4, log.indexOf('--event'));
  now = until;
}

function tell(text) {
  if (!isJson) process.stdout.write(text);
}

/** Runs one command as the grower would, shows it and so many of its last lines, and gives what it printed. */
function leanward(words, most = Number.POSITIVE_INFINITY, shownWords = -1) {
  const typed = words.map((word) => (/^[\w./:,-]+$/.test(word) ? word : `'${word}'`));
  const shown = shownWords < 0 ? typed : [...typed.slice(0, shownWords), '…'];
  if (most > 0) tell(`\n$ leanward ${shown.join(' ')}\n`);
  const { status, stdout, stderr } = spawnSync(process.execPath, [program, ...words], {
    cwd: folder,
    encoding: 'utf8',
    maxBuffer: 1 << 28,
  });
  const lines = stdout.trimEnd().split('\n');
  const left = lines.length - most;
  if (most > 0)
    tell(
      `${left > 0 ? `  (${left} lines more)\n` : ''}${lines.slice(-Math.min(most, lines.length)).join('\n')}\n`,
    );
  if (status === 0) return stdout;
  process.stderr.write(
    `${stdout}${stderr}\nThis step ended with ${status}; the season stops here: ${typed.join(' ')}\n`,
  );
  process.exit(1);
}
