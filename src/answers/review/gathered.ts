/**
 * What a replay gathers on its way, each instant in the piece of the
 * controller's time that it was counted in.
 *
 * Always holds: nothing gathered is changed by a clock that turns out to have
 * been wrong; `story` puts all of it into true time at the end.
 */

import { OUTPUTS, type Schedule } from '../../../firmware-sim/schedule.ts';
import { itemAt, sure } from '../../../shared/assert.ts';
import { FaultSpans } from './fault-spans.ts';
import type {
  Change,
  ClockSetting,
  DayProof,
  HandSpan,
  Instant,
  LostSpan,
  Pieces,
  Settled,
  Story,
} from './story.ts';

/** Something that lasted, in one of the pieces of the log's time. */
export type Placed<T extends { readonly from: number; readonly until: number }> = T & {
  readonly piece: number;
};
type Lost = Omit<LostSpan, 'from' | 'until' | 'settled'> & {
  readonly from: Instant;
  readonly until: Instant;
  /** Sequence of the record after. */
  readonly next: number;
};

/** What only the end of the replay knows. */
interface Ending {
  /** Tables taken to run after losses, by the sequence of the record after. */
  readonly settled: ReadonlyMap<number, Settled>;
  readonly blindBefore: boolean;
  readonly until: Instant;
}

/** Gathers the facts of one controller's log, in the order of its records. */
export class Gathered {
  readonly changes: (Omit<Change, 'at'> & Instant)[] = [];
  readonly outages: { from: Instant | undefined; until: Instant; cause: number }[] = [];
  readonly proofs: Placed<DayProof>[] = [];
  readonly estimated: { from: Instant; until: Instant | undefined; behind: number | undefined }[] = [];
  readonly hands: Placed<HandSpan>[] = [];
  readonly settings: ClockSetting[] = [];
  readonly tables: (Instant & { crc: number; schedule: Schedule | undefined })[] = [];
  readonly lost: Lost[] = [];
  readonly faults: FaultSpans;
  private readonly pieces: Pieces;

  constructor(pieces: Pieces) {
    this.pieces = pieces;
    this.faults = new FaultSpans(pieces);
  }

  /** The proofs from a piece of time on say nothing of when their days were. */
  doubtProofs(piece: number): void {
    for (const [i, one] of this.proofs.entries())
      if (one.piece >= piece) this.proofs[i] = { ...one, result: 'unproved' };
  }

  /** All that was gathered, in true time. */
  story({ settled, blindBefore, until }: Ending): Story {
    const { pieces } = this;
    const changes = inOrder(
      this.changes.map(({ levels, state, ...at }) => ({ at: pieces.true(at), levels, state })),
    );
    const moved = <T extends { from: number; until: number }>({ piece, ...one }: Placed<T>) => ({
      ...one,
      from: pieces.true({ at: one.from, piece }),
      until: pieces.true({ at: one.until, piece }),
    });
    const maybe = (instant: Instant | undefined) => instant && pieces.true(instant);
    return {
      changes,
      outages: this.outages.map((one) => ({ ...one, from: maybe(one.from), until: pieces.true(one.until) })),
      proofs: this.proofs.map(moved),
      estimated: this.estimated.map((one) => ({
        ...one,
        from: pieces.true(one.from),
        until: maybe(one.until),
      })),
      hands: this.hands.map(moved),
      settings: this.settings,
      tables: this.tables.map(({ crc, schedule, ...at }) => ({ at: pieces.true(at), crc, schedule })),
      lost: this.lost.map(({ from, until, records, next }) => ({
        ...{ from: pieces.true(from), until: pieces.true(until), records },
        settled: settled.get(next),
      })),
      faults: this.faults.spans(),
      operations: operationsOf(changes),
      blindBefore,
      from: changes[0]?.at ?? 0,
      until: pieces.true(until),
    };
  }
}

/** Changes in order of true time; where the clock was set back, the later story counts. */
function inOrder(changes: readonly Change[]): Change[] {
  const kept: Change[] = [];
  for (const change of changes) {
    while (kept.length > 0 && sure(kept.at(-1)).at >= change.at) kept.pop();
    kept.push(change);
  }
  return kept;
}

function operationsOf(changes: readonly Change[]): number[] {
  const operations = new Array<number>(OUTPUTS).fill(0);
  let before: Uint8Array = new Uint8Array(OUTPUTS);
  for (const { levels } of changes) {
    if (!levels) continue;
    for (let i = 0; i < OUTPUTS; i++)
      if ((levels[i] === 0) !== (before[i] === 0)) operations[i] = itemAt(operations, i) + 1;
    before = levels;
  }
  return operations;
}
