/** The machine code on the short shared courses, and on the first random ones. */

import { describe, it } from 'vitest';
import { courses, followCourse, followRandomCourses } from './chip-courses.ts';

const TWO_DAYS_MICROS = 2 * 86_400_000_000;
/** Of the random courses of `courses.long.test.ts`. */
const SHARE = 1;

describe('the chip', () => {
  it.each(courses.filter(({ until }) => until < TWO_DAYS_MICROS))('follows: $name', followCourse);

  it(`writes the same records and levels as the TypeScript controller in ${SHARE} random courses`, () =>
    followRandomCourses(SHARE));
});
