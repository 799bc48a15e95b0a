/**
 * The text editor of a plan: CodeMirror with YAML, our findings, completion
 * and help.
 *
 * Always holds: everything that changes the text, a drag in the picture too,
 * is a change of the editor and can be undone in it.
 */

import { defaultKeymap, history, historyKeymap, isolateHistory } from '@codemirror/commands';
import { yaml } from '@codemirror/lang-yaml';
import { bracketMatching, HighlightStyle, indentOnInput, syntaxHighlighting } from '@codemirror/language';
import { type Diagnostic, lintGutter, lintKeymap, setDiagnostics } from '@codemirror/lint';
import { Compartment, EditorState } from '@codemirror/state';
import {
  drawSelection,
  EditorView,
  highlightActiveLine,
  highlightActiveLineGutter,
  keymap,
  lineNumbers,
} from '@codemirror/view';
import { tags } from '@lezer/highlight';
import type { Edit } from '../../../compiler/read/edits.ts';
import type { ToldFinding } from './messages.ts';
import type { PlanText } from './plan-text.ts';
import { checkText, findings, picked } from './state.ts';

const inks = HighlightStyle.define([
  { tag: [tags.propertyName, tags.definition(tags.propertyName)], color: 'var(--key)' },
  { tag: [tags.string, tags.content], color: 'var(--ink)' },
  { tag: tags.lineComment, color: 'var(--soft)', fontStyle: 'italic' },
  { tag: tags.punctuation, color: 'var(--soft)' },
]);

const look = EditorView.theme({
  '&': { height: '100%', backgroundColor: 'var(--paper)', color: 'var(--ink)' },
  '.cm-scroller': { fontFamily: 'var(--mono)', fontSize: '0.86rem', lineHeight: '1.5' },
  '.cm-gutters': {
    backgroundColor: 'var(--paper)',
    color: 'var(--soft)',
    borderRight: '1px solid var(--line)',
  },
  '.cm-activeLine, .cm-activeLineGutter': { backgroundColor: 'var(--wash)' },
  '.cm-cursor': { borderLeftColor: 'var(--ink)', borderLeftWidth: '2px' },
  '&.cm-focused > .cm-scroller > .cm-selectionLayer .cm-selectionBackground, .cm-selectionBackground': {
    backgroundColor: 'var(--chosen)',
  },
  '.cm-tooltip': { backgroundColor: 'var(--card)', color: 'var(--ink)', border: '1px solid var(--line)' },
  '.cm-tooltip-autocomplete ul li[aria-selected]': { backgroundColor: 'var(--key)', color: 'var(--paper)' },
  '.cm-diagnosticAction': { backgroundColor: 'var(--key)', color: 'var(--paper)', padding: '0.15rem 0.5rem' },
});

let editor: EditorView | undefined;

function saved(plan: PlanText): true {
  void plan.save();
  return true;
}

/** Where the aids go once they are fetched. */
const aidsPlace = new Compartment();

/** Fetches the aids when the editor is used first; without them it still writes. */
function fetchAids(view: EditorView): void {
  import('./editor-aids.ts').then(
    ({ aids }) => {
      if (editor === view) view.dispatch({ effects: aidsPlace.reconfigure(aids) });
    },
    () => view.dom.addEventListener('focusin', () => fetchAids(view), { once: true }),
  );
}

/** Makes the editor in `parent`. */
export function openEditor(parent: HTMLElement, plan: PlanText): EditorView {
  const nonce = document.querySelector<HTMLMetaElement>('meta[name=leanward-nonce]')?.content ?? '';
  const state = EditorState.create({
    doc: plan.beginning,
    extensions: [
      EditorView.cspNonce.of(nonce),
      EditorView.contentAttributes.of({
        'aria-label': `The text of ${plan.name}`,
        spellcheck: 'false',
        tabindex: '0',
      }),
      EditorView.lineWrapping,
      lineNumbers(),
      highlightActiveLineGutter(),
      highlightActiveLine(),
      history(),
      drawSelection(),
      indentOnInput(),
      bracketMatching(),
      yaml(),
      syntaxHighlighting(inks),
      lintGutter(),
      look,
      aidsPlace.of([]),
      keymap.of([
        { key: 'Mod-s', preventDefault: true, run: () => saved(plan) },
        ...lintKeymap,
        ...historyKeymap,
        ...defaultKeymap,
      ]),
      EditorView.updateListener.of((update) => {
        for (const transaction of update.transactions) plan.changed(transaction);
        if (update.docChanged) lookOver(update.view);
      }),
    ],
  });
  editor = new EditorView({ state, parent });
  plan.attach(editor);
  const view = editor;
  view.dom.addEventListener('focusin', () => fetchAids(view), { once: true });
  lookOver(editor);
  return editor;
}

/** Looks the text over, and shows what is found while it is still the same text. */
function lookOver(view: EditorView): void {
  const { doc } = view.state;
  void checkText(doc.toString(), (found) => {
    if (view.state.doc !== doc) return;
    findings.value = found;
    view.dispatch(
      setDiagnostics(
        view.state,
        found.map((one) => diagnosticOf(one, doc.length)),
      ),
    );
  });
}

/** What the text is looked over with has changed: a lamp's file. */
export function lookAgain(): void {
  if (editor) lookOver(editor);
}

function diagnosticOf(finding: ToldFinding, length: number): Diagnostic {
  const { severity, code, title, message, suggestion, fix } = finding;
  const from = Math.min(finding.from, length);
  const to = Math.min(Math.max(finding.to, from), length);
  return {
    from,
    to,
    severity: severity === 'note' ? 'info' : severity,
    source: `${severity} ${code}`,
    message: [title, message, suggestion].filter(Boolean).join('\n'),
    actions: fix ? [{ name: fix.label, apply: () => applyEditsHere(fix.edits) }] : [],
  };
}

/** Makes edits as one change that one undo takes back. */
export function applyEditsHere(edits: readonly Edit[]): void {
  if (!editor || edits.length === 0) return;
  const changes = edits.map(({ at, remove, text }) => ({ from: at, to: at + remove, insert: text }));
  editor.dispatch({ changes, annotations: isolateHistory.of('full'), userEvent: 'input.move' });
}

/** The text in the editor. */
export const textNow = (): string => editor?.state.doc.toString() ?? '';

/** Shows a place of the text, and goes there. */
export function goTo(from: number, to = from, focus = true): void {
  if (!editor) return;
  const { length } = editor.state.doc;
  const [anchor, head] = [Math.min(from, length), Math.min(to, length)];
  editor.dispatch({
    selection: { anchor, head },
    effects: EditorView.scrollIntoView(anchor, { y: 'center' }),
  });
  if (focus) editor.focus();
}

/** Forgets the editor of a plan that is closed. */
export function closeEditor(): void {
  editor?.destroy();
  editor = undefined;
  picked.value = undefined;
}
