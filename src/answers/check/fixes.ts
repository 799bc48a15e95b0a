/**
 * What can be put right at a press: the edits behind a finding's "did you
 * mean" and "write".
 *
 * Always holds: a fix does what the finding's own words say, and nothing where
 * they leave it to the grower; it replaces only what the finding marks.
 */

import type { Code } from '../../../compiler/findings/codes.ts';
import type { Finding, FindingOf } from '../../../compiler/findings/finding.ts';
import { closest } from '../../../compiler/findings/nearest.ts';
import type { Edit } from '../../../compiler/read/edits.ts';
import { setValue } from '../../../compiler/write/set-value.ts';

/** A press of a button. */
export interface Fix {
  /** Such as ``Write `flux` ``, without a full stop. */
  readonly label: string;
  readonly edits: readonly Edit[];
}

/** The fix of a finding in the text it was found in; undefined when it leaves the answer to the grower. */
export function fixOf(finding: Finding, text: string): Fix | undefined {
  const written = replacementOf(finding);
  if (written !== undefined) return replaced(finding, text, written);
  if (isOf('text-bracket-too-many', finding)) {
    const { start, end } = finding.span;
    return {
      label: `Take out ${text.slice(start, end)}`,
      edits: [{ at: start, remove: end - start, text: '' }],
    };
  }
  if (isOf('key-missing', finding)) return added(finding, text);
  if (isOf('zone-taken', finding)) {
    const { earlier, enters } = finding.facts;
    const edits = setValue(text, ['batches', earlier, 'ended'], enters);
    return edits && { label: `Write ended: ${enters} in ${earlier}`, edits };
  }
  return undefined;
}

function isOf<C extends Code>(code: C, finding: Finding): finding is Extract<Finding, FindingOf<C>> {
  return finding.code === code;
}

interface Replacement {
  /** What is written now; a fix where something else stands would be a guess. */
  readonly instead: string;
  readonly text: string;
}

function replacementOf(finding: Finding): Replacement | undefined {
  switch (finding.code) {
    case 'key-unknown': {
      const { key, meant, belongs } = finding.facts;
      return meant === undefined || belongs !== undefined ? undefined : { instead: key, text: meant };
    }
    case 'name-unknown':
    case 'place-unknown-timezone': {
      const { name, meant } = finding.facts;
      return meant === undefined ? undefined : { instead: name, text: meant };
    }
    case 'value-unknown-word': {
      const { text, words } = finding.facts;
      const meant = closest(text, words);
      return meant === undefined ? undefined : { instead: text, text: meant };
    }
    case 'unit-missing': {
      const { number, unit } = finding.facts;
      return { instead: number, text: `${number} ${unit}` };
    }
    case 'value-unreadable': {
      const { text, repaired, unit, units } = finding.facts;
      if (repaired !== undefined) return { instead: text, text: repaired };
      const near = unit === undefined ? undefined : closest(unit, units);
      return near === undefined || unit === undefined
        ? undefined
        : { instead: text, text: text.replace(unit, near) };
    }
    case 'text-curly-quotes':
      return { instead: '', text: `"${finding.facts.inner}"` };
    case 'text-comma-in-number':
      return { instead: '', text: finding.facts.repaired };
    default:
      return undefined;
  }
}

/** Replaces what the finding marks, quotes and all. */
function replaced({ span }: Finding, text: string, { instead, text: fresh }: Replacement): Fix | undefined {
  const there = text.slice(span.start, span.end);
  const bare = there.replace(/^(["'])([\s\S]*)\1$/, '$2');
  if (instead !== '' && bare !== instead && bare.trim() !== instead) return undefined;
  if (there === '') return undefined;
  return { label: `Write ${fresh}`, edits: [{ at: span.start, remove: span.end - span.start, text: fresh }] };
}

/** Adds what is missing as its example says. */
function added({ facts }: FindingOf<'key-missing'>, text: string): Fix | undefined {
  const { key, where, example } = facts;
  if (example === undefined || where === '') return undefined;
  const edits = setValue(text, [...where.split('.'), key], example);
  return edits && edits.length > 0 ? { label: `Add ${key}: ${example}`, edits } : undefined;
}
