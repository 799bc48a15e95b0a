/** The bag sheet as a page to print and take to the bench: a box to tick before each weighing. */

import { html, type Markup, page } from '../../page/html.ts';
import type { Units } from './masses.ts';
import type { BagSheet } from './sheet.ts';
import { heightWords, weighingRows } from './text.ts';

/** The HTML file. */
export function sheetPage(title: string, sheets: readonly BagSheet[], units: Units): string {
  return page(`Bag sheet: ${title}`, html`${sheets.map((sheet) => section(sheet, units))}${CAUTION}`, STYLE);
}

function section(sheet: BagSheet, units: Units): Markup {
  const rows = weighingRows(sheet, units).map(
    ([what, one, all]) =>
      html`<tr><td class="box">☐</td><td>${what}</td><td class="figure">${one}</td><td class="figure">${all}</td></tr>\n`,
  );
  return html`<section><h2>${sheet.batch}</h2>
<p>${sheet.bags} × bag “${sheet.bagName}”. ${heightWords(sheet, units)}</p>
<table><thead><tr><th></th><th>weigh out</th><th>one bag</th><th>all bags</th></tr></thead><tbody>
${rows}</tbody></table>
<ul>${sheet.remarks.map((remark) => html`<li class="${remark.kind === 'fits' ? 'soft' : 'ill'}">${remark.text}</li>`)}</ul>
<p class="soft">Sealed on ____________ &nbsp; spawn ____________ &nbsp; lot ____________ &nbsp; by ____________</p>
</section>`;
}

const CAUTION = html`<p class="caution">Dry sawdust and hulls make dust: wet them before mixing and wear a mask.
A pressure steriliser is used by its maker’s instructions.</p>`;

const STYLE = `
section { break-inside: avoid; }
td.box { font-size: 1.2rem; line-height: 1; padding-right: 0.6rem; }
`;
