/**
 * The record of a lot as a page to keep and to print.
 *
 * Always holds: nothing is loaded from elsewhere: photos are in the page, or named.
 */

import type { ResolvedPlan } from '../../../compiler/plan/plan.ts';
import { isoDate } from '../../../shared/civil.ts';
import { html, type Markup, page, table } from '../../page/html.ts';
import type { LotRecord, RecordPart } from './record.ts';

/** Pictures by the name they have in the photo folder, as `data:` addresses. */
export type Pictures = ReadonlyMap<string, string>;

/** The whole file. */
export function recordPage(
  plan: ResolvedPlan,
  lot: string,
  records: readonly LotRecord[],
  pictures: Pictures,
): string {
  const sections = records.map(
    (record) => html`<h2>${record.batch}</h2>
${record.parts.map(section)}
${photos(record, pictures)}`,
  );
  return page(`Lot record: ${lot}`, html`<p class="soft">${plan.title}</p>${sections}`, STYLE);
}

function section({ heading, head, rows, lines }: RecordPart): Markup {
  const body = rows.length === 0 ? '' : table(head.length === 0 ? ['', ''] : head, rows);
  return html`<h3>${heading}</h3>
${body}
${lines.map((line) => html`<p>${line}</p>\n`)}`;
}

function photos({ photos: all }: LotRecord, pictures: Pictures): Markup | string {
  if (all.length === 0) return '';
  const figures = all.map(({ bag, day, file }) => {
    const picture = pictures.get(file);
    const words = `${bag}, ${isoDate(day)}`;
    return picture === undefined
      ? html`<p>${words}: ${file} (not in this page)</p>`
      : html`<figure><img src="${picture}" alt="${words}"><figcaption>${words}</figcaption></figure>`;
  });
  return html`<h3>Photos</h3><div class="photos">${figures}</div>`;
}

const STYLE = `
td { overflow-wrap: anywhere; }
td:first-child { white-space: nowrap; }
.photos { display: flex; flex-wrap: wrap; gap: 1rem; }
figure { margin: 0; width: 14rem; break-inside: avoid; }
figure img { width: 100%; height: auto; }
figcaption { color: var(--soft); font-size: 0.85rem; }
@media print { th, td { padding-right: 0.6rem; } table { font-size: 8.5pt; } }
`;
