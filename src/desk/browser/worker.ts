/**
 * The page's worker: reads, compiles, simulates and lights plans while the
 * page stays quick.
 *
 * Always holds: one question at a time, in order; the plan that was checked
 * last is the one that later questions are about; what few questions need is
 * fetched by the first of them.
 */

import { compilePlan } from '../../../compiler/compile.ts';
import type { Compiled, SoundPlan } from '../../../compiler/compiled.ts';
import type { Finding } from '../../../compiler/findings/finding.ts';
import { wordsOf } from '../../../compiler/findings/words.ts';
import { lightField } from '../../../compiler/light/field.ts';
import { nothingKnown } from '../../../compiler/light/known.ts';
import { lampFileNames } from '../../../compiler/light/options.ts';
import { planDays } from '../../../compiler/plan/on-a-day.ts';
import { civilDayAt } from '../../../compiler/plan/place-time.ts';
import type { ResolvedPlan, Vec3 } from '../../../compiler/plan/plan.ts';
import { applyEdits, type Edit } from '../../../compiler/read/edits.ts';
import { readPlan } from '../../../compiler/read-plan.ts';
import { type Movable, moveEntry } from '../../../compiler/write/move.ts';
import { documentOf } from '../../../compiler/write/set-value.ts';
import { utcFromUnixMs } from '../../../shared/civil.ts';
import type { Units } from '../../../shared/measures.ts';
import { TABLE_MAX_BYTES } from '../../../shared/table.ts';
import { type CivilDay, civilDay } from '../../../shared/units.ts';
import { fixOf } from '../../answers/check/fixes.ts';
import { alikeLines, groupFindings } from '../../answers/check/groups.ts';
import { type KnownDays, rackMoment, type Shown, simulatedDay } from '../../answers/light/moment.ts';
import { parseEvent } from '../../answers/simulate/events.ts';
import { type GrownWeeks, growWeeks } from '../../answers/simulate/weeks.ts';
import { Failure } from '../../failure.ts';
import { shiftTo } from './anchor.ts';
import { BOARDS_BY_ID } from './boards.ts';
import type { At, CheckAnswer, Question, ToldFinding, WorkerQuestions } from './messages.ts';

let photometry: Readonly<Record<string, string>> = {};
let known = nothingKnown();
/** Light is traced anew for each place a lamp is dragged through; what is kept of it has an end. */
const KNOWN_MAX = 4000;
let sound: SoundPlan | undefined;
let simulated: { readonly day: CivilDay; readonly runs: readonly Shown[] } | undefined;
let knownDays: KnownDays = new Map();
/** Days of a controller that are kept, some kilobytes each. */
const KNOWN_DAYS_MAX = 500;
/** What is made to happen in the simulated grow, and the controllers' course through it. */
let events: readonly string[] = [];
let grown: GrownWeeks | undefined;

type Handlers = {
  [K in keyof WorkerQuestions]: (
    ask: WorkerQuestions[K]['ask'],
  ) => WorkerQuestions[K]['answer'] | Promise<WorkerQuestions[K]['answer']>;
};

const HANDLERS: Handlers = {
  check: ({ text, photometry: files, at, events: wanted }) => {
    takeLampFiles(files);
    letHappen(wanted);
    const compiled = compilePlan(text, { boards: BOARDS_BY_ID, photometry, today, known });
    const { plan, findings, units } = compiled;
    sound = soundOf(compiled);
    simulated = undefined;
    grown = undefined;
    return {
      findings: toldFindings(findings, text, units, plan),
      lampFiles: lampFileNames(plan?.lamps ?? []),
      plan: sound && plan,
      days: plan && planDays(plan),
      tables: compiled.tables.map(
        ({ name, costs, board }) =>
          `Controller ${name}: schedule table ${costs.total} of ${Math.min(TABLE_MAX_BYTES, board.memory.tableBytes)} bytes`,
      ),
      light: sound && lightAt(sound, at),
    };
  },
  weeks: async ({ events: wanted, missed, lived }) => {
    const plan = sound;
    if (!plan) return undefined;
    const { weeksAnswer } = await import('./weeks-work.ts');
    const fault = plan === sound ? letHappen(wanted) : faultIn(wanted);
    if (fault === undefined && plan === sound) grown ??= growWeeks(plan, wanted.map(parseEvent));
    return weeksAnswer({
      sound: plan,
      grown,
      events: fault === undefined ? wanted : [],
      missed,
      lived,
      fault,
    });
  },
  moment: ({ day, minute }) => sound && rackMoment(sound, runsOf(sound, day), day, minute),
  lean: async ({ day, rates, shelves }) => {
    const plan = sound;
    if (!plan) return { leans: [], left: [] };
    const { drawnLeans, MOST_MS } = await import('./lean-work.ts');
    const until = performance.now() + MOST_MS;
    return drawnLeans(plan, day, rates, shelves, () => performance.now() < until);
  },
  map: async ({ at, shelves }) => {
    const plan = sound;
    if (!plan) return [];
    const { mapsAt } = await import('./map-work.ts');
    return mapsAt(plan, photometry, runsOf(plan, at.day), at, shelves);
  },
  move: ({ text, what, going }) => sound && editsOf(sound, text, what, shiftTo(sound.plan, what, going)),
  trial: ({ text, what, shift, at }) => {
    const edits = sound && editsOf(sound, text, what, shift);
    if (!sound || !edits) return { plan: undefined, shelf: undefined, moment: undefined, findings: [] };
    const moved = applyEdits(text, edits).text;
    const { plan, findings, units } = readPlan(moved, { boards: BOARDS_BY_ID });
    const told = findings
      .filter(({ severity }) => severity === 'error')
      .map((one) => toldFinding(one, moved, units));
    if (!plan) return { plan, shelf: undefined, moment: undefined, findings: told };
    const timeline = { ...sound.timeline, field: lightField(plan, { photometry, known }) };
    const list = what.kind === 'lamp' ? plan.lamps : what.kind === 'screen' ? plan.screens : plan.zones;
    const shelf = list.find(({ name }) => name === what.name)?.shelf;
    const moment = rackMoment({ ...sound, plan, timeline }, runsOf(sound, at.day), at.day, at.minute, shelf);
    return { plan, shelf, moment, findings: told };
  },
  starter: async (ask) => (await import('../../../compiler/write/starter.ts')).starterPlan(ask),
};

/** The text in which something is dragged, parsed once for all places it is dragged through. */
let parsed: { readonly text: string; readonly document: ReturnType<typeof documentOf> } | undefined;

function editsOf({ plan }: SoundPlan, text: string, what: Movable, shift: Vec3): Edit[] | undefined {
  if (parsed?.text !== text) parsed = { text, document: documentOf(text) };
  return moveEntry(text, plan, what, shift, parsed.document);
}

/** The hand begins at noon of the first lit day, and stays inside the grow. */
function lightAt(of: SoundPlan, { day, minute }: At): CheckAnswer['light'] {
  const days = planDays(of.plan);
  if (!days) return undefined;
  const froms = of.plan.batches.flatMap(({ zones }) =>
    zones.flatMap(({ stages }) => stages.filter(({ light }) => light).map(({ from }) => from)),
  );
  const first = froms.length > 0 ? civilDay(Math.min(...froms)) : days.first;
  const at = { day: day >= days.first && day < days.end ? day : first, minute };
  return { at, moment: rackMoment(of, runsOf(of, at.day), at.day, minute) };
}

/** Light that is known holds for the same files only. */
function takeLampFiles(files: Readonly<Record<string, string>>): void {
  const isSame =
    Object.keys(files).length === Object.keys(photometry).length &&
    Object.entries(files).every(([name, text]) => photometry[name] === text);
  if (!isSame || known.influences.size + known.traces.size > KNOWN_MAX) known = nothingKnown();
  photometry = files;
}

function today(timezone: string): CivilDay {
  return civilDayAt(timezone, utcFromUnixMs(Date.now()));
}

function soundOf(compiled: Compiled): SoundPlan | undefined {
  const { plan, timeline, findings } = compiled;
  const failed = findings.some(({ severity }) => severity === 'error');
  return plan === undefined || timeline === undefined || failed ? undefined : { ...compiled, plan, timeline };
}

function faultIn(wanted: readonly string[]): string | undefined {
  try {
    wanted.forEach(parseEvent);
    return undefined;
  } catch (error) {
    return error instanceof Failure ? [error.message, error.hint].filter(Boolean).join(' ') : String(error);
  }
}

/** Goes by these events from now on; why they cannot be read, where they cannot: then by those before. */
function letHappen(wanted: readonly string[]): string | undefined {
  const fault = faultIn(wanted);
  if (fault === undefined && wanted.join('\n') !== events.join('\n')) {
    events = wanted;
    grown = undefined;
  }
  return fault;
}

/** The simulated controllers' day, kept while the hand stays in it, and from text to text; with events, of their whole course. */
function runsOf(plan: SoundPlan, day: CivilDay): readonly Shown[] {
  if (events.length > 0) {
    grown ??= growWeeks(plan, events.map(parseEvent));
    if (grown) return grown.runs;
  }
  if (knownDays.size > KNOWN_DAYS_MAX) knownDays = new Map();
  if (simulated?.day !== day) simulated = { day, runs: simulatedDay(plan, day, knownDays) };
  return simulated.runs;
}

/** All findings; of those alike the first tells where the others are. */
function toldFindings(
  findings: readonly Finding[],
  text: string,
  units: Units,
  plan: ResolvedPlan | undefined,
): ToldFinding[] {
  const groups = new Map(groupFindings(findings, plan).map((group) => [group.told, group]));
  return findings.map((one) => {
    const group = groups.get(one);
    return { ...toldFinding(one, text, units), alike: group && alikeLines(group, units) };
  });
}

function toldFinding(finding: Finding, text: string, units: Units): ToldFinding {
  const { code, severity, span, second } = finding;
  const { title, message, suggestion, second: words } = wordsOf(finding, units);
  return {
    code,
    severity,
    title,
    message,
    suggestion,
    from: span.start,
    to: span.end,
    second: second && { from: second.start, words: words ?? 'see also' },
    fix: fixOf(finding, text),
    alike: [],
  };
}

function answerOf({ kind, ask }: Question): unknown {
  return (HANDLERS[kind] as (ask: Question['ask']) => unknown)(ask);
}

addEventListener('message', async ({ data }: MessageEvent<Question>) => {
  try {
    postMessage({ id: data.id, answer: await answerOf(data) });
  } catch (error) {
    postMessage({ id: data.id, fault: error instanceof Error ? error.message : String(error) });
  }
});
