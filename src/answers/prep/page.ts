/** The bag sheet as a page to print and take to the bench: a box to tick before each weighing. */

import type { Units } from '../../../shared/measures.ts';
import { html, type Markup, page } from '../../page/html.ts';
import type { BagSheet } from './sheet.ts';
import { allBags, benchNotes, heightWords, weighingRows } from './text.ts';

/** The HTML file. */
export function sheetPage(title: string, sheets: readonly BagSheet[], units: Units): string {
  return page(
    `Bag sheet: ${title}`,
    html`${sheets.map((sheet) => section(sheet, units))}${notes(units)}`,
    STYLE,
  );
}

function section(sheet: BagSheet, units: Units): Markup {
  const rows = weighingRows(sheet, units).map(
    ([what, one, all]) =>
      html`<tr><td class="box">☐</td><td>${what}</td><td class="figure">${one}</td><td class="figure">${all}</td></tr>\n`,
  );
  return html`<section><h2>${sheet.batch}</h2>
<p>${sheet.bags} × bag “${sheet.bagName}”. ${heightWords(sheet, units)}</p>
<table><thead><tr><th></th><th>weigh out</th><th>one bag</th><th>${allBags(sheet)}</th></tr></thead><tbody>
${rows}</tbody></table>
<ul>${sheet.remarks.map((remark) => html`<li class="${remark.kind === 'fits' ? 'soft' : 'ill'}">${remark.text}</li>`)}</ul>
<p class="soft">Sterilised on ____________ &nbsp; from ______ to ______ &nbsp; load ______ bags &nbsp; cooled until ______</p>
<p class="soft">Spawn ____________ &nbsp; lot ____________ &nbsp; sealed on ____________</p>
</section>`;
}

function notes(units: Units): Markup[] {
  return benchNotes(units).map(
    (note) => html`<p class="${note.startsWith('Caution') ? 'caution' : 'soft'}">${note}</p>`,
  );
}

const STYLE = `
section { break-inside: avoid; }
td.box { font-size: 1.2rem; line-height: 1; padding-right: 0.6rem; }
`;
