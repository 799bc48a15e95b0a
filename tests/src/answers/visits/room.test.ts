/** What is said of the room where stages want temperatures of their own: in the list of visits and on the bag sheet. */

import { describe, expect, it } from 'vitest';
import { itemAt } from '../../../../shared/assert.ts';
import { bagLives } from '../../../../src/answers/bags/lives.ts';
import { bagSheet } from '../../../../src/answers/prep/sheet.ts';
import { roomToday } from '../../../../src/answers/visits/room.ts';
import { day, planOf, sampleText } from './plan.ts';

/** The pantry, keeping 21 to 27 °C, with a climb of 18 to 24 °C. */
const withKeep = (keep: string) =>
  planOf(sampleText('pantry').replace('stage: climb\n', `stage: climb\n      keep: [${keep}]\n`));

const on = (plan: ReturnType<typeof planOf>, iso: string) => roomToday(plan, bagLives(plan, []), day(iso));

describe('the room by stage', () => {
  it('is told in the list of visits while bags stand in a stage of their own temperature', () => {
    const plan = withKeep('18 C, 24 C');
    // Early is sealed on 16 February, late on 9 March: on 30 March early climbs (day 42), late colonises.
    expect(on(plan, '2026-03-01')).toBeUndefined();
    expect(on(plan, '2026-03-30')).toBe(
      'The room today: 18–24 °C for A and C (climbing); 21–27 °C for B and D (colonising). Right for all of them: 21–24 °C.',
    );
    expect(on(withKeep('15 C, 20 C'), '2026-03-30')).toContain('No temperature is right for all of them.');
    expect(on(planOf(sampleText('pantry')), '2026-03-30')).toBeUndefined();
  });

  it('is told on the bag sheet', () => {
    const plan = withKeep('18 C, 24 C');
    const texts = (units: 'metric' | 'us') =>
      bagSheet(plan, itemAt(plan.batches, 0), units).remarks.map(({ text }) => text);
    expect(texts('metric')).toContain(
      'The room, stage by stage: colonise 21–27 °C, wake 21–27 °C, climb 18–24 °C, ripen 21–27 °C.',
    );
    // 21, 27, 18 and 24 °C are 69.8, 80.6, 64.4 and 75.2 °F (exact, as defined).
    expect(texts('us')).toContain(
      'The room, stage by stage: colonise 70–81 °F, wake 70–81 °F, climb 64–75 °F, ripen 70–81 °F.',
    );
    const plain = planOf(sampleText('pantry'));
    const none = bagSheet(plain, itemAt(plain.batches, 0), 'metric').remarks.map(({ text }) => text);
    expect(none.join()).not.toContain('stage by stage');
  });
});
