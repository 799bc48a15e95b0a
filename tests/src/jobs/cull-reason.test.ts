/** Reasons to cull as they are written in more than one country. */

import { expect, it } from 'vitest';
import { cullReason } from '../../../src/jobs/book/open-book.ts';

it('mold is mould; what is no reason is refused', () => {
  expect(cullReason('mold')).toBe('mould');
  expect(cullReason('leak')).toBe('leak');
  expect(cullReason(undefined)).toBe('other');
  expect(() => cullReason('moth')).toThrow("'moth' is no reason");
});
