import { describe, expect, it } from 'vitest';
import { offsetsFor } from '../../../compiler/plan/utc-offsets.ts';
import { Happenings } from '../../../firmware-sim/happenings.ts';
import { isoInstant, utcFromUnixMs } from '../../../shared/civil.ts';
import { parseEvent, parseLength, scheduleEvents } from '../../../src/answers/simulate/events.ts';
import { Responder } from './responder.ts';

const at = (iso: string) => utcFromUnixMs(Date.parse(iso));
const START = at('2026-03-20T00:00:00Z');
const LISBON = offsetsFor('Europe/Lisbon', at('2026-01-01T00:00:00Z'), at('2026-12-31T00:00:00Z'));

function instants(...texts: string[]): string[] {
  return scheduleEvents(texts.map(parseEvent), START, LISBON).map((act) => isoInstant(act.at));
}

describe('events as a grower writes them', () => {
  it('reads civil times at the place, over the clock change of 2026-03-29 (IANA, through Intl)', () => {
    expect(instants('2026-03-28 18:00 press')[0]).toBe('2026-03-28T18:00:00Z');
    expect(instants('2026-03-30 18:00 press')[0]).toBe('2026-03-30T17:00:00Z');
    expect(instants('2026-03-30T18:00:05Z probe none')[0]).toBe('2026-03-30T18:00:05Z');
    expect(instants('+1d 2h press')[0]).toBe('2026-03-21T02:00:00Z');
  });

  it('cuts the power and gives it back, and puts acts in order', () => {
    expect(instants('+3h press', '+1h cut 90min')).toEqual([
      '2026-03-20T01:00:00Z',
      '2026-03-20T02:30:00Z',
      '2026-03-20T03:00:00Z',
      expect.stringMatching(/^2026-03-20T03:00:00/),
    ]);
  });

  it('reads degrees of both kinds and troubles with and without an end', () => {
    expect(parseEvent('+1h probe 31 C').action).toEqual({ kind: 'probe', sixteenths: 496 });
    expect(parseEvent('+1h probe 70 F').action).toEqual({
      kind: 'probe',
      sixteenths: Math.round(((70 - 32) * 5 * 16) / 9),
    });
    expect(parseEvent('+1h clock stopped').action).toEqual({
      kind: 'trouble',
      trouble: 'clock stopped',
      seconds: undefined,
    });
    expect(parseEvent('+1h supply low 2 h').action).toEqual({
      kind: 'trouble',
      trouble: 'supply low',
      seconds: 7200,
    });
  });

  it.each([
    '',
    'press',
    '2026-02-30 10:00 press',
    '2026-03-21 25:00 press',
    '+2d',
    '+2d sneeze',
    '+2d cut',
    '+1d cut 3 kg',
    '+1d probe 3 h',
    '+1h clock stopped soon',
  ])('refuses %j with a sentence', (text) => {
    expect(() => parseEvent(text)).toThrow(expect.objectContaining({ kind: 'usage' }));
  });

  it('refuses what lies in the past', () => {
    expect(() => instants('2026-03-19 10:00 press')).toThrow(/lies in the past/);
  });

  it('reads lengths of time', () => {
    expect(parseLength('7d')).toBe(604_800);
    expect(parseLength('2h 30min')).toBe(9000);
    expect(parseLength('90 s')).toBe(90);
    expect(parseLength('-1h')).toBeUndefined();
    expect(parseLength('soon')).toBeUndefined();
  });
});

describe('the world', () => {
  it('acts at the very instant, however time is cut into pieces', () => {
    for (const piece of [1, 700, 3_600_000]) {
      const device = new Responder();
      const seen: [number, boolean][] = [];
      device.setPower = (on) => seen.push([device.micros, on]);
      const world = new Happenings(device);
      world.schedule(scheduleEvents([parseEvent('+10s cut 5 s')], device.utc, LISBON));
      for (let passed = 0; passed < 20_000; passed += piece) world.advance(piece * 1000);
      expect(seen).toEqual([
        [10_000_000, false],
        [15_000_000, true],
      ]);
      expect(world.pending).toEqual([]);
    }
  });
});
