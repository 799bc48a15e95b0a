/**
 * `visits PLAN --done A lift` and `--undo A lift`: answering a visit from the
 * computer, over the link when a port is named, else in the archive alone.
 *
 * Always holds: over the link the controller itself decides which visit is
 * meant, and logs the answer; a board that the archive knows as another is
 * not answered to; an answer that was given is told, whatever happens after;
 * what is written into the archive alone is a correction, and said to be one.
 */

import { controllerOfZone, zonesOfController } from '../../../../compiler/plan/on-the-rack.ts';
import type { ResolvedPlan } from '../../../../compiler/plan/plan.ts';
import { waitingBatch } from '../../../../compiler/timeline/waiting.ts';
import { itemAt } from '../../../../shared/assert.ts';
import { isoDate } from '../../../../shared/civil.ts';
import type { VisitKind } from '../../../../shared/table.ts';
import { readIntoArchive } from '../../../archive/from-controller.ts';
import { withArchive } from '../../../archive/open.ts';
import { Failure, usage } from '../../../failure.ts';
import { type ArchiveToRead, archiveOf, checkInArchive } from '../../../jobs/archive.ts';
import { contextOf } from '../../../jobs/of-plan.ts';
import { type PortOptions, withController } from '../../../jobs/port.ts';

import {
  answeredWords,
  answerInArchive,
  type GivenAnswer,
  type NamedVisit,
} from '../../../jobs/visits/answer.ts';

import { say, sayJson } from '../../terminal.ts';

export interface AnswerOptions extends PortOptions {
  readonly archive?: string;
  readonly why?: string;
}

/** Answers a visit, or takes the last answer back, on the controller; its log is read at once. */
export async function answerOverLink(
  path: string,
  plan: ResolvedPlan,
  { zone, kind }: NamedVisit,
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

/** Writes a correction into the archive, and says so. */
export async function tellAnswerInArchive(
  plan: ResolvedPlan,
  given: GivenAnswer,
  where: ArchiveToRead,
  json: boolean,
): Promise<void> {
  const answered = await answerInArchive(plan, given, where);
  const { zone, kind, due, outcome } = answered;
  if (json) sayJson({ zone, kind, due: isoDate(due), answer: outcome, on: 'archive' });
  else say(answeredWords(answered, where.place));
}
