/**
 * Words for stages, days, times and visits.
 */

import { clockTime } from '../../../shared/civil.ts';
import { temperatureBand } from '../../../shared/measures.ts';
import { type AllWords, count, some } from './message.ts';

/** A time of day, with 24:00 for the end of the day. */
const clock = (minute: number) => (minute === 1440 ? '24:00' : clockTime(minute));

/** `6 h`, `1 h 30 min` or `45 min`. */
const span = (minutes: number): string => {
  const [hours, rest] = [Math.floor(minutes / 60), minutes % 60];
  return [...(hours > 0 ? [`${hours} h`] : []), ...(rest > 0 ? [`${rest} min`] : [])].join(' ');
};

export const dayWords = {
  'stage-no-days': () => ({
    title: 'a stage of no days',
    message: 'A stage lasts at least one day.',
    suggestion: 'Give it days, or take the stage out.',
  }),
  'stage-long-day': ({ hours }) => ({
    title: 'more than a day of light',
    message: `A photoperiod of ${hours} h does not fit into a day.`,
    suggestion: 'Write at most `24 h`.',
  }),
  'visit-outside-hours': ({ at, hours }) => {
    const times = hours.map((minute) => clock(minute));
    const windows: string[] = [];
    for (let i = 0; i + 1 < times.length; i += 2) windows.push(`${times[i]} to ${times[i + 1]}`);
    return {
      title: 'outside the visiting hours',
      message: `A visit at ${clock(at)} is outside the visiting hours, ${windows.join(' and ')}.`,
      suggestion: 'Change `at`, or widen `hours`.',
      second: 'the visiting hours',
    };
  },
  'stage-too-early': ({ stage, date, after, first }) => ({
    title: 'a stage that begins too early',
    message: first
      ? `Stage \`${stage}\` is the first: it begins on the sealing day ${after}, not on ${date}.`
      : `Stage \`${stage}\` cannot have begun on ${date}: the stage before it began on ${after}.`,
    suggestion: 'Check the date, or correct the stage before it too.',
  }),
  'batch-ended-early': ({ ended, sealed }) => ({
    title: 'ended before it began',
    message: `The batch was sealed on ${sealed}, so it cannot have ended on ${ended}.`,
    suggestion: 'Check both dates.',
    second: 'the sealing day',
  }),
  'batch-moved-early': ({ zone, entered, sealed }) => ({
    title: 'moved before it was sealed',
    message: `The batch was sealed on ${sealed}, so its bags cannot have been moved to zone \`${zone}\` on ${entered}.`,
    suggestion: 'Check both dates.',
    second: 'the sealing day',
  }),
  'mix-not-whole': ({ percent }) => ({
    title: 'the parts do not make a whole',
    message: `The parts of the mix come to ${percent} % and not to 100 %.`,
    suggestion: 'Change the shares so that they come to 100 %.',
  }),
  'value-order': ({ key, from, to, clock: isTime }) => ({
    title: 'from and to are the wrong way round',
    message: `\`${key}\`: the first must come before the second${
      isTime ? `, but ${clock(from)} does not come before ${clock(to)}` : ''
    }.`,
    suggestion: isTime
      ? 'A time over midnight is written in two parts: one up to `24:00`, one from `00:00`.'
      : 'Write the smaller or earlier one first.',
  }),
  'turn-no-lamp': ({ zone, stage }) => ({
    title: 'no lamp to turn the bags to',
    message: `In stage \`${stage}\` the bags of zone \`${zone}\` are to be turned to their lamp, but no side with a lamp can be told.`,
    suggestion:
      'Put a lamp beside the zone, and name the two sides of the bag: `{ sway: [front, back], by: turning }`.',
  }),
  'turn-no-fit': ({ bag, square }) => ({
    title: 'a turn that does not fit',
    message: square
      ? `Bag \`${bag}\` can be turned by quarters only.`
      : `Bag \`${bag}\` is not square, so it can only be turned by half.`,
    suggestion: 'Use two opposite sides: `[left, right]` or `[front, back]`.',
    second: 'the bag',
  }),
  'clock-change': ({ stage, batch, start, date, skipped, until }) => ({
    title: 'a clock change at the start of light',
    message: skipped
      ? `On ${date} the clock skips ${clock(start)}; the light of stage \`${stage}\` (batch \`${batch}\`) then starts at ${clock(until)} and keeps its full length.`
      : `On ${date} the clock reads ${clock(start)} twice; the light of stage \`${stage}\` (batch \`${batch}\`) starts the first time and keeps its full length.`,
    suggestion: 'Nothing needs to be done.',
  }),
  'light-cut': ({ stage, batch, date, minutes, whole, next, nextBatch, nextDate, nextStart }) => {
    const own = `the light of stage \`${stage}\` (batch \`${batch}\`) that begins on ${date}`;
    const lost = whole ? 'is left out' : `ends ${span(minutes)} early`;
    if (stage === next && batch === nextBatch) {
      return {
        title: 'light cut short by a clock change',
        message: `The clock skips time on ${nextDate}: ${own} ${lost}, because the next day's begins on time.`,
        suggestion: 'Nothing needs to be done.',
      };
    }
    const other = batch === nextBatch ? '' : ` (batch \`${nextBatch}\`)`;
    return {
      title: 'light cut where stages meet',
      message: `The light of stage \`${next}\`${other} begins on ${nextDate} at ${clock(nextStart)}, so ${own} ${lost}. A zone has one light at a time, and the later day's goes first.`,
      suggestion: `To keep all of it, let the light of \`${stage}\` end by ${clock(nextStart)}; otherwise nothing needs to be done.`,
    };
  },
  'room-dark': () => ({
    title: 'the room counts as dark',
    message: 'The plan names no other light, so the room counts as dark.',
    suggestion: 'Name a window or room light under `background`; never direct sun.',
  }),
  'room-stage-apart': ({ stage, low, high, roomLow, roomHigh }, units) => ({
    title: 'a stage and the room want different temperatures',
    message: `Stage \`${stage}\` is to be kept at ${temperatureBand({ low, high }, units)}, the room at ${temperatureBand({ low: roomLow, high: roomHigh }, units)}: no temperature is in both.`,
    suggestion: 'Correct one of the two, or move the bags to a room that suits the stage.',
    second: 'the room',
  }),
  'batch-over-early': ({ batch, over, opens, days, stages }) => ({
    title: 'over before its harvest',
    message: `Batch \`${batch}\` is over on ${over}, after ${count(days, 'day')} (${some(stages)}); its harvest opens on ${opens}, so nobody would be reminded of it.`,
    suggestion: 'Write the missing stages into its regime, or let `harvest` begin earlier.',
  }),
  'harvest-unripe': ({ batch, stage, ripens, opens, closes, from, until }) => ({
    title: 'the harvest closes before anything ripens',
    message: `The harvest of batch \`${batch}\` is open from ${opens} to ${closes}, but its stage \`${stage}\` begins on ${ripens}.`,
    suggestion: `Write \`harvest: { from: ${from} d, until: ${until} d }\` for this batch's stages, or correct the stages.`,
    second: 'when to harvest',
  }),
  'harvest-opens-early': ({ batch, stage, ripens, opens, from }) => ({
    title: 'the harvest opens before ripening begins',
    message: `The harvest of batch \`${batch}\` opens on ${opens}, but its stage \`${stage}\` begins on ${ripens}: until then most tips are still pale.`,
    suggestion: `Nothing needs to be done if you mean to pick early; otherwise write \`from: ${from} d\`, or later.`,
    second: 'when to harvest',
  }),
  'batch-kept': ({ days, dark, ended }) => ({
    title: 'kept for eight weeks',
    message: `The last light is kept for ${count(days, 'day')} at most: dark from ${dark}, although the batch ended on ${ended}.`,
  }),
} satisfies Partial<AllWords>;
