/**
 * The bag sheet of a batch as it is to be shown: worked out from the plan until
 * the batch is sealed, and what was kept then for good.
 *
 * Always holds: a sheet that was kept is shown word for word.
 */

import type { ResolvedBatch, ResolvedPlan } from '../../../compiler/plan/plan.ts';
import { isoDate } from '../../../shared/civil.ts';
import type { Units } from '../../../shared/measures.ts';
import { plannedRoster } from '../bags/roster.ts';
import type { Writing } from '../book/entries.ts';
import { stepLines } from '../book/made.ts';
import type { Note } from '../book/note.ts';
import type { SealedLot, SheetPart, SheetWords } from '../book/sealed.ts';
import { bagSheet } from './sheet.ts';
import { sheetWords } from './text.ts';

/** What is kept of a batch at its sealing. */
export function sealedLot(plan: ResolvedPlan, batch: ResolvedBatch): SealedLot {
  const sheet = bagSheet(plan, batch, plan.units);
  const { wetKg, dryKg, spawnKg } = sheet;
  const words = (units: Units): SheetWords => sheetWords(bagSheet(plan, batch, units), units);
  return {
    roster: plannedRoster(plan, batch),
    sheet: {
      ...{ wetKg, dryKg, ...(spawnKg !== undefined && { spawnKg }), figures: { ...sheet } },
      ...{ metric: words('metric'), us: words('us') },
    },
  };
}

/** The entries that keep every batch sealed by the day and not kept yet. */
export function sealedEntries({ plan, name, day, nowMs, newId }: Writing, notes: readonly Note[]): Note[] {
  const kept = new Set(notes.filter(({ kind }) => kind === 'sealed').map(({ batch }) => batch));
  const sealed = plan.batches.filter((batch) => batch.sealed <= day && !kept.has(batch.name));
  return sealed.map((batch) => ({
    ...{ id: newId(), plan: name, batch: batch.name, zone: '', bag: '', day: batch.sealed, writtenMs: nowMs },
    ...{ kind: 'sealed', why: undefined, sealed: sealedLot(plan, batch) },
  }));
}

/** A batch's part of the sheet: as it was kept, else from the plan with `extra` mixed on top. */
export function sheetPart(
  plan: ResolvedPlan,
  batch: ResolvedBatch,
  notes: readonly Note[],
  units: Units,
  extra: number,
): SheetPart {
  const steps = stepLines(notes, batch.name);
  const entry = notes.find((note) => note.kind === 'sealed' && note.batch === batch.name);
  const kept = entry?.sealed;
  if (!kept) {
    const sheet = bagSheet(plan, batch, units, extra);
    return { words: sheetWords(sheet, units), steps, figures: { ...sheet }, kept: undefined };
  }
  return {
    words: kept.sheet[units],
    ...{ steps, figures: kept.sheet.figures },
    kept: `As it was when the batch was sealed on ${isoDate(batch.sealed)}; later changes of the plan do not change it.`,
  };
}
