/** Columns of numbers stand right, whole: a column of which some cell is none stands left, whole. */

import { expect, it } from 'vitest';
import { table } from '../../../src/page/html.ts';

it('a column is figures only where each of its cells is', () => {
  const { text } = table(
    ['part', 'one bag', 'note'],
    [
      ['sawdust', '1 lb 14.5 oz', '12'],
      ['hulls', '13.75 oz', 'weighed'],
      ['spawn', '', '–'],
    ],
  );
  expect(text).toContain('<th>part</th><th>one bag</th><th>note</th>');
  expect(text).toContain('<td class="figure">1 lb 14.5 oz</td><td>12</td>');
  expect(text).toContain('<td class="figure">13.75 oz</td><td>weighed</td>');
  expect(text).toContain('<td class="figure"></td><td>–</td>');
  // What is long may break, so that a phone need not scroll sideways.
  expect(table(['light'], [['1174522 of 1174522 lx·h']]).text).not.toContain('figure');
});
