/**
 * What the text editor has beyond writing: what may stand here, what a key is
 * for, finding text. Fetched when the editor is first used.
 */

import {
  autocompletion,
  closeBrackets,
  closeBracketsKeymap,
  completionKeymap,
} from '@codemirror/autocomplete';
import { highlightSelectionMatches, searchKeymap } from '@codemirror/search';
import type { Extension } from '@codemirror/state';
import { keymap } from '@codemirror/view';
import { keyHelp, offer } from './completion.ts';

/** Goes before the editor's own keys. */
export const aids: Extension = [
  closeBrackets(),
  highlightSelectionMatches(),
  autocompletion({ override: [offer], icons: false }),
  keyHelp,
  keymap.of([...closeBracketsKeymap, ...completionKeymap, ...searchKeymap]),
];
