/**
 * What the commands tell a grower to type, as what she presses on the desk.
 *
 * Always holds: sentences stay those of the commands; only the command or
 * option in them is told by its button. What has none stays as it is.
 */

const FLASH = 'press “Flash the plan” in the pane Controller';
const SET_CLOCK = 'tick it under “Rarely needed”, press “Look at it”';

/** What a sentence says, and what it says on the desk. A plan's name may have blanks in it; no sentence goes past a tag. */
const SAID: readonly (readonly [said: RegExp, here: string])[] = [
  [
    /note PLAN --withdraw ID, each by the number behind its line/g,
    'press “Take back” for each, in the bags’ histories, in the pane Evening',
  ],
  [/note PLAN --withdraw \w+/g, 'press “Take back” in the bag’s history, in the pane Evening'],
  [/harvest PLAN BAG --fresh "[^"]+"/g, 'write both masses'],
  [
    /of several bags weighed at once, add --together/g,
    'of several bags weighed at once, tick that they were',
  ],
  [
    /The controllers do not know yet: leanward flash [^<\n]+? --port PORT\./g,
    `The controllers do not know yet: ${FLASH}.`,
  ],
  [/\. leanward flash (?:[^<\n]+? )??puts it on/g, `. To put it on, ${FLASH}`],
  [/leanward flash (?:[^<\n]+? )??puts it on/g, `to put it on, ${FLASH}`],
  [/leanward flash sets it/g, 'flash the plan to set it'],
  [/, with leanward lamps\./g, ': press “Light its lamps in turn”.'],
  [/leanward log [^<\n]+? --port PORT reads it/g, 'to read it, press “Look at it” in the pane Controller'],
  [/ \(`log PLAN --set-clock`\)/g, `: ${SET_CLOCK}`],
  [/(?:`log PLAN --set-clock`|--set-clock) sets it/g, `to set it, ${SET_CLOCK}`],
  [/Look with `leanward status` once it answers/g, 'Press “Look at it” once it answers'],
  [/leanward check [^<\n]+? shows (it|them)/g, 'the pane Plan shows $1'],
  [/`check` says how/g, 'the findings in the pane Plan say how'],
  [/; --last 1000 shows more\./g, '.'],
  [/Write --why with one of/g, 'Choose one of'],
  [/Say which stage begins with --stage NAME\./g, 'Choose the stage itself.'],
];

/** Words of the commands as the desk says them. */
export const toPress = (words: string): string =>
  SAID.reduce((now, [said, here]) => now.replace(said, here), words);
