/**
 * All that makes a program smaller, in the order in which it does.
 *
 * Always holds: what is given is not changed.
 */

import type { Program } from './assembly.ts';
import { fold, isFolded } from './fold.ts';
import { ordered } from './order.ts';
import { unfold } from './unfold.ts';

/** The same program in fewer bytes; the same program gives the same bytes. */
export function smaller(program: Program): Program {
  const folded = fold(program);
  return ordered(unfold(folded, ordered(folded), isFolded));
}
