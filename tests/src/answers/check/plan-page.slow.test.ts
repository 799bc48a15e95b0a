import { describe, expect, it } from 'vitest';
import { compilePlan } from '../../../../compiler/compile.ts';
import { sure } from '../../../../shared/assert.ts';
import { planPage } from '../../../../src/answers/check/page.ts';
import { BOARDS, samplePlan } from '../../../support/boards.ts';

const page = planPage(compilePlan(samplePlan('smallest'), { boards: BOARDS }));

describe('the page of a plan with a lamp in front and one behind', () => {
  it('draws the one behind before the bags and the one in front after them', () => {
    const [behind, bag, front] = ['lamp back,', 'bag A-1', 'lamp front,'].map((name) => page.indexOf(name));
    expect(behind).toBeGreaterThan(0);
    expect(bag).toBeGreaterThan(sure(behind));
    expect(front).toBeGreaterThan(sure(bag));
  });

  it('draws the likely lean in its bag, as the desk does, and says that it is an estimate', () => {
    expect(page).toMatch(/<h2>The likely lean of the growth: an estimate<\/h2>/);
    expect(page).toMatch(/<svg [^>]*aria-label="Likely lean of zone A, an estimate"/);
    expect(page).toContain('from the right</text>');
  });

  it('claims no energy where no lamp has a power', () => {
    expect(page).toContain('the energy is not known');
    expect(page).not.toMatch(/Lamps use/);
  });
});

describe('the weeks of a plan that begins at the end of a month', () => {
  it('name the month after it, and leave out the name that has no room', () => {
    const late = samplePlan('smallest').replace(/sealed: \d{4}-\d\d-\d\d/, 'sealed: 2026-11-28');
    const weeks = planPage(compilePlan(late, { boards: BOARDS }));
    expect(weeks).toContain('>2026-12</text>');
    expect(weeks).not.toContain('>2026-11</text>');
    expect(page).toContain('>2026-02</text>');
  });
});
