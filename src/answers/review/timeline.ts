/**
 * Levels of one controller over true time: what was planned and what was shown.
 *
 * Always holds: points ascend; each holds until the next; before a controller's
 * first record it was not there, unless earlier ones were lost.
 */

import { OUTPUTS, openSchedule, type Schedule, traceTable } from '../../../firmware-sim/schedule.ts';
import { itemAt } from '../../../shared/assert.ts';
import type { Story } from './story.ts';

/** Levels from `at` on; undefined: unknown. `why` tells why nothing was shown, where it is known. */
export interface Point {
  readonly at: number;
  readonly levels: Uint8Array | undefined;
  readonly why: 'run' | 'off' | 'none' | 'unknown' | 'unread';
}

/** What the controller showed; unknown where records were lost and no proof covers the time, unread after it. */
export function shownLine(story: Story | undefined): Point[] {
  if (!story) return [{ at: Number.NEGATIVE_INFINITY, levels: undefined, why: 'unread' }];
  const points: Point[] = [
    story.blindBefore
      ? { at: Number.NEGATIVE_INFINITY, levels: undefined, why: 'unknown' }
      : { at: Number.NEGATIVE_INFINITY, levels: new Uint8Array(OUTPUTS), why: 'none' },
    ...story.changes.map(({ at, levels, state }) => ({ at, levels, why: state })),
  ];
  const holes = unknownSpans(story);
  const end: Point = { at: story.until, levels: undefined, why: 'unread' };
  return [...holes.reduce(blank, points).filter((point) => point.at < end.at), end];
}

/** Stretches in which records were lost and which no proof covers. */
export function unknownSpans(story: Story): { from: number; until: number }[] {
  const proved = story.proofs.filter((one) => one.result === 'proved');
  return proved.reduce<{ from: number; until: number }[]>(
    (spans, proof) => spans.flatMap((span) => without(span, proof)),
    story.lost.map(({ from, until }) => ({ from, until })),
  );
}

function without(
  span: { from: number; until: number },
  taken: { readonly from: number; readonly until: number },
): { from: number; until: number }[] {
  if (taken.until <= span.from || taken.from >= span.until) return [span];
  return [
    { from: span.from, until: taken.from },
    { from: taken.until, until: span.until },
  ].filter((one) => one.until > one.from);
}

/** Makes a stretch of a line unknown. */
function blank(points: readonly Point[], span: { readonly from: number; readonly until: number }): Point[] {
  const before = points.filter((point) => point.at < span.from);
  const last = points.findLast((point) => point.at <= span.until);
  const after = points.filter((point) => point.at > span.until);
  const back: Point[] = last ? [{ ...last, at: span.until }] : [];
  return [...before, { at: span.from, levels: undefined, why: 'unknown' }, ...back, ...after];
}

/**
 * What the tables asked for: each from when it began to run; before the first,
 * and where the archive lacks a table's bytes, the plan's present one.
 */
export function plannedLine(
  story: Story | undefined,
  present: Uint8Array | undefined,
  from: number,
  until: number,
): Point[] {
  const now = present && openSchedule(present);
  const steps: { at: number; schedule: Schedule | undefined }[] = [
    { at: from, schedule: story && story.from < from ? undefined : now },
    ...(story?.tables ?? []).map(({ at, schedule }) => ({ at, schedule: schedule ?? now })),
  ];
  // The table that ran when the stretch began is the last one before it.
  const first = steps.findLast((step) => step.at <= from && step.schedule) ?? { at: from, schedule: now };
  const rest = steps.filter((step) => step.at > from && step.at < until);
  const all = [{ ...first, at: from }, ...rest];
  return all.flatMap((step, i) => tablePoints(step.schedule, step.at, all[i + 1]?.at ?? until));
}

function tablePoints(schedule: Schedule | undefined, from: number, until: number): Point[] {
  if (!schedule) return [{ at: from, levels: new Uint8Array(OUTPUTS), why: 'none' }];
  if (until <= from) return [];
  return [...traceTable(schedule.bytes, from, until)].map(({ utc, levels }) => ({
    at: utc,
    levels,
    why: 'run' as const,
  }));
}

/** Walks along a line; instants must not go back. */
export class Walker {
  private readonly points: readonly Point[];
  private index = 0;

  constructor(points: readonly Point[]) {
    this.points = points;
  }

  at(time: number): Point | undefined {
    while (this.index + 1 < this.points.length && itemAt(this.points, this.index + 1).at <= time)
      this.index += 1;
    const point = this.points[this.index];
    return point && point.at <= time ? point : undefined;
  }
}
