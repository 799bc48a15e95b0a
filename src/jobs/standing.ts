/**
 * Where each of a plan's controllers stands by what the archive knows of it: by
 * when its log must be read, and whether it still runs what the plan says.
 *
 * Always holds: no controller is asked; one that the archive never met is left out.
 */

import { civilDayAt, offsetsAround } from '../../compiler/plan/place-time.ts';
import type { ResolvedPlan } from '../../compiler/plan/plan.ts';
import type { VisitOccurrence } from '../../compiler/timeline/visit.ts';
import { utcFromUnixMs } from '../../shared/civil.ts';
import { type CivilDay, utcSeconds } from '../../shared/units.ts';
import { readBy, readByWords } from '../answers/log/ring.ts';
import { remindersOnBoard } from '../answers/visits/on-board.ts';
import { type KnownBoard, knownBoards, lastMs, unreadOf } from '../archive/known.ts';
import type { Archive } from '../archive/open.ts';
import { remindersWords } from '../words/reminders.ts';
import { behindPlan } from './behind.ts';

export interface Standing {
  readonly controller: string;
  /** Civil day on which it was heard of last. */
  readonly met: CivilDay;
  readonly readBy: CivilDay;
  /** How the plan was changed and not flashed, in words. */
  readonly behind: string | undefined;
  /** The last day whose reminders the table that runs has, where the plan goes on after them. */
  readonly remindersUntil: CivilDay | undefined;
}

/** The standing of each controller of the plan in `path` (called `name` in the archive) on `today`; undefined: on the day it was met last. */
export async function standings(
  path: string,
  plan: ResolvedPlan,
  visits: readonly VisitOccurrence[],
  archive: Archive,
  name: string,
  today: CivilDay | undefined,
): Promise<Standing[]> {
  const all: Standing[] = [];
  for (const [index, { name: controller }] of plan.controllers.entries()) {
    const board = (await knownBoards(archive, name, controller)).at(-1);
    if (!board) continue;
    const met = civilDayAt(plan.timezone, utcFromUnixMs(lastMs(board)));
    const by = readBy(plan, visits, { controller: index, unread: unreadOf(board), on: met });
    const day = today ?? met;
    const bytes = board.running?.bytes;
    const offsets = offsetsAround(plan.timezone, utcSeconds(day * 86_400));
    all.push({
      ...{ controller, met, readBy: by, behind: await behindOf(path, index, board, day) },
      remindersUntil: bytes && remindersOnBoard(bytes, visits, index, offsets, day),
    });
  }
  return all;
}

async function behindOf(
  path: string,
  controller: number,
  { running: flashed }: KnownBoard,
  today: CivilDay,
): Promise<string | undefined> {
  if (!flashed) return undefined;
  return behindPlan(path, { controller, bytes: flashed.bytes, flashed }, utcSeconds(today * 86_400));
}

/** The standings in lines. */
export function standingLines(all: readonly Standing[], path: string, today: CivilDay): string[] {
  return [
    ...all.map((one) => readByWords(one.controller, one.readBy, today)),
    ...all.flatMap(({ controller, remindersUntil }) =>
      remindersUntil === undefined ? [] : [`${controller}: ${remindersWords(remindersUntil)}.`],
    ),
    ...behindLines(all, path),
  ];
}

/** A line for each controller that runs something else than the plan says. */
export function behindLines(all: readonly Standing[], path: string): string[] {
  return all.flatMap(({ controller, behind }) =>
    behind === undefined ? [] : [`${controller}: ${behind}. leanward flash ${path} --port PORT puts it on.`],
  );
}
