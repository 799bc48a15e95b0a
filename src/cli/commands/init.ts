/** `init`: writes a commented starter plan, after a few questions on a terminal. */

import { existsSync } from 'node:fs';
import type { Command } from 'commander';
import { civilDayAt } from '../../../compiler/plan/place-time.ts';
import { starterPlan } from '../../../compiler/write/starter.ts';
import { dayFromIso, isoDate, PLAN_DAYS, utcFromUnixMs } from '../../../shared/civil.ts';
import type { CivilDay } from '../../../shared/units.ts';
import { MOST_SHELVES, QUESTIONS, systemZone, usualUnits } from '../../answers/init/questions.ts';
import { usage } from '../../failure.ts';
import { writeFileSafely } from '../../files/files.ts';
import { ask, canAsk, say, sayJson } from '../terminal.ts';

interface Options {
  readonly shelves?: string;
  readonly units?: string;
  readonly timezone?: string;
  readonly sealed?: string;
  readonly force?: boolean;
  readonly json?: boolean;
}

/** Adds what `init` takes. */
export function define(command: Command): void {
  command
    .description(
      'Writes a first plan with comments, to be changed in any text editor. ' +
        'On a terminal it asks for what the options do not say; elsewhere it takes two shelves, inches where the ' +
        "system's time zone is American, and today's date.",
    )
    .argument('[plan]', 'the file to write', 'rack.plan.yaml')
    .option('--shelves <n>', `how many shelves, 1 to ${MOST_SHELVES}`)
    .option('--units <units>', 'in (inches and pounds) or mm (millimetres and kilograms)')
    .option('--timezone <name>', "the place's time zone, such as Europe/Lisbon (the system's own)")
    .option('--sealed <date>', 'day on which the first bags are sealed (today)')
    .option('--force', 'replace a file that is there already')
    .option('--json', 'print the result as JSON')
    .addHelpText('after', '\nExample:\n  leanward init rack.plan.yaml --shelves 4 --units in')
    .action((plan: string, options: Options) => run(plan, options));
}

async function run(file: string, options: Options): Promise<void> {
  if (existsSync(file) && !options.force)
    throw usage(`${file} is there already.`, 'Choose another name, or add --force to replace it.');
  const timezone = readZone(options.timezone ?? systemZone());
  const answer = (given: string | undefined, question: string, usual: string): Promise<string> =>
    askFor(given, question, usual);
  const shelves = readShelves(await answer(options.shelves, QUESTIONS.shelves, '2'));
  const units = readUnits(await answer(options.units, QUESTIONS.units, usualUnits(timezone)));
  const today = isoDate(civilDayAt(timezone, utcFromUnixMs(Date.now())));
  const sealed = readDay(await answer(options.sealed, QUESTIONS.sealed, today));
  writeFileSafely(file, starterPlan({ shelves, units, timezone, sealed }));
  if (options.json) sayJson({ plan: file, shelves, units, timezone, sealed: isoDate(sealed) });
  else {
    say(`Wrote ${file}: ${shelves} shelves in ${timezone}, first bags sealed ${isoDate(sealed)}.`);
    say(`Change it to fit your rack, then: leanward check ${file}`);
  }
}

/** The given value; else what the grower answers, or the usual value when they just press Enter or nobody is there. */
async function askFor(given: string | undefined, question: string, usual: string): Promise<string> {
  if (given !== undefined) return given;
  if (!canAsk()) return usual;
  return (await ask(`${question} [${usual}] `)) || usual;
}

function readZone(name: string): string {
  try {
    return new Intl.DateTimeFormat('en', { timeZone: name }).resolvedOptions().timeZone === undefined
      ? 'UTC'
      : name;
  } catch {
    throw usage(`'${name}' is not a time zone.`, 'Write a name such as Europe/Lisbon or America/Chicago.');
  }
}

function readShelves(text: string): number {
  const count = Number(text);
  if (Number.isInteger(count) && count >= 1 && count <= MOST_SHELVES) return count;
  throw usage(`'${text}' is not a number of shelves.`, `Give a number from 1 to ${MOST_SHELVES}.`);
}

function readUnits(text: string): 'in' | 'mm' {
  if (text === 'in' || text === 'mm') return text;
  throw usage(`'${text}' is neither in nor mm.`, 'Write --units in or --units mm.');
}

function readDay(text: string): CivilDay {
  const day = dayFromIso(text);
  if (day === undefined) throw usage(`'${text}' is not a date.`, 'Write it as in 2026-02-16.');
  const { least, most } = PLAN_DAYS;
  if (text < least || text > most)
    throw usage(`${text} is not possible; it must be ${least} to ${most}.`, 'Write it as in 2026-02-16.');
  return day;
}
