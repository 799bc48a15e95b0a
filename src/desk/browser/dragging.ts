/**
 * Moving lamps, screens and zones in the picture: from pointer and keys to
 * lengths, with snapping.
 *
 * Always holds: while a move is tried the text stays; letting go is one change
 * of the text; Escape leaves everything as it was.
 */

import type { ResolvedPlan, Vec3 } from '../../../compiler/plan/plan.ts';
import type { Edit } from '../../../compiler/read/edits.ts';
import type { Movable } from '../../../compiler/write/move.ts';
import { anchorOf, type Going, keptOnShelf } from './anchor.ts';
import { applyEditsHere, textNow } from './editor.ts';
import { checked, hand, isStale, notice, trial, worker } from './state.ts';

/** Which way a picture looks: it has x and z, or x and y. */
export type View = 'front' | 'above';

/** Grid in mm, and how near a line must be to catch, mm. */
const GRID = { metric: 5, us: 25.4 / 4 } as const;
const CATCH_MM = 9;

/** The step of a grid for the plan in the editor, mm. */
export const gridStep = (): number => GRID[checked.value?.plan?.units ?? 'metric'];

/** The step with `Alt` held, mm, and how a grower calls it. */
const FINE = { metric: { mm: 1, words: '1 mm' }, us: { mm: 25.4 / 20, words: '0.05 in' } } as const;

export const fineStep = (): (typeof FINE)['metric' | 'us'] => FINE[checked.value?.plan?.units ?? 'metric'];

const shelfOf = (plan: ResolvedPlan, { kind, name }: Movable): number =>
  (kind === 'lamp' ? plan.lamps : kind === 'screen' ? plan.screens : plan.zones).find(
    (one) => one.name === name,
  )?.shelf ?? 0;

/** Lines that a part may catch on: the shelf's edges and middle, and where other parts are. */
function linesOf(plan: ResolvedPlan, what: Movable, axis: 0 | 1 | 2): number[] {
  const index = shelfOf(plan, what);
  const shelf = plan.shelves[index];
  const size = shelf ? ([shelf.width, shelf.depth, shelf.clear][axis] ?? 0) : 0;
  const others = (['lamp', 'screen', 'zone'] as const).flatMap((kind) =>
    (kind === 'lamp' ? plan.lamps : kind === 'screen' ? plan.screens : plan.zones)
      .filter((one) => one.shelf === index && !(kind === what.kind && one.name === what.name))
      .map(({ name }) => anchorOf(plan, { kind, name })?.[axis]),
  );
  return [0, size / 2, size, ...others.filter((one) => one !== undefined)];
}

/** A shift along one axis, caught by a line near by, else by the grid; `fine` lets go of both. */
export function snapped(
  plan: ResolvedPlan,
  what: Movable,
  axis: 0 | 1 | 2,
  shift: number,
  fine: boolean,
): number {
  const from = anchorOf(plan, what)?.[axis] ?? 0;
  if (shift === 0) return 0;
  if (fine) return keptOnShelf(plan, what, axis, Math.round(shift));
  const to = from + shift;
  const near = linesOf(plan, what, axis).filter((line) => Math.abs(line - to) <= CATCH_MM);
  const line = near.sort((a, b) => Math.abs(a - to) - Math.abs(b - to))[0];
  const step = gridStep();
  return keptOnShelf(plan, what, axis, (line ?? Math.round(to / step) * step) - from);
}

/** The shift of a pointer's way in a picture, caught by grid and lines. */
export function shiftOf(view: View, what: Movable, right: number, up: number, fine: boolean): Vec3 {
  const plan = checked.value?.plan;
  if (!plan) return [0, 0, 0];
  const x = snapped(plan, what, 0, right, fine);
  return view === 'front'
    ? [x, 0, snapped(plan, what, 2, up, fine)]
    : [x, snapped(plan, what, 1, up, fine), 0];
}

/** Shows what a move would do. */
export async function tryMove(what: Movable, shift: Vec3): Promise<void> {
  if (isStale.value) return;
  try {
    const answer = await worker.ask('trial', { text: textNow(), what, shift, at: hand.value });
    if (answer && trying) trial.value = answer;
  } catch (error) {
    notice.value = error instanceof Error ? error.message : String(error);
  }
}

let trying = false;

export function beginMove(): void {
  trying = true;
}

/** Leaves everything as it was. */
export function dropMove(): void {
  trying = false;
  trial.value = undefined;
}

let moves: Promise<void> = Promise.resolve();
let count = 0;

/** A move is being written. */
export const isMoving = (): boolean => count > 0;

/** Writes a move into the text, after those before it. */
export function makeMove(what: Movable, going: Going): Promise<void> {
  trying = false;
  count += 1;
  moves = moves.then(() => writeMove(what, going)).finally(() => (count -= 1));
  return moves;
}

async function writeMove(what: Movable, going: Going): Promise<void> {
  if (isStale.value) {
    dropMove();
    notice.value = 'The text has errors. Put them right first; then things can be moved in the picture.';
    return;
  }
  try {
    const edits = await editsOf(what, going);
    if (edits === undefined)
      notice.value = `${what.name} is written elsewhere in the plan; change it in the text.`;
    // What changes the text is drawn when that is worked out; until then the move stays as it was tried.
    if (!edits || edits.length === 0) dropMove();
    else applyEditsHere(edits);
  } catch (error) {
    dropMove();
    notice.value = error instanceof Error ? error.message : String(error);
  }
}

/** The edits of the text in the editor. */
async function editsOf(what: Movable, going: Going): Promise<readonly Edit[] | undefined> {
  const text = textNow();
  const edits = await worker.ask('move', { text, what, going });
  return text === textNow() ? edits : editsOf(what, going);
}
