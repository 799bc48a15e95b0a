/**
 * Words for the finished schedule table, the log, and visits that had to move.
 */

import { count, list, number, some, text, type Words } from './message.ts';

const lines = (facts: readonly string[]) => facts.map((line) => `\n  ${line}`).join('');

export const tableWords = {
  'table-too-large': ({ controller, bytes, limit, costs, remedies }) => ({
    title: 'the light is too large for the board',
    message: `The light of controller \`${text(controller)}\` alone, without any visits, takes ${number(bytes)} bytes; the board has room for ${number(limit)}. What takes the room:${lines(list(costs))}`,
    suggestion:
      list(remedies).length > 0
        ? `What helps, each tried by itself:${lines(list(remedies))}`
        : 'Neither a later day, nor one batch less, nor the same start and photoperiod for all stages makes it fit: spread the zones over more controllers.',
  }),
  'visit-reminders-end': ({ controller, until }) => ({
    title: 'reminders end before the grow',
    message: `The board of controller \`${text(controller)}\` has room for all the light, but not for all the visits: reminders are on the board until ${text(until)}.`,
    suggestion: 'Flash again by then: what is over makes room for what comes.',
  }),
  'log-short': ({ controller, days, perDay }) => ({
    title: 'the log will not last long',
    message: `Controller \`${text(controller)}\` writes about ${number(perDay)} records a day, so its log wraps after ${count(number(days), 'day')}.`,
    suggestion: `Read it at least every ${count(Math.max(1, Math.floor(number(days) * 0.75)), 'day')} with \`leanward log\`.`,
  }),
  'visit-dropped': ({ visits }) => ({
    title: 'visits dropped while you are away',
    message: `${count(list(visits).length, 'visit')} cannot be moved before or after the days away: ${some(list(visits), 6)}.`,
    suggestion: 'Ask somebody to come, or shorten `away`.',
  }),
  'visit-too-many': ({ visits }) => ({
    title: 'more bags than you want in a day',
    message: `${count(list(visits).length, 'visit')} cannot be spread so that no day has more bags than \`most\`: ${some(list(visits), 6)}.`,
    suggestion: 'Raise `most`, or let visits come less often.',
  }),
  'visit-moved': ({ visits }) => ({
    title: 'visits moved',
    message: `${count(list(visits).length, 'visit')} moved to another day: ${some(list(visits), 6)}.`,
  }),
} satisfies Readonly<Record<string, Words>>;
