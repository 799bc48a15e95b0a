/** Sentences of the review that must not stand beside their opposite, one test each. */

import { describe, expect, it } from 'vitest';
import { compilePlan } from '../../../../compiler/compile.ts';
import { itemAt } from '../../../../shared/assert.ts';
import { FAULT, type LogRecord } from '../../../../shared/log.ts';
import { utcSeconds } from '../../../../shared/units.ts';
import { happenedLines } from '../../../../src/answers/review/happened.ts';
import { type Incident, storyIncidents } from '../../../../src/answers/review/incidents.ts';
import { replay } from '../../../../src/answers/review/replay.ts';
import { clockWasWrong, driftWords } from '../../../../src/answers/review/text.ts';
import { shareWords } from '../../../../src/answers/review/verdict.ts';
import { incidentLines } from '../../../../src/answers/review/words.ts';
import { flashedCrc } from '../../../../src/archive/flashed.ts';
import { recordWords, setMeanwhile } from '../../../../src/words/controller.ts';
import { NO_NAMES } from '../../../../src/words/names.ts';
import { boards, day, sampleText } from '../visits/plan.ts';
import { SimWorld } from './world.ts';

const DAY = 86_400;
const HOUR = 3600;
const FIRST = day('2026-04-01');
const OFFSETS = { initialQuarters: 0, changes: [] };
const TWO = { offsets: OFFSETS, names: { left: NO_NAMES, right: NO_NAMES } };
const at = (offset: number, hour = 18): number => (FIRST + offset) * DAY + hour * HOUR;

describe('one sentence is never printed beside its opposite', () => {
  it('light came within a second, beside a clock that was days behind', () => {
    const drift = { secondsPerWeek: 0.2, mostSeconds: 0.6, readings: 4 };
    const clock = (behind: number | undefined): Incident => ({
      ...{
        kind: 'clock',
        at: at(1),
        until: behind === undefined ? undefined : at(2),
        behind,
        controller: 'left',
      },
    });
    for (const [behind, wrong] of [
      [122_400, true],
      [undefined, true],
      [0, false],
    ] as const) {
      const incidents = [clock(behind)];
      expect(clockWasWrong({ incidents }, 'left')).toBe(wrong);
      expect(clockWasWrong({ incidents }, 'right')).toBe(false);
      const words = driftWords(drift, clockWasWrong({ incidents }, 'left'));
      expect(words?.includes('light came within')).toBe(!wrong);
    }
  });

  it('a clock that kept time is not told by a drift of nothing', () => {
    const drift = { secondsPerWeek: -0.04, mostSeconds: 0, readings: 4 };
    expect(driftWords(drift, false)).toBe('its clock kept time to within 1 s');
    expect(driftWords(drift, true)).toBe('its clock keeps time while nothing disturbs it');
    expect(driftWords({ ...drift, secondsPerWeek: -0.06 }, false)).toContain('loses 0.1 s a week');
    expect([0, 0.0004, 0.0012, 0.9].map(shareWords)).toEqual([
      ...['none of its light', 'less than 0.1 % of its light', '0.1 % of its light', '90.0 % of its light'],
    ]);
  });

  it('a day is unexplained once, however many boards tell of it', () => {
    const odd = Array.from(
      { length: 8 },
      (_, i): Incident => ({
        ...{
          kind: 'unexplained',
          at: at(Math.floor(i / 2), 0),
          day: FIRST,
          controller: i % 2 ? 'left' : 'right',
        },
      }),
    );
    const review = { incidents: odd, notes: [], from: FIRST, until: FIRST };
    expect(happenedLines(review, TWO)[0]).toMatch(/^4 days from 2026-04-01 to 2026-04-04 are unexplained/);
  });

  it('a visit of a zone is told of the controller that the zone hangs on', () => {
    const missed = (zone: string, controller: string): Incident => ({
      ...{
        kind: 'visit',
        at: at(1),
        zone,
        visit: 'lift',
        answer: 'missed',
        lateMinutes: undefined,
        controller,
      },
    });
    expect(incidentLines([missed('A', 'left'), missed('C', 'right')], TWO).map((line) => line.words)).toEqual(
      ['2026-04-02 18:00  left: lift in A was missed', '2026-04-02 18:00  right: lift in C was missed'],
    );
  });

  it('a fault of 15 hours lasted 15 hours, though the clock was set forward by 34 meanwhile', () => {
    const common = { partial: false, estimated: false };
    const records: LogRecord[] = [
      {
        ...common,
        sequence: 5,
        type: 'fault',
        time: utcSeconds(at(0)),
        fault: FAULT.clockStopped,
        entered: 1,
        detail: 0,
      },
      {
        ...common,
        sequence: 6,
        type: 'clockSet',
        time: utcSeconds(at(2, 19)),
        forward: 34 * HOUR,
        oldSub: 0,
      },
      {
        ...{ ...common, sequence: 7, type: 'fault', time: utcSeconds(at(2, 19)) },
        ...{ fault: FAULT.clockStopped, entered: 0, detail: at(0) },
      },
    ];
    expect(recordWords(itemAt(records, 2), NO_NAMES, setMeanwhile(records, 2))).toContain('(lasted 15 h)');
    // Where its beginning is not among the records, nobody can say how long it lasted.
    expect(recordWords(itemAt(records, 2), NO_NAMES, setMeanwhile(records.slice(1), 1))).not.toContain(
      'lasted',
    );
  });

  it('a length that an estimated clock told is no length to the minute', () => {
    const table = itemAt(compilePlan(sampleText('pantry'), { boards }).tables, 0).encoded.bytes;
    const world = new SimWorld(table, at(0, 10));
    world.live(
      [
        { at: at(1, 12), act: (one) => one.device.setPower(false) },
        { at: at(1, 15), act: (one) => one.device.setPower(true) },
        { at: at(3, 12), act: (one) => one.device.setTrouble('clock stopped', true) },
        { at: at(3, 12) + 1, act: (one) => one.device.setPower(false) },
        { at: at(3, 18), act: (one) => one.device.setPower(true) },
        { at: at(3, 20), act: (one) => one.hand(2, true) },
        { at: at(3, 21), act: (one) => one.device.setTrouble('clock stopped', false) },
        { at: at(3, 22), act: (one) => one.device.setPower(false) },
        { at: at(4, 0), act: (one) => one.device.setPower(true) },
      ],
      at(5, 10),
    );
    world.readLog();
    const crc = flashedCrc(table);
    const story = replay({
      ...{ records: world.records(), tables: new Map([[crc, table]]), flashedAt: new Map() },
      ...{ before: crc, lostBefore: false, outputs: 8, readUntil: at(5, 10), setAfter: undefined },
    });
    const incidents = storyIncidents(story, 'left', at(0, 0), at(6, 0));
    const words = incidentLines(incidents, TWO).map((line) => line.words);
    expect(words.filter((line) => /power|by hand/.test(line))).toEqual([
      expect.stringMatching(/no power for 3 h$/),
      expect.stringMatching(/power came back; when it had failed is unknown/),
      expect.stringMatching(/no power for about 2 h( 1 min)? \(by an estimated clock\)$/),
      expect.stringMatching(/by hand for about 10 min \(by an estimated clock\)$/),
    ]);
  });

  it('a clock that was set right after its log was read needs no setting', () => {
    const table = itemAt(compilePlan(sampleText('pantry'), { boards }).tables, 0).encoded.bytes;
    const world = new SimWorld(table, at(0, 10));
    world.live(
      [
        { at: at(1, 10), act: (one) => one.device.setTrouble('clock stopped', true) },
        { at: at(1, 11), act: (one) => one.device.setPower(false) },
        { at: at(1, 15), act: (one) => one.device.setPower(true) },
        { at: at(1, 16), act: (one) => one.device.setTrouble('clock stopped', false) },
      ],
      at(2, 12),
    );
    world.readLog();
    const crc = flashedCrc(table);
    const input = {
      ...{
        records: world.records(),
        tables: new Map([[crc, table]]),
        before: crc,
        lostBefore: false,
        outputs: 8,
      },
      readUntil: undefined,
    };
    expect(replay(input).estimated).toMatchObject([{ until: undefined }]);
    const [span] = replay({ ...input, setAfter: 3600 }).estimated;
    expect(span).toMatchObject({ behind: 3600 });
    expect(span?.until).toBeDefined();
  });
});
