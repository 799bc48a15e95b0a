/** The plan as text, with what was found in it. */

import { useEffect, useRef } from 'preact/hooks';
import { applyEditsHere, closeEditor, goTo, openEditor, textNow } from './editor.ts';
import type { ToldFinding } from './messages.ts';
import type { PlanText } from './plan-text.ts';
import { checked, findings, isBusy } from './state.ts';

export function PlanPane({ plan }: { plan: PlanText }) {
  const place = useRef<HTMLDivElement>(null);
  useEffect(() => {
    if (place.current) openEditor(place.current, plan);
    return closeEditor;
  }, [plan]);
  return (
    <div class="plan-pane">
      <div class="editor" ref={place} />
      <Findings />
    </div>
  );
}

const SIGNS = { error: '✕', warning: '!', note: 'i' } as const;
const WEIGHT = { error: 0, warning: 1, note: 2 } as const;

/** What was found, the gravest first; a press goes to its place. */
function Findings() {
  const list = [...findings.value].sort((a, b) => WEIGHT[a.severity] - WEIGHT[b.severity]);
  const told = list.filter(({ alike }) => alike !== undefined);
  return (
    <section class="findings" aria-labelledby="findings-title">
      <h2 id="findings-title">
        Findings <span class="soft">{countWords(list)}</span>
      </h2>
      <div aria-live="polite" class="soft small">
        {isBusy.value ? 'Working it out …' : list.length === 0 ? 'Nothing is wrong with it.' : ''}
      </div>
      <ul>
        {told.map((one) => (
          <Finding key={`${one.code} ${one.from} ${one.message}`} finding={one} />
        ))}
      </ul>
      {(checked.value?.tables ?? []).map((line) => (
        <p key={line} class="soft small">
          {line}
        </p>
      ))}
    </section>
  );
}

function countWords(list: readonly ToldFinding[]): string {
  return (['error', 'warning', 'note'] as const)
    .map((severity) => [list.filter((one) => one.severity === severity).length, severity] as const)
    .filter(([count]) => count > 0)
    .map(([count, severity]) => `${count} ${severity}${count === 1 ? '' : 's'}`)
    .join(', ');
}

function Finding({ finding }: { finding: ToldFinding }) {
  const { severity, code, title, message, suggestion, from, to, second, fix, alike } = finding;
  return (
    <li class={`finding ${severity}`}>
      <button type="button" class="place" onClick={() => goTo(from, to)}>
        <span class="sign" aria-hidden="true">
          {SIGNS[severity]}
        </span>
        <span>
          <strong>{title}</strong>{' '}
          <span class="soft small">
            {severity} {code}
            {to === 0 ? '' : `, line ${lineOf(from)}`}
          </span>
        </span>
      </button>
      <p>{marked(message)}</p>
      {suggestion === undefined ? null : <p>{marked(suggestion)}</p>}
      {alike?.length ? (
        <details class="small">
          <summary>{alike.length - 1} more alike</summary>
          {alike.slice(1).map((line) => (
            <p key={line}>{marked(line)}</p>
          ))}
        </details>
      ) : null}
      <p class="acts">
        {fix ? (
          <button type="button" onClick={() => applyEditsHere(fix.edits)}>
            {fix.label}
          </button>
        ) : null}
        {second ? (
          <button type="button" class="quiet" onClick={() => goTo(second.from)}>
            {second.words}, line {lineOf(second.from)}
          </button>
        ) : null}
      </p>
    </li>
  );
}

/** What stands between backquotes is what is written in a plan. */
function marked(words: string) {
  return words.split('`').map((part, n) => (n % 2 === 1 ? <code key={`${n} ${part}`}>{part}</code> : part));
}

function lineOf(offset: number): number {
  return textNow().slice(0, offset).split('\n').length;
}
