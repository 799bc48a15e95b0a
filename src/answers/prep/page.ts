/** The bag sheet as a page to print and take to the bench: a box to tick before each weighing. */

import type { Units } from '../../../shared/measures.ts';
import { html, type Markup, page } from '../../page/html.ts';
import type { SheetPart } from '../book/sealed.ts';
import { benchNotes } from './text.ts';

/** The HTML file. */
export function sheetPage(title: string, sheets: readonly SheetPart[], units: Units): string {
  return page(`Bag sheet: ${title}`, html`${sheets.map((sheet) => section(sheet))}${notes(units)}`, STYLE);
}

function section({ words, steps, kept }: SheetPart): Markup {
  const [head = ['', '', ''], ...rows] = words.rows;
  const lines = rows.map(
    ([what, one, all]) =>
      html`<tr><td class="box">☐</td><td>${what}</td><td class="figure">${one}</td><td class="figure">${all}</td></tr>\n`,
  );
  return html`<section><h2>${words.heading}</h2>
<p>${words.height}</p>
<table><thead><tr><th></th><th>weigh out</th><th>${head[1]}</th><th>${head[2]}</th></tr></thead><tbody>
${lines}</tbody></table>
<ul>${words.remarks.map((remark) => html`<li class="${remark.kind === 'fits' ? 'soft' : 'ill'}">${remark.text}</li>`)}</ul>
${steps.length > 0 ? html`<ul>${steps.map((step) => html`<li>${step}</li>`)}</ul>` : BLANKS}
${kept === undefined ? '' : html`<p class="soft">${kept}</p>`}
</section>`;
}

/** Lines to fill in by hand, until the steps are in the book. */
const BLANKS = html`<p class="soft">Mixed on ____________ &nbsp; Sterilised on ____________ &nbsp; from ______ to ______ &nbsp; load ______ bags &nbsp; cooled until ______</p>
<p class="soft">Spawn ____________ &nbsp; lot ____________ &nbsp; inoculated and sealed on ____________</p>`;

function notes(units: Units): Markup[] {
  return benchNotes(units).map(
    (note) => html`<p class="${note.startsWith('Caution') ? 'caution' : 'soft'}">${note}</p>`,
  );
}

const STYLE = `
section { break-inside: avoid; }
td.box { font-size: 1.2rem; line-height: 1; padding-right: 0.6rem; }
`;
