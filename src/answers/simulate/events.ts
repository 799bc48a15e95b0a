/**
 * What is made to happen to a virtual controller, as the grower writes it:
 * `'2026-04-13 18:00 cut 2h'`, `'+3d press'`, `'2026-04-13 18:00 probe 31 C'`.
 *
 * Always holds: reading an event looks at no clock; a time is civil at the
 * place unless it ends in Z, or counts from the beginning when it starts with +.
 */

import { firstInstant, type UtcOffsets } from '../../../compiler/plan/utc-offsets.ts';
import { parseQuantity } from '../../../compiler/read/quantity.ts';
import type { Trouble } from '../../../firmware-sim/device.ts';
import type { Act } from '../../../firmware-sim/happenings.ts';
import { itemAt } from '../../../shared/assert.ts';
import { dayFromIso, isoInstant } from '../../../shared/civil.ts';
import { type CivilDay, civilDay, type UtcSeconds, utcSeconds } from '../../../shared/units.ts';
import { usage } from '../../failure.ts';

export type EventTime =
  | { readonly kind: 'after'; readonly seconds: number }
  | { readonly kind: 'utc'; readonly day: CivilDay; readonly second: number }
  | { readonly kind: 'civil'; readonly day: CivilDay; readonly second: number };

export type EventAction =
  | { readonly kind: 'cut'; readonly seconds: number }
  | { readonly kind: 'press'; readonly seconds: number }
  /** 1/16 °C; undefined: no probe. */
  | { readonly kind: 'probe'; readonly sixteenths: number | undefined }
  /** `seconds` undefined: until the end. */
  | { readonly kind: 'trouble'; readonly trouble: Trouble; readonly seconds: number | undefined };

export interface WrittenEvent {
  readonly text: string;
  readonly time: EventTime;
  readonly action: EventAction;
}

/** Help text for `--event`, for every command that has it. */
export const EVENT_HELP = `
An event is a time and what happens then:
  '2026-04-13 18:00 cut 2h'         the power goes, for two hours
  '2026-04-13 18:00 press'          someone presses the button (also: long press)
  '2026-04-13 18:00 probe 31 C'     the room's probe reads 31 C (or 88 F; also: probe none)
  '+3d clock stopped'               the clock's battery dies (also: clock silent, tick silent,
                                    bus held, log silent, probe silent, supply low, each with a length: 2h)
Times are civil times at the place; with Z at the end UTC; with + in front counted from now.`;

const TROUBLES: readonly Trouble[] = [
  'clock stopped',
  'clock silent',
  'tick silent',
  'bus held',
  'log silent',
  'probe silent',
  'supply low',
];
const SHORT_PRESS_SECONDS = 0.3;
const LONG_PRESS_SECONDS = 2;
const DAY = 86_400;

/** Reads one event. Throws a usage failure that shows what to write. */
export function parseEvent(text: string): WrittenEvent {
  const time = readTime(text.trim());
  if (time === undefined) {
    throw usage(
      `The event '${text}' has no time that can be read.`,
      "Write '2026-04-13 18:00 cut 2h' or '+3d press'.",
    );
  }
  const action = readAction(time.rest);
  if (action === undefined) {
    throw usage(
      `The event '${text}' does not say what happens.`,
      "Write cut 2h, press, long press, probe with a temperature and its unit, probe none, or a trouble such as 'clock stopped'.",
    );
  }
  return { text, time: time.time, action };
}

/** The instant of a written time or of a civil day's midnight, by the offsets around it; undefined when it is no time. */
export function atInstant(
  when: string | number,
  offsetsNear: (near: UtcSeconds) => UtcOffsets,
): UtcSeconds | undefined {
  const time: EventTime | undefined =
    typeof when === 'number'
      ? { kind: 'civil', day: civilDay(when), second: 0 }
      : readTime(`${when.trim()} `)?.time;
  if (time === undefined || time.kind === 'after') return undefined;
  const near = utcSeconds(time.day * DAY);
  return instantOf(time, near, offsetsNear(near));
}

/** A length of time such as `7d`, `2h 30min` or `90 s`, in seconds; undefined when it is none. */
export function parseLength(text: string): number | undefined {
  const seconds = /^(\d+)\s*s$/.exec(text.trim());
  if (seconds) return Number(seconds[1]);
  const read = parseQuantity(text, 'time');
  return 'value' in read && read.value >= 0 ? Math.round(read.value * 60) : undefined;
}

function readTime(text: string): { time: EventTime; rest: string } | undefined {
  const after = /^\+\s*((?:\d+(?:\.\d+)?\s*(?:wk|min|d|h|s)\s*)+)(.*)$/.exec(text);
  if (after) {
    const seconds = parseLength(itemAt(after, 1));
    return seconds === undefined ? undefined : { time: { kind: 'after', seconds }, rest: itemAt(after, 2) };
  }
  const civil = /^(\d{4}-\d{2}-\d{2})[ T]+(\d{1,2}):(\d{2})(?::(\d{2}))?(Z?)\s+(.*)$/.exec(text);
  const day = civil ? dayFromIso(itemAt(civil, 1)) : undefined;
  if (!civil || day === undefined) return undefined;
  const [hour, minute, second] = [Number(civil[2]), Number(civil[3]), Number(civil[4] ?? 0)];
  if (hour > 23 || minute > 59 || second > 59) return undefined;
  const kind = civil[5] === 'Z' ? 'utc' : 'civil';
  return { time: { kind, day, second: hour * 3600 + minute * 60 + second }, rest: itemAt(civil, 6) };
}

function readAction(text: string): EventAction | undefined {
  const words = text.trim().replace(/\s+/g, ' ');
  if (words === 'press') return { kind: 'press', seconds: SHORT_PRESS_SECONDS };
  if (words === 'long press') return { kind: 'press', seconds: LONG_PRESS_SECONDS };
  if (words === 'probe none') return { kind: 'probe', sixteenths: undefined };
  if (words.startsWith('cut ')) {
    const seconds = parseLength(words.slice(4));
    return seconds === undefined ? undefined : { kind: 'cut', seconds };
  }
  return readTrouble(words) ?? readProbe(words);
}

function readTrouble(words: string): EventAction | undefined {
  const trouble = TROUBLES.find((name) => words === name || words.startsWith(`${name} `));
  if (trouble === undefined) return undefined;
  const rest = words.slice(trouble.length).trim();
  const seconds = rest === '' ? undefined : parseLength(rest);
  return rest !== '' && seconds === undefined ? undefined : { kind: 'trouble', trouble, seconds };
}

function readProbe(words: string): EventAction | undefined {
  if (!words.startsWith('probe ')) return undefined;
  const read = parseQuantity(words.slice(6), 'temperature');
  return 'value' in read ? { kind: 'probe', sixteenths: Math.round(read.value * 16) } : undefined;
}

/**
 * The acts of the events, in order of time. `start` is now; `offsets` turn the
 * civil times of the place into instants. An event in the past is a usage failure.
 */
export function scheduleEvents(
  events: readonly WrittenEvent[],
  start: UtcSeconds,
  offsets: UtcOffsets,
): Act[] {
  const acts = events.flatMap((event) => {
    const at = instantOf(event.time, start, offsets);
    if (at < start) {
      throw usage(
        `The event '${event.text}' lies in the past: the controller's time is ${isoInstant(start)}.`,
        'Give a later time, or one counted from now, such as +2h.',
      );
    }
    return actsOf(event, at);
  });
  return acts.sort((a, b) => a.at - b.at);
}

function instantOf(time: EventTime, start: UtcSeconds, offsets: UtcOffsets): UtcSeconds {
  if (time.kind === 'after') return utcSeconds(start + time.seconds);
  if (time.kind === 'utc') return utcSeconds(time.day * DAY + time.second);
  const minute = Math.floor(time.second / 60);
  return utcSeconds(firstInstant(offsets, time.day, minute) + (time.second % 60));
}

/** An act that is still to come, as data that can be kept in a file. */
export type KeptAct = Pick<Act, 'text' | 'begins' | 'part'>;

/** What makes an act anew. */
export function keptAct({ text, begins, part }: Act): KeptAct {
  return { text, begins, part };
}

/** The act that was kept; undefined when its text is no event. */
export function actAgain({ text, begins, part }: KeptAct): Act | undefined {
  return actsOf(parseEvent(text), begins)[part];
}

function actsOf({ text, action }: WrittenEvent, at: UtcSeconds): Act[] {
  const begin = (apply: Act['apply']): Act => ({ at, text, begins: at, part: 0, apply });
  const end = (after: number, apply: Act['apply']): Act => {
    return { at: utcSeconds(at + after), text, begins: at, part: 1, apply };
  };
  switch (action.kind) {
    case 'cut':
      return [
        begin((device) => device.setPower(false)),
        end(action.seconds, (device) => device.setPower(true)),
      ];
    case 'press':
      return [
        begin((device) => device.setButton(true)),
        end(action.seconds, (device) => device.setButton(false)),
      ];
    case 'probe':
      return [begin((device) => device.setProbe(action.sixteenths))];
    case 'trouble': {
      const { trouble, seconds } = action;
      const first = begin((device) => device.setTrouble(trouble, true));
      if (seconds === undefined) return [first];
      return [first, end(seconds, (device) => device.setTrouble(trouble, false))];
    }
  }
}
