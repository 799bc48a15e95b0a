/**
 * Visits, the grow book and the review of the folder's plans, as the pages ask
 * for them.
 *
 * Always holds: only plans of the folder, with the archive that the desk was given, else those beside them; looking
 * writes nothing; files of the folder are told by their bare names.
 */

import { statSync } from 'node:fs';
import { sep } from 'node:path';
import type { ZoneRate } from '../../answers/crop/zone-rates.ts';
import { Failure } from '../../failure.ts';
import { keptPhoto } from '../../files/photos.ts';
import type { ArchiveOptions } from '../../jobs/archive.ts';
import type { Evening, Lived, PlanLines, Press, Pressed, ReviewAnswer } from '../wire-book.ts';
import type { Asset } from './assets.ts';
import { hearing } from './hearing.ts';
import { PlanFault, type PlanFolder } from './plans.ts';
import type { LongAsk } from './review.ts';
import type { LongWork } from './thread.ts';
import { toPress } from './to-press.ts';

export class BookDesk {
  private readonly plans: PlanFolder;
  /** The archives beside each plan that was asked for, and what they looked like then. */
  private readonly known = new Map<string, { readonly paths: readonly string[]; readonly stamp: string }>();

  private readonly archive: ArchiveOptions;
  private thread: LongWork | undefined;
  private isClosed = false;

  constructor(plans: PlanFolder, archive: ArchiveOptions) {
    this.plans = plans;
    this.archive = archive;
  }

  /** Nothing is worked out any more. */
  close(): void {
    this.isClosed = true;
    this.thread?.close();
  }

  /** Has something worked out beside the server. */
  private async long<K extends 'review' | 'lived'>(kind: K, ask: Omit<LongAsk, 'archive'>) {
    const { LongWork } = await import('./thread.ts');
    if (this.isClosed) throw new Failure('refused', 'The desk has ended.');
    this.thread ??= new LongWork();
    return this.thread.ask(kind, { ...ask, archive: this.archive });
  }

  async evening(name: string): Promise<Evening> {
    const { eveningOf } = await import('./evening.ts');
    const evening = await this.about(name, (path) => eveningOf(path, this.archive));
    const { standing, mayEnd } = evening;
    return { ...evening, standing: standing.map(this.bare), mayEnd: mayEnd && this.bareLines(mayEnd) };
  }

  /** What came of a press; throws Failure, and nothing was written. */
  async press(name: string, given: Press): Promise<Pressed> {
    const { press } = await import('./presses.ts');
    const { said, changed, entry } = await this.about(name, (path) => press(path, given, this.archive));
    return { said: said.map(this.bare), changed: changed && this.bareLines(changed), entry };
  }

  /** What moving bags would write; throws Failure as the press would. */
  async wouldMove(name: string, given: Press): Promise<Pressed> {
    const { wouldMove } = await import('./presses.ts');
    const { said, changed, entry } = await this.about(name, (path) => wouldMove(path, given, this.archive));
    return { said: said.map(this.bare), changed: changed && this.bareLines(changed), entry };
  }

  /** What really happened; nothing of a plan that was not saved yet. */
  async lived(name: string): Promise<Lived> {
    if (this.plans.markOf(name) === '') return { weeks: undefined, practice: false };
    return this.about(name, (path) => this.long('lived', { path, name, lot: '' }));
  }

  /** The growth measured in its zones; nothing of a plan that was not saved yet. */
  async rates(name: string): Promise<readonly ZoneRate[]> {
    if (this.plans.markOf(name) === '') return [];
    const { ratesOf } = await import('./rates.ts');
    return this.about(name, (path) => ratesOf(path, this.archive));
  }

  /** The review, or the record of a lot. */
  async review(name: string, lot: string): Promise<ReviewAnswer> {
    const found = await this.about(name, (path) => this.long('review', { path, name, lot }));
    return found.isThere
      ? { ...found, markup: toPress(found.markup) }
      : { ...found, words: this.bare(found.words) };
  }

  async photo(name: string, photo: string): Promise<Asset> {
    const { archiveToRead } = await import('../../jobs/archive.ts');
    const found = await this.about(name, async (path) => {
      const { place } = await archiveToRead(path, this.archive);
      return keptPhoto({ path, place }, photo);
    });
    if (!found) throw new PlanFault(404, 'There is no photo of that name.');
    return found;
  }

  /** Plans whose archive was written since they were asked for. */
  changed(): string[] {
    return [...this.known].flatMap(([name, { paths, stamp }]) => {
      const now = stampOf(paths);
      this.known.set(name, { paths, stamp: now });
      return now === stamp ? [] : [name];
    });
  }

  /** Words as the desk says them, with the folder taken from the names of its files. */
  private readonly bare = (words: string): string =>
    toPress(words.replaceAll(`${this.plans.folder}${sep}`, ''));

  private bareLines({ words, lines }: PlanLines): PlanLines {
    return { words: this.bare(words), lines };
  }

  /** Does something with a plan of the folder; what it says names the folder's files bare. */
  private async about<T>(name: string, act: (path: string) => Promise<T>): Promise<T> {
    if (this.plans.markOf(name) === '')
      throw new PlanFault(404, `There is no plan ${name} in this folder yet.`);
    const path = this.plans.path(name);
    const { archivesBeside } = await import('../../jobs/archive.ts');
    const { archive } = this.archive;
    const paths = archive === undefined ? archivesBeside(path) : [archive];
    try {
      return await hearing(() => act(path));
    } catch (error) {
      if (!(error instanceof Failure)) throw error;
      const { kind, message, hint } = error;
      throw new Failure(kind, this.bare(message), { hint: hint && this.bare(hint) });
    } finally {
      this.known.set(name, { paths, stamp: stampOf(paths) });
    }
  }
}

/** What tells a file that was written from the same before. */
function stampOf(paths: readonly string[]): string {
  return paths
    .map((path) => statSync(path, { throwIfNoEntry: false }))
    .map((stat) => (stat ? `${stat.mtimeMs} ${stat.size}` : 'none'))
    .join(', ');
}
