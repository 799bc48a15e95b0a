/** What is said of the plan when a stage was seen to begin. */

import { describe, expect, it } from 'vitest';
import { beganWords } from '../../../src/jobs/book/began.ts';

const change = (after: string) => ({ path: 'p.yaml', before: 'as it was', after });

describe('a stage that begins', () => {
  it('on another day than planned shifts those that follow', () => {
    expect(beganWords('p.yaml', { change: change('other'), isAsPlanned: false })).toMatch(
      /^The stages that follow shift/,
    );
  });

  it('on the day that was planned shifts nothing, whether or not it was written down', () => {
    expect(beganWords('p.yaml', { change: change('other'), isAsPlanned: true })).toContain(
      'nothing shifts; it is written',
    );
    expect(beganWords('p.yaml', { change: change('as it was'), isAsPlanned: true })).toContain(
      'nothing changes there',
    );
  });
});
