/** The faults themselves: each changes the program, none a type or a word. */

import { expect, it } from 'vitest';
import { mutantsOf } from './mutants.ts';

const SAMPLE = `import { one } from 'one';
type Less = 1 | 2;
export function f(a: number, words = 'a < b'): boolean {
  if (a < 10 && !one(a)) return true;
  one(a + 1);
  return words === '' ? false : a % 2 === 0;
}
`;

it('are where something can go wrong, and nowhere else', () => {
  const found = mutantsOf(SAMPLE).map(
    ({ start, end, by, line }) => `${line} ${SAMPLE.slice(start, end)} > ${by}`,
  );
  expect(found.sort()).toEqual(
    [
      ...['4 a < 10 && !one(a) > true', '4 a < 10 && !one(a) > false', '4 && > ||', '4 < > <=', '4 10 > 11'],
      ...['4 !one(a) > one(a)', '4 true > false', '5 one(a + 1); > ;', '5 + > -', '5 1 > 2'],
      ...["6 words === '' > true", "6 words === '' > false", '6 === > !==', '6 === > !==', '6 % > *'],
      ...['6 false > true', '6 2 > 3', '6 0 > 1'],
    ].sort(),
  );
});

it('leave a program that can be read', () => {
  for (const { start, end, by } of mutantsOf(SAMPLE))
    expect(() => mutantsOf(SAMPLE.slice(0, start) + by + SAMPLE.slice(end))).not.toThrow();
});
