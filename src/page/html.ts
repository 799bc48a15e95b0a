/**
 * The frame of every page Leanward writes: one self-contained HTML file that
 * can be kept, mailed and printed.
 *
 * Always holds: nothing is loaded from elsewhere and no script runs; text that
 * came from a plan or a person is escaped unless it was made by `html` itself.
 */

/** A piece of HTML that is safe to put into a page as it stands. */
export class Markup {
  readonly text: string;
  constructor(text: string) {
    this.text = text;
  }
}

type Part = Markup | string | number | undefined | readonly Part[];

/** HTML from a template: strings and numbers are escaped, markup and lists of it go in as they are. */
export function html(strings: TemplateStringsArray, ...parts: readonly Part[]): Markup {
  let text = strings[0] ?? '';
  for (const [i, part] of parts.entries()) text += insert(part) + (strings[i + 1] ?? '');
  return new Markup(text);
}

function insert(part: Part): string {
  if (part === undefined) return '';
  if (part instanceof Markup) return part.text;
  if (typeof part === 'string') return escapeHtml(part);
  if (typeof part === 'number') return String(part);
  return part.map(insert).join('');
}

/** Text with the five characters that mean something in HTML written as entities. */
export function escapeHtml(text: string): string {
  return text.replace(/[&<>"']/g, (sign) => `&#${sign.charCodeAt(0)};`);
}

/** A table from its head and rows; cells that are numbers stand right. */
export function table(head: readonly Part[], rows: readonly (readonly Part[])[]): Markup {
  const columns = head.map((_, i) => rows.map((row) => row[i]).filter((part) => part !== '' && part !== '–'));
  const areFigures = columns.map((parts) => parts.length > 0 && parts.every(isFigure));
  const cell = (part: Part, column: number): Markup =>
    areFigures[column] ? html`<td class="figure">${part}</td>` : html`<td>${part}</td>`;
  return html`<table><thead><tr>${head.map((part) => html`<th>${part}</th>`)}</tr></thead>
<tbody>${rows.map((row) => html`<tr>${row.map(cell)}</tr>\n`)}</tbody></table>`;
}

/** A number with its unit: `85 g`, `1 lb 2.5 oz`; not `3 of 4 h`, which may have to break. */
const isFigure = (part: Part | undefined): boolean =>
  typeof part === 'number' ||
  (typeof part === 'string' && /^[−-]?[\d.,]+( .{1,5})?$|^\d+ lb [\d.]+ oz$/.test(part));

/** The whole file. `more` is CSS of the page's own. */
export function page(title: string, body: Markup, more = ''): string {
  const whole = html`<!doctype html>
<html lang="en"><head><meta charset="utf-8"><meta name="generator" content="Leanward"><meta name="viewport" content="width=device-width, initial-scale=1">
<title>${title}</title><style>${new Markup(STYLE + more)}</style></head>
<body><main>
<h1>${title}</h1>
${body}
</main></body></html>
`;
  return whole.text;
}

const STYLE = `
:root { --ink: #2b2a27; --soft: #6d6a62; --line: #d9d4c7; --paper: #fdfcf8; --lit: #d8a531; --well: #3f7a54; --ill: #a8442a; }
* { box-sizing: border-box; }
body { margin: 0; background: var(--paper); color: var(--ink); font: 16px/1.5 Georgia, 'Times New Roman', serif; }
main { max-width: 62rem; margin: 0 auto; padding: 2rem 1.5rem 4rem; }
h1 { font-size: 1.7rem; font-weight: normal; margin: 0 0 0.3rem; }
h2 { font-size: 1.2rem; margin: 2rem 0 0.4rem; padding-top: 0.6rem; border-top: 1px solid var(--line); }
h3 { font-size: 1rem; margin: 1.2rem 0 0.2rem; }
p { margin: 0.4rem 0; max-width: 46rem; }
ul, ol { margin: 0.4rem 0; padding-left: 1.3rem; }
table { border-collapse: collapse; margin: 0.6rem 0; font-size: 0.93rem; }
th { text-align: left; font-weight: normal; color: var(--soft); border-bottom: 1px solid var(--ink); }
th, td { padding: 0.2rem 1.1rem 0.2rem 0; vertical-align: top; }
td { border-bottom: 1px solid var(--line); }
td.figure { text-align: right; font-variant-numeric: tabular-nums; white-space: nowrap; }
.soft { color: var(--soft); }
.well { color: var(--well); }
.ill { color: var(--ill); }
.caution { border-left: 3px solid var(--ill); padding-left: 0.8rem; }
svg { max-width: 100%; height: auto; }
@media print {
  body { background: none; font-size: 11pt; }
  main { max-width: none; padding: 0; }
  h2, h3 { break-after: avoid; }
  tr, svg { break-inside: avoid; }
  /* What is folded on a screen lies open on paper. */
  details::details-content { content-visibility: visible; block-size: auto; }
}
`;
