/**
 * What the text editor offers while a plan is typed, and what it tells of a
 * key: from the JSON Schema and the plan's own names.
 */

import type { Completion, CompletionContext, CompletionResult } from '@codemirror/autocomplete';
import { hoverTooltip } from '@codemirror/view';
import { BOARD_IDS } from './board-ids.ts';
import { type Place, placeIn } from './place.ts';
import { descriptionOf, keysIn, sectionNamedAt, valuesAt } from './schema.ts';

/** The names of a section: its keys, one step in. */
export function namesIn(text: string, section: string): string[] {
  const lines = text.split(/\r?\n/);
  const start = lines.findIndex((line) => line.startsWith(`${section}:`));
  if (start < 0) return [];
  const flow = /^\w+:\s*\{(.*)/.exec(lines[start] ?? '');
  if (flow)
    return [...(flow[1] ?? '').matchAll(/(?:^|[{,])\s*([^\s:,{}[\]]+):/g)].map((match) => match[1] ?? '');
  const names: string[] = [];
  let indent: number | undefined;
  for (const line of lines.slice(start + 1)) {
    const match = /^( *)([^\s#:][^:#]*?)\s*:(\s|$)/.exec(line);
    if (/^\S/.test(line) && !line.startsWith('#')) break;
    if (!match) continue;
    const own = match[1]?.length ?? 0;
    indent ??= own;
    if (own === indent) names.push((match[2] ?? '').replace(/^(["'])(.*)\1$/, '$2'));
  }
  return names;
}

/** Offers keys where a key is typed, else words, names and examples. */
export function offer(context: CompletionContext): CompletionResult | null {
  const text = context.state.doc.toString();
  const place = placeIn(text, context.pos);
  if (!context.explicit && place.word === '' && place.typing === 'key') return null;
  const options = place.typing === 'key' ? keyOptions(place, text) : valueOptions(place, text);
  if (options.length === 0) return null;
  return { from: place.from, options, validFor: /^[\w /.-]*$/ };
}

function keyOptions({ path }: Place, text: string): Completion[] {
  const names = path.length === 1 && path[0] === 'regimes' ? [] : keysIn(path);
  const stages =
    path[0] === 'batches' && (path.at(-1) === 'began' || path.at(-1) === 'days') ? stagesIn(text) : [];
  return [
    ...names.map(({ key, description, example, isGroup }): Completion => {
      const detail = example === '' || isGroup ? undefined : example;
      return {
        label: key,
        apply: `${key}: `,
        type: 'property',
        info: description,
        ...(detail ? { detail } : {}),
      };
    }),
    ...stages.map((label) => ({ label, apply: `${label}: `, type: 'property' })),
  ];
}

function stagesIn(text: string): string[] {
  return [...new Set([...text.matchAll(/\bstage:\s*([^\s,}#]+)/g)].map((match) => match[1] ?? ''))];
}

function valueOptions({ path, word }: Place, text: string): Completion[] {
  const section = sectionNamedAt(path);
  const own = path[1];
  const names =
    section === undefined ? [] : namesIn(text, section).filter((name) => section !== path[0] || name !== own);
  if (section === 'regimes' && !names.includes('antler')) names.push('antler');
  const key = path.at(-1);
  const boards = key === 'board' ? BOARD_IDS : [];
  const zones = key === 'timezone' && word.length > 0 ? Intl.supportedValuesOf('timeZone') : [];
  const words = valuesAt(path).map((label) => ({ label, type: 'constant' }));
  return [
    ...[...names, ...boards, ...zones].map((label) => ({ label, type: 'variable', boost: 1 })),
    ...words,
  ];
}

/** Tells what a key is for when it is pointed at. */
export const keyHelp = hoverTooltip((view, pos) => {
  const { from, to, text: line } = view.state.doc.lineAt(pos);
  const word = wordAt(line, pos - from);
  if (!word) return null;
  const [start, end] = [from + word.from, from + word.to];
  if (!/^\s*:(\s|$)/.test(view.state.sliceDoc(end, Math.min(to, end + 3)) || ' ')) return null;
  const { path } = placeIn(view.state.doc.toString(), start);
  const help = descriptionOf([...path, line.slice(word.from, word.to)]);
  if (help === undefined) return null;
  return {
    pos: start,
    end,
    above: true,
    create: () => {
      const dom = document.createElement('div');
      dom.className = 'key-help';
      dom.textContent = help;
      return { dom };
    },
  };
});

function wordAt(line: string, at: number): { from: number; to: number } | undefined {
  for (const match of line.matchAll(/[\w-]+/g)) {
    const to = match.index + match[0].length;
    if (match.index <= at && at <= to) return { from: match.index, to };
  }
  return undefined;
}
