/** Two versions of a plan side by side; loaded only when there are two. */

import { yaml } from '@codemirror/lang-yaml';
import { MergeView } from '@codemirror/merge';
import { EditorState } from '@codemirror/state';
import { EditorView, lineNumbers } from '@codemirror/view';

/** Shows `left` and `right`, neither to be changed. */
export function openMerge(parent: HTMLElement, left: string, right: string): MergeView {
  const nonce = document.querySelector<HTMLMetaElement>('meta[name=leanward-nonce]')?.content ?? '';
  const side = (doc: string, label: string) => ({
    doc,
    extensions: [
      EditorView.cspNonce.of(nonce),
      EditorView.contentAttributes.of({ 'aria-label': label }),
      EditorView.editable.of(false),
      EditorState.readOnly.of(true),
      EditorView.lineWrapping,
      lineNumbers(),
      yaml(),
    ],
  });
  return new MergeView({
    a: side(left, 'In the file'),
    b: side(right, 'Here'),
    parent,
    collapseUnchanged: {},
  });
}
