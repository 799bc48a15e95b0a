/** The record of a lot as Chromium prints it: nothing is wider than the paper, and the photos are in it. */

import { expect, it } from 'vitest';
import { itemAt } from '../../../../shared/assert.ts';
import type { Note } from '../../../../src/answers/book/note.ts';
import { recordPage } from '../../../../src/answers/lot/page.ts';
import { lotRecord } from '../../../../src/answers/lot/record.ts';
import { NO_NAMES } from '../../../../src/words/names.ts';
import { cutParts, describePrinted } from '../../../support/printed.ts';
import { day, planOf, sampleText } from '../visits/plan.ts';

const plan = planOf(sampleText('pantry').replace('early:', 'sealed-2026-02-16-of-the-second-mix:'));
const batch = itemAt(plan.batches, 0);
/** One pixel (a GIF, as its specification says). */
const PICTURE = 'data:image/gif;base64,R0lGODlhAQABAAAAACwAAAAAAQABAAACAkQBADs=';
const note = (number: number, more: Partial<Note>): Note => ({
  ...{ id: `${number}-0123456789`, plan: 'pantry', batch: batch.name, zone: 'A', position: number },
  ...{ bag: `${batch.name}-0${number}`, number, day: day('2026-04-20'), writtenMs: 1_776_700_000_000 },
  ...{ kind: 'note', why: undefined },
  ...more,
});
const notes = [
  note(1, { text: `a long word: ${'x'.repeat(200)}`, photo: 'one.gif' }),
  note(1, { kind: 'move', to: { zone: 'C', position: 2 } }),
  note(2, { kind: 'harvest', massG: 85.25, dryG: 29.5, together: 12, photo: 'gone.gif' }),
];
const review = {
  ...{ from: day('2026-02-16'), until: day('2026-06-08'), days: [], incidents: [], room: [], notes },
  controllers: [
    { name: 'pantry', identities: [], readUntil: undefined, drift: undefined, operations: [], resets: 0 },
  ],
  outcomes: new Map(),
};
const naming = {
  offsets: { initialQuarters: 0, changes: [] },
  names: { pantry: { ...NO_NAMES, units: 'metric' as const } },
};

describePrinted('the record of a lot in a browser', (show) => {
  it('prints on A4 and letter with nothing cut', async () => {
    const record = lotRecord(plan, review, batch, naming, []);
    const text = recordPage(plan, 'L1', [record], new Map([['one.gif', PICTURE]]));
    expect(text).toContain('gone.gif (not in this page)');
    expect(text.match(/<img/g)).toHaveLength(1);
    expect(text).not.toMatch(/<script|https?:|<link/);
    // The paper's width between margins of 10 mm, at 96 pixels an inch.
    for (const width of [718, 740]) {
      const page = await show(text, { width });
      expect(await cutParts(page, 'td, th, p, img, table, figure')).toEqual([]);
      await page.close();
    }
    const page = await show(text);
    const pdf = await page.pdf({ format: 'A4', margin: { left: '10mm', right: '10mm' } });
    expect(pdf.toString('latin1').startsWith('%PDF')).toBe(true);
    await page.close();
  });
});
