/** The machine code on all shared courses and on many random ones. */

import { describe, it } from 'vitest';
import { courses, followCourse, followRandomCourses } from './chip-courses.ts';

/** LEANWARD_COURSES draws more. */
const ALL = Number(process.env.LEANWARD_COURSES ?? 3);

describe('the chip', () => {
  it.each(courses)('follows: $name', followCourse);

  it(`writes the same records and levels as the TypeScript controller in ${ALL} random courses`, () =>
    followRandomCourses(ALL));
});
