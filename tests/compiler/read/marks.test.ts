/** A `&` mark may stand before any value (YAML 1.2, 6.9); it changes nothing of what a plan says. */

import fc from 'fast-check';
import { expect, it } from 'vitest';
import { readPlan } from '../../../compiler/read-plan.ts';
import { BOARDS as boards } from '../../support/boards.ts';
import { sample } from '../../support/read-plan.ts';

/** Numbers that say where in the text something stands. */
const without = (plan: unknown): unknown =>
  JSON.parse(JSON.stringify(plan, (key, value) => (/[sS]pan$/.test(key) ? undefined : value)));

const TEXTS = ['smallest', 'pantry'].map(sample);
/** What only looks like brackets and remarks. */
const QUOTED = sample('smallest').replace(
  'spring: { sealed: 2026-02-16 }',
  `spring: { sealed: "2026-02-16", zones: [A], strain: "it's ] # no remark {", lot: 'a } b' }
  autumn:
    zones: [A]
    note: |
      brackets: { open [ and "quotes
    sealed: 2026-10-05`,
);

it('a mark before any value is read over', () => {
  fc.assert(
    fc.property(
      fc.constantFrom(...TEXTS, QUOTED),
      fc.infiniteStream(fc.constantFrom('', '&')),
      (text, marks) => {
        let count = 0;
        const marked = text.replace(/^([^#\n]*)$/gm, (line) =>
          line.includes('brackets')
            ? line
            : line.replace(/((?:^|[{,])\s*[\w-]+: )(?=\S)/g, (before) => {
                const mark = marks.next().value;
                count++;
                return mark === '&' ? `${before}&m${count} ` : before;
              }),
        );
        const [plain, same] = [readPlan(text, { boards }), readPlan(marked, { boards })];
        expect(same.findings.map(({ code }) => code)).toEqual(plain.findings.map(({ code }) => code));
        expect(without(same.plan)).toEqual(without(plain.plan));
      },
    ),
    { numRuns: 25 },
  );
});
