/**
 * Words for the finished schedule table, the log, and visits that had to move.
 */

import type { CostFacts, MovedVisit, TableRemedy } from '../facts.ts';
import { type AllWords, count, some } from './message.ts';

const lines = (each: readonly string[]) => each.map((line) => `\n  ${line}`).join('');

/** What a part of a table is, where there are so many of its kind. */
const PARTS: Readonly<Record<CostFacts['part'], (count: number) => string>> = {
  patterns: (many) => `${many} different days of light`,
  tracks: (many) => `${many} courses over the weeks`,
  bindings: (many) => `${many} outputs or sets of outputs with a course`,
  offsets: (many) => `${many} clock changes`,
  frame: () => 'frame, limits, hours, room',
};

function remedyWords(remedy: TableRemedy): string {
  switch (remedy.kind) {
    case 'later-day':
      return `from ${remedy.day} on it fits, when batches are over that take room now`;
    case 'same-start':
      return 'give all lit stages the same start and photoperiod';
    case 'own-controller':
      return `put batch \`${remedy.batch}\` on a controller of its own`;
  }
}

/** `lift of A on 2026-04-13` or `… to 2026-04-15`. */
const visitWords = ({ kind, zone, day, to }: MovedVisit): string =>
  `${kind} of ${zone} on ${day}${to === undefined ? '' : ` to ${to}`}`;

export const tableWords = {
  'table-too-large': ({ controller, bytes, limit, tooMany, costs, remedies }) => ({
    title: 'the light is too large for the board',
    message: `The light of controller \`${controller}\` alone, without any visits, ${[...(bytes > limit ? [`takes ${bytes} bytes; the board has room for ${limit}`] : []), ...tooMany.map(({ part, count: many, most }) => `has ${PARTS[part](many)}; a table can have ${most}`)].join('; it ')}. What takes the room:${lines(costs.map(({ part, count: many, bytes: size }) => `${PARTS[part](many)}: ${size} bytes`))}`,
    suggestion:
      remedies.length > 0
        ? `What helps, each tried by itself:${lines(remedies.map(remedyWords))}`
        : 'Neither a later day, nor one batch less, nor the same start and photoperiod for all stages makes it fit: spread the zones over more controllers.',
  }),
  'visit-reminders-end': ({ controller, until }) => ({
    title: 'reminders end before the grow',
    message: `The board of controller \`${controller}\` has room for all the light, but not for all the visits: reminders are on the board until ${until}.`,
    suggestion: 'Flash again by then: what is over makes room for what comes.',
  }),
  'log-short': ({ controller, days, perDay }) => ({
    title: 'the log will not last long',
    message: `Controller \`${controller}\` writes about ${perDay} records a day, so its log wraps after ${count(days, 'day')}.`,
    suggestion: `Read it at least every ${count(Math.max(1, Math.floor(days * 0.75)), 'day')} with \`leanward log\`.`,
  }),
  'visit-dropped': ({ visits }) => ({
    title: 'visits dropped while you are away',
    message: `${count(visits.length, 'visit')} cannot be moved before or after the days away: ${some(visits.map(visitWords), 6)}.`,
    suggestion: 'Ask somebody to come, or shorten `away`.',
  }),
  'visit-too-many': ({ visits }) => ({
    title: 'more bags than you want in a day',
    message: `${count(visits.length, 'visit')} cannot be spread so that no day has more bags than \`most\`: ${some(visits.map(visitWords), 6)}.`,
    suggestion: 'Raise `most`, or let visits come less often.',
  }),
  'harvest-reminds-away': ({ reminders }) => ({
    title: 'reminders while you are away',
    message: `A harvest stays open around your days away, so the board reminds of it then too (${count(reminders.length, 'reminder')}): ${some(reminders.map(visitWords), 6)}.`,
    suggestion: 'Nothing needs to be done: `visits` and the calendar leave those days out.',
  }),
  'visit-moved': ({ visits, joined }) => {
    const elsewhere = `${count(visits.length, 'visit')} moved to another day: ${some(visits.map(visitWords), 6)}.`;
    const less = `${count(joined.length, 'visit')} left out, because one of the same kind is near: ${some(joined.map(visitWords), 6)}.`;
    const message = [...(visits.length > 0 ? [elsewhere] : []), ...(joined.length > 0 ? [less] : [])];
    return { title: 'visits moved', message: message.join('\n') };
  },
} satisfies Partial<AllWords>;
