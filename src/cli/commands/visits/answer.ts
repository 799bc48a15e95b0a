/**
 * `visits PLAN --done A lift` and `--undo A lift`: answering a visit from the
 * computer, over the link when a port is named, else in the archive alone.
 *
 * Always holds: over the link the controller itself decides which visit is
 * meant, and logs the answer; a board that the archive knows as another is
 * not answered to; an answer that was given is told, whatever happens after;
 * what is written into the archive alone is a correction, and said to be one.
 */

import { randomUUID } from 'node:crypto';
import { controllerOfZone, zonesOfController } from '../../../../compiler/plan/on-the-rack.ts';
import type { ResolvedPlan } from '../../../../compiler/plan/plan.ts';
import type { VisitOccurrence } from '../../../../compiler/timeline/visit.ts';
import { waitingBatch } from '../../../../compiler/timeline/waiting.ts';
import { itemAt } from '../../../../shared/assert.ts';
import { isoDate } from '../../../../shared/civil.ts';
import { VISIT_KINDS, type VisitKind } from '../../../../shared/table.ts';
import type { CivilDay } from '../../../../shared/units.ts';
import { correct, type VisitOutcome, visitPlace, visitPlaceNamed } from '../../../answers/visits/outcomes.ts';
import { isDone } from '../../../answers/visits/remember.ts';
import { readCorrections, writeCorrection } from '../../../archive/corrections.ts';
import { readIntoArchive } from '../../../archive/from-controller.ts';
import { withArchive } from '../../../archive/open.ts';
import { Failure, usage } from '../../../failure.ts';
import { type ArchiveToRead, archiveOf, checkInArchive } from '../../../jobs/archive.ts';
import { contextOf } from '../../../jobs/of-plan.ts';
import { type PortOptions, withController } from '../../../jobs/port.ts';
import { list } from '../../../words/lists.ts';
import { say, sayJson } from '../../terminal.ts';

export interface AnswerOptions extends PortOptions {
  readonly archive?: string;
  readonly why?: string;
}

/** The visit that two words name, such as `A lift`; `spring look` of a batch that is not on the rack yet. */
export function visitNamed(plan: ResolvedPlan, words: readonly string[]): { zone: number; kind: VisitKind } {
  const [zoneName = '', kindName = ''] = words;
  const zone = visitPlaceNamed(plan, zoneName) ?? visitPlaceNamed(plan, `batch ${zoneName}`);
  const kind = VISIT_KINDS.find((one) => one === kindName);
  if (zone === undefined)
    throw usage(`The plan has no zone '${zoneName}'.`, `It has ${list(plan.zones.map((one) => one.name))}.`);
  if (!kind)
    throw usage(
      `'${kindName}' is no kind of visit.`,
      `Write one of ${list(VISIT_KINDS)}, as in --done ${zoneName} lift.`,
    );
  return { zone, kind };
}

/** Answers a visit, or takes the last answer back, on the controller; its log is read at once. */
export async function answerOverLink(
  path: string,
  plan: ResolvedPlan,
  { zone, kind }: { readonly zone: number; readonly kind: VisitKind },
  what: 'done' | 'takeBack',
  options: AnswerOptions,
): Promise<void> {
  if (waitingBatch(zone) !== undefined)
    throw usage('A controller knows no bags that are not on its rack yet.', 'Leave --port out.');
  const index = controllerOfZone(plan, zone);
  const bit = zonesOfController(plan, index).indexOf(zone);
  const zoneName = itemAt(plan.zones, zone).name;
  const { place, name } = archiveOf(path, options);
  const inPlan = { plan: name, controller: itemAt(plan.controllers, index).name };
  const answer = what === 'done' ? 'done' : 'undone';
  const words =
    what === 'done'
      ? `${kind} in ${zoneName}: done.`
      : `${kind} in ${zoneName}: the last answer was taken back.`;
  await withController(options, contextOf(plan, index), async (controller) => {
    const { identity } = await controller.status();
    await checkInArchive(path, options, { controller: inPlan.controller, identity, spare: false });
    if (!(await controller.answerVisit(kind, 1 << bit, what))) throw nothingToAnswer(kind, zoneName, what);
    try {
      await withArchive(place, Date.now(), (archive) =>
        readIntoArchive(archive, controller, inPlan, { setClock: false }),
      );
    } catch (error) {
      throw answeredOnly(error, words, answer);
    }
  });
  if (options.json) sayJson({ zone: zoneName, kind, answer, on: 'controller' });
  else say(words);
}

/** The controller has the answer, the archive does not yet: both are said. */
function answeredOnly(error: unknown, words: string, answer: 'done' | 'undone'): unknown {
  if (!(error instanceof Failure)) return error;
  const { kind, message, hint, reason, exitCode } = error;
  return new Failure(kind, `${words} The controller knows it, but its log was not kept: ${message}`, {
    ...{ hint, reason, exitCode, details: { answer, on: 'controller' } },
  });
}

function nothingToAnswer(kind: VisitKind, zone: string, what: 'done' | 'takeBack'): Failure {
  const message =
    what === 'done'
      ? `The controller has no ${kind} in ${zone} that is due, or due soon enough.`
      : `The controller knows no answer to a ${kind} in ${zone} in the last seven days.`;
  return new Failure('link', message, {
    hint: 'Without --port the correction is written into the archive alone.',
    reason: 'no such visit',
  });
}

/** Writes a correction into the archive: of the newest visit that was due by `today`. */
export async function answerInArchive(
  plan: ResolvedPlan,
  visits: readonly VisitOccurrence[],
  named: { readonly zone: number; readonly kind: VisitKind },
  outcome: 'done' | 'undone',
  today: CivilDay,
  { place, name }: ArchiveToRead,
  options: AnswerOptions,
): Promise<void> {
  const zone = visitPlace(plan, named.zone);
  const now = Date.now();
  const visit = await withArchive(place, now, async (archive) => {
    const outcomes = correct(new Map(), await readCorrections(archive, name, plan));
    const due = visitMeant(visits, named, outcome, outcomes, today);
    if (!due) throw usage(`No ${named.kind} in ${zone} was due by ${isoDate(today)}.`);
    await writeCorrection(archive, {
      ...{ id: randomUUID(), plan: name, zone, kind: named.kind, dueDay: due.day, doneDay: today },
      ...{ outcome, why: options.why, writtenMs: now },
    });
    return due;
  });
  if (options.json) {
    sayJson({ zone, kind: named.kind, due: isoDate(visit.day), answer: outcome, on: 'archive' });
    return;
  }
  const word = outcome === 'done' ? 'done' : 'not done';
  say(
    `${named.kind} in ${zone} of ${isoDate(visit.day)}: kept as ${word} in ${place} (the controller does not know).`,
  );
}

/**
 * The newest visit that was due by `today`; where that is done already, one that is due soon enough (within
 * half its interval, as on the controller), else that one once more.
 */
function visitMeant(
  visits: readonly VisitOccurrence[],
  named: { readonly zone: number; readonly kind: VisitKind },
  outcome: 'done' | 'undone',
  outcomes: ReadonlyMap<string, VisitOutcome>,
  today: CivilDay,
): VisitOccurrence | undefined {
  const own = visits.filter(({ zone, kind }) => zone === named.zone && kind === named.kind);
  const newest = own.findLast(({ day }) => day <= today);
  if (outcome === 'undone' || (newest && !isDone(outcomes, newest))) return newest;
  const next = own.find(({ day }) => day > today);
  const isSoon = next !== undefined && next.kind !== 'harvest' && 2 * (next.day - today) <= next.interval;
  return isSoon && newest !== undefined ? next : newest;
}
