/**
 * The record of a lot as a page to keep and to print.
 *
 * Always holds: nothing is loaded from elsewhere: photos are in the page, or named.
 */

import type { ResolvedPlan } from '../../../compiler/plan/plan.ts';
import { html, type Markup, page, table } from '../../page/html.ts';
import { PHOTO_STYLE, type Pictures, photoFigures } from '../book/photos.ts';
import type { LotRecord, RecordPart } from './record.ts';

/** The whole file. */
export function recordPage(
  plan: ResolvedPlan,
  lot: string,
  records: readonly LotRecord[],
  pictures: Pictures,
): string {
  return page(`Lot record: ${lot}`, recordBody(plan, records, pictures), STYLE);
}

/** What stands on it below its title. */
export function recordBody(plan: ResolvedPlan, records: readonly LotRecord[], pictures: Pictures): Markup {
  const sections = records.map(
    (record) => html`<h2>${record.batch}</h2>
${record.parts.map(section)}
${photos(record, pictures)}`,
  );
  return html`<p class="soft">${plan.title}</p>${sections}`;
}

function section({ heading, head, rows, lines }: RecordPart): Markup {
  const body = rows.length === 0 ? '' : table(head.length === 0 ? ['', ''] : head, rows);
  return html`<h3>${heading}</h3>
${body}
${lines.map((line) => html`<p>${line}</p>\n`)}`;
}

function photos(record: LotRecord, pictures: Pictures): Markup | undefined {
  const figures = photoFigures(record.photos, pictures);
  return figures && html`<h3>Photos</h3>${figures}`;
}

const STYLE = `
td { overflow-wrap: anywhere; }
td:first-child { white-space: nowrap; }
@media print { th, td { padding-right: 0.6rem; } table { font-size: 8.5pt; } }
${PHOTO_STYLE}`;
