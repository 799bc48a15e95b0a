/**
 * What the commands tell a grower to type, as what she presses on the desk.
 *
 * Always holds: sentences stay those of the commands; only the command or
 * option in them is told by its button. What has none stays as it is.
 */

const FLASH = 'Flash the plan in the pane Controller';

/** What a sentence says, and what it says on the desk. */
const SAID: readonly (readonly [said: RegExp, here: string])[] = [
  [/note PLAN --withdraw \w+/g, 'press Take back in the bag’s history, in the pane Evening'],
  [/harvest PLAN BAG --fresh "[^"]+"/g, 'write both masses'],
  [
    /of several bags weighed at once, add --together/g,
    'of several bags weighed at once, tick that they were',
  ],
  [
    /The controllers do not know yet: leanward flash .+? --port PORT\./g,
    `The controllers do not know yet: press ${FLASH}.`,
  ],
  [/leanward flash (?:\S+ (?:--port PORT )?)?(puts it on|sets it)/g, `${FLASH} $1`],
  [/, with leanward lamps\./g, ': Light its lamps in turn.'],
  [/leanward log \S+ --port PORT reads it/g, 'Look at it in the pane Controller reads it'],
  [/`log PLAN --set-clock`/g, 'Look at it in the pane Controller, with the tick under Rarely needed'],
  [/--set-clock sets it/g, 'the tick under Rarely needed sets it'],
  [/Look with `leanward status` once it answers/g, 'Look at it once it answers'],
  [/leanward check \S+ shows (it|them)/g, 'the pane Plan shows $1'],
  [/`check` says how/g, 'the findings in the pane Plan say how'],
  [/; --last 1000 shows more\./g, '.'],
  [/Write --why with one of/g, 'Choose one of'],
];

/** Words of the commands as the desk says them. */
export const toPress = (words: string): string =>
  SAID.reduce((now, [said, here]) => now.replace(said, here), words);
