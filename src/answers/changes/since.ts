/**
 * What a plan says otherwise than it did when a table was flashed, in the
 * plan's own terms: `climb sways every 5 d`.
 *
 * Always holds: a difference is told once, however many batches it holds for;
 * plans that ask for the same tell nothing.
 */

import type { Lean, ResolvedPlan, ResolvedStage, VisitRule } from '../../../compiler/plan/plan.ts';
import { clockTime, isoDate } from '../../../shared/civil.ts';
import { lengthWords } from '../../words/lengths.ts';
import { list } from '../../words/lists.ts';

/** The differences, each a few words, in the order of the later plan. */
export function planDifferences(before: ResolvedPlan, after: ResolvedPlan): string[] {
  return [
    ...new Set([
      ...sharedFirst(after, (batch) => batchDifferences(before, after, batch)),
      ...gone(before.batches, after.batches).map((name) => `batch ${name} is out of the plan`),
      ...lampDifferences(before, after),
      ...visitDifferences(before, after),
      ...told(before.timezone, after.timezone, `the place is in ${after.timezone}`),
      ...told(before.clock, after.clock, `clock: ${after.clock}`),
      ...told(before.room, after.room, 'the room has another band'),
    ]),
  ];
}

type Batch = ResolvedPlan['batches'][number];

/** What holds for all batches is told without naming them. */
function sharedFirst(plan: ResolvedPlan, differences: (batch: Batch) => readonly string[]): string[] {
  const all = plan.batches.map((batch) => ({ name: batch.name, words: new Set(differences(batch)) }));
  return all.flatMap(({ name, words }) =>
    [...words].map((one) =>
      all.every((other) => other.words.has(one)) || one.includes(name) ? one : `${one} (${name})`,
    ),
  );
}

function gone(
  before: readonly { readonly name: string }[],
  after: readonly { readonly name: string }[],
): string[] {
  return before.map((one) => one.name).filter((name) => !after.some((one) => one.name === name));
}

function told(before: unknown, after: unknown, words: string): string[] {
  return JSON.stringify(before) === JSON.stringify(after) ? [] : [words];
}

function batchDifferences(before: ResolvedPlan, after: ResolvedPlan, batch: Batch): string[] {
  const old = before.batches.find((one) => one.name === batch.name);
  if (!old) return [`batch ${batch.name} is new`];
  const zoneName = (plan: ResolvedPlan, zone: number): string => plan.zones[zone]?.name ?? '';
  return batch.zones.flatMap((stay) => {
    const name = zoneName(after, stay.zone);
    const was = old.zones.find((one) => zoneName(before, one.zone) === name);
    if (!was) return [`${batch.name} stands in ${name}`];
    const stages = stay.stages.flatMap((stage) => stageDifferences(was.stages, stage));
    return [
      ...told(was.enters, stay.enters, `${batch.name} comes into ${name} on ${isoDate(stay.enters)}`),
      ...stages,
      ...gone(was.stages, stay.stages).map((stage) => `${batch.name} has no stage ${stage} any more`),
      // Stages that last otherwise say it already.
      ...(stages.length > 0
        ? []
        : told(was.free, stay.free, `${batch.name} leaves ${name} on ${isoDate(stay.free)}`)),
    ];
  });
}

function stageDifferences(before: readonly ResolvedStage[], stage: ResolvedStage): string[] {
  const { name, days, light, level, lean, lift, look, keep } = stage;
  const was = before.find((one) => one.name === name);
  if (!was) return [`stage ${name} is new`];
  const lit = light
    ? `is lit ${lengthWords(light.photoperiod)} a day from ${clockTime(light.start)}`
    : 'is dark';
  return [
    ...told(leanFacts(was.lean), leanFacts(lean), `${name} ${leanWords(lean)}`),
    ...told(was.light, light, `${name} ${lit}`),
    ...told(was.level, level, `${name} asks for another level`),
    ...told(was.days, days, `${name} lasts ${days} d`),
    ...told(was.lift, lift, `${name}: ${ruleWords('lift', lift)}`),
    ...told(was.look, look, `${name}: ${ruleWords('look', look)}`),
    ...told(was.keep, keep, `${name} is to be kept at another temperature`),
  ];
}

/** A side that is held has no turns: how long it is held is how long its stage lasts, which is told as that. */
function leanFacts(lean: Lean): unknown {
  return lean.kind === 'sides' && lean.motion === 'hold' ? { ...lean, every: 0 } : lean;
}

function leanWords(lean: Lean): string {
  if (lean.kind === 'upright') return 'is upright';
  if (lean.motion === 'hold') return 'holds another side';
  return `${lean.motion === 'sway' ? 'sways' : 'winds'} every ${lean.every} d`;
}

function ruleWords(kind: string, rule: VisitRule | undefined): string {
  if (!rule) return `no ${kind}`;
  const when = rule.recur.kind === 'every' ? `every ${rule.recur.days} d` : 'on other weekdays';
  return `${kind} ${when} at ${clockTime(rule.at)}`;
}

function lampDifferences(before: ResolvedPlan, after: ResolvedPlan): string[] {
  const facts = ({ span: _, ...rest }: ResolvedPlan['lamps'][number]): unknown => rest;
  const changed = after.lamps.filter((lamp) => {
    const was = before.lamps.find((one) => one.name === lamp.name);
    return !was || JSON.stringify(facts(was)) !== JSON.stringify(facts(lamp));
  });
  const names = [...changed.map((lamp) => lamp.name), ...gone(before.lamps, after.lamps)];
  return names.length === 0 ? [] : [`${list(names)} changed`];
}

function visitDifferences(before: ResolvedPlan, after: ResolvedPlan): string[] {
  const was = rulesOnly(before);
  const now = rulesOnly(after);
  return told(was, now, 'the rules for visits changed');
}

/** `the board runs the table of 2026-04-03; since then: climb sways every 5 d`. */
export function behindWords(flashed: string | undefined, differences: readonly string[]): string {
  const table = flashed === undefined ? 'another table' : `the table of ${flashed}`;
  const what = differences.length > 0 ? list(differences) : 'what it asks for from now on is otherwise';
  return `the board runs ${table}; since then the plan changed: ${what}`;
}

/** The rules for visits without where they are written. */
function rulesOnly({ visits }: ResolvedPlan): unknown {
  const { span: _, harvest, ...rest } = visits;
  return { ...rest, harvest: harvest && [harvest.from, harvest.until, harvest.at] };
}
