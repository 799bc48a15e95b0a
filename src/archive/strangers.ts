/**
 * Whether a board is the one that the archive knows under a name of the plan.
 *
 * Always holds: asked before anything is written to the board or the archive;
 * a board that was never given an identity number is a stranger only to a name
 * that another board has had.
 */

import { Failure } from '../failure.ts';
import { type Archive, archiveName } from './open.ts';
import { controllersOf } from './read.ts';

/** Which board, and what it is said to be. */
export interface Claim {
  readonly plan: string;
  /** Its name in the plan. */
  readonly controller: string;
  readonly identity: number;
  /** It takes the place of the board that had the name before. */
  readonly spare: boolean;
}

/** Throws a Failure (kind `link`) for a board that the archive knows by another name, or another board by this one. */
export async function refuseStranger(archive: Archive, claim: Claim): Promise<void> {
  const { plan, controller, identity, spare } = claim;
  const wanted = archiveName(plan, controller);
  const known = await controllersOf(archive);
  const own = known.find((one) => one.identity === identity)?.name ?? undefined;
  if (own !== undefined && own !== wanted) throw anotherName(claim, own);
  const other = known.findLast((one) => one.name === wanted && one.identity !== identity);
  if (own === undefined && other && !spare) throw anotherBoard(claim, other.identity);
}

function anotherName({ plan, controller, identity }: Claim, own: string): Failure {
  const [ofPlan, name] = [own.slice(0, own.lastIndexOf('/')), own.slice(own.lastIndexOf('/') + 1)];
  const elsewhere = ofPlan === plan ? '' : ` of the plan ${ofPlan}`;
  return new Failure(
    'link',
    `This board is '${name}'${elsewhere} (identity ${hex(identity)}), not '${controller}'${elsewhere && ` of ${plan}`}. Nothing was written.`,
    {
      hint: elsewhere
        ? `Take the port of '${controller}', or name the plan ${ofPlan}.`
        : `Take the port of '${controller}', or say --controller ${name}.`,
      reason: 'another board',
    },
  );
}

function anotherBoard({ controller, identity }: Claim, before: number): Failure {
  const which =
    identity === 0
      ? 'This board is new (it has no identity number): it'
      : `This board (identity ${hex(identity)})`;
  return new Failure(
    'link',
    `${which} is not the one that has been '${controller}' so far (${hex(before)}). Nothing was written.`,
    {
      hint: `Take the port of '${controller}'. If this board takes its place from now on, add --spare.`,
      reason: 'another board',
    },
  );
}

function hex(identity: number): string {
  return identity.toString(16).toUpperCase().padStart(8, '0');
}
