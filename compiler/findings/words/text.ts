/**
 * Words for what stands in the way of reading the text at all.
 */

import type { AllWords } from './message.ts';

const BRACKET: Readonly<Record<string, string>> = {
  '{': 'brace',
  '[': 'bracket',
  '}': 'brace',
  ']': 'bracket',
};

/** Reasons of the `yaml` package, in the grower's words. */
const REASONS: Readonly<Record<string, readonly [message: string, suggestion: string]>> = {
  BAD_INDENT: [
    'This line is indented differently from the ones it belongs with.',
    'Start lines of one group in the same column.',
  ],
  BAD_SCALAR_START: ['A value cannot begin with this character.', 'Put the value in quotes: `"…"`.'],
  MISSING_CHAR: [
    'Something is missing here: a comma or a colon.',
    'Put a comma between entries, and a colon and a space after a key.',
  ],
  MULTILINE_IMPLICIT_KEY: [
    'This key runs over several lines: perhaps a colon is missing.',
    'Write `key: value` on one line.',
  ],
  BLOCK_AS_IMPLICIT_KEY: [
    'There are two keys on one line.',
    'Put each `key: value` on a line of its own; put a text with a colon in quotes.',
  ],
  MULTIPLE_DOCS: ['A second plan begins here.', 'Keep one plan in a file: take out the `---`.'],
  BAD_ALIAS: ['This `*` refers to a place that is not marked.', 'Use `like: NAME` to copy an entry.'],
  BAD_DQ_ESCAPE: ['Inside double quotes a backslash has a meaning of its own.', "Use single quotes: `'…'`."],
};

export const textWords = {
  'text-too-large': ({ bytes, limit }) => ({
    title: 'the file is too large',
    message: `The file has ${bytes} bytes; a plan has at most ${limit}.`,
    suggestion: 'Is it the right file? Batches long over can be taken out.',
  }),
  'text-not-utf8': ({ wide }) => ({
    title: 'not a UTF-8 text',
    message: wide
      ? 'The file is saved as UTF-16 and not as UTF-8.'
      : 'From here on the file is not UTF-8 text: it was saved in another encoding, or is no text.',
    suggestion: 'Save it again as plain text in UTF-8.',
  }),
  'text-too-deep': () => ({
    title: 'nested too deeply',
    message: 'Brackets or lists lie inside each other far deeper than any plan needs.',
    suggestion: 'Look for brackets that are opened again and again and never closed.',
  }),
  'text-copies': ({ limit }) => ({
    title: 'copies of copies',
    message: `Following the \`*\` marks makes this plan grow without measure (over ${limit} entries).`,
    suggestion: 'Use `like: NAME` to copy an entry.',
  }),
  'text-tab': ({ lines }) => ({
    title: 'a tab in front of a line',
    message: `Lines are moved in with spaces, not tabs${lines > 1 ? ` (${lines} lines here have tabs)` : ''}.`,
    suggestion: 'Replace each tab by two spaces.',
  }),
  'text-space-missing': ({ key }) => ({
    title: 'no space after the colon',
    message: 'After a key comes a colon, then a space, then the value.',
    suggestion: `Write \`${key}: …\` with a space after the colon.`,
  }),
  'text-left-open': ({ bracket, closing }) => ({
    title: `a ${BRACKET[bracket]} is never closed`,
    message: `The \`${bracket}\` opened here has no \`${closing}\`.`,
    suggestion: `Put a \`${closing}\` where the entry ends.`,
  }),
  'text-curly-quotes': ({ inner }) => ({
    title: 'curly quotes',
    message: 'These quotes are for printing; a plan needs straight ones, or none.',
    suggestion: `Write \`"${inner}"\`.`,
  }),
  'text-unseen-character': ({ character, space }) => ({
    title: 'a character that cannot be seen',
    message: space
      ? `What looks like a space here is another character (${character}), as word processors and web pages use it.`
      : `Here is a character that cannot be seen (${character}).`,
    suggestion: space ? 'Delete it and type a plain space.' : 'Delete it.',
  }),
  'text-unreadable': ({ reason }) => {
    const [message, suggestion] = REASONS[reason] ?? [
      'This cannot be read: it fits nowhere in a plan.',
      'Compare the line with the ones around it: colons, commas, quotes, indentation.',
    ];
    return { title: 'cannot be read', message, suggestion };
  },
  'key-twice': ({ key }) => ({
    title: 'given twice',
    message: `\`${key}\` is given twice; only one can count.`,
    suggestion: 'Take one out, or give it another name.',
    second: 'first given here',
  }),
  'text-empty': () => ({
    title: 'no plan in the file',
    message: 'The file holds no keys at all.',
    suggestion: 'Start with `leanward init`, which writes a plan to change.',
  }),
  'text-bracket-too-many': ({ bracket }) => ({
    title: `a ${BRACKET[bracket]} too many`,
    message: `This \`${bracket}\` closes nothing.`,
    suggestion: 'Take it out.',
  }),
  'text-comma-in-number': ({ repaired }) => ({
    title: 'a comma in a number',
    message: 'Numbers are written without commas, and decimals with a point.',
    suggestion: `Write \`${repaired}\`.`,
  }),
  'text-quote-left-open': ({ quote }) => ({
    title: 'a quote is never closed',
    message: `The quote opened here has no closing \`${quote}\` on its line.`,
    suggestion: 'Close it, or take it out: most texts need no quotes.',
  }),
  'text-comma-missing': ({ key }) => ({
    title: 'a comma is missing',
    message: `In braces there is a comma between entries; there is none before \`${key}\`.`,
    suggestion: `Put a comma before \`${key}\`.`,
  }),
  'text-colon-missing': ({ key }) => ({
    title: 'a colon is missing',
    message: `There is no colon after \`${key}\`.`,
    suggestion: `Write \`${key}: …\`, with a space after the colon.`,
  }),
  'text-more-findings': ({ limit }) => ({
    title: 'and more',
    message: `There are more than ${limit} findings; the rest is left out.`,
    suggestion: 'Put these right first.',
  }),
} satisfies Partial<AllWords>;
