/** What the commands tell to type is told on the desk by its button, for as long as they say it so. */

import { readFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import { toPress } from '../../../src/desk/server/to-press.ts';

/** Where it is said, how it stands there, how it is said, and what it becomes. */
const SAID: readonly (readonly [file: string, source: string, said: string, here: string])[] = [
  [
    'answers/book/entries.ts',
    'take it back: note PLAN --withdraw ${',
    'If that is wrong, take it back: note PLAN --withdraw 3712be24.',
    'If that is wrong, take it back: press “Take back” in the bag’s history, in the pane Evening.',
  ],
  [
    'answers/book/way-on.ts',
    'take them back (note PLAN --withdraw ID, each by the number behind its line)',
    'If not, take them back (note PLAN --withdraw ID, each by the number behind its line) and enter them again.',
    'If not, take them back (press “Take back” for each, in the bags’ histories, in the pane Evening) and enter them again.',
  ],
  [
    'answers/book/began-entries.ts',
    'note PLAN --withdraw ID.',
    'If that is wrong, take it back first: note PLAN --withdraw ID.',
    'If that is wrong, take it back first: press “Take back” in the bag’s history, in the pane Evening.',
  ],
  [
    'answers/book/harvest-entries.ts',
    'harvest PLAN BAG --fresh "85 g".',
    'Give the fresh mass too: harvest PLAN BAG --fresh "85 g".',
    'Give the fresh mass too: write both masses.',
  ],
  [
    'answers/book/harvest-entries.ts',
    'of several bags weighed at once, add --together.',
    'Check the mass and its unit; of several bags weighed at once, add --together.',
    'Check the mass and its unit; of several bags weighed at once, tick that they were.',
  ],
  [
    'jobs/plan-change.ts',
    'The controllers do not know yet: leanward flash $',
    'The controllers do not know yet: leanward flash my rack.plan.yaml --port PORT.',
    'The controllers do not know yet: press “Flash the plan” in the pane Controller.',
  ],
  [
    'jobs/standing.ts',
    ' --port PORT puts it on.',
    'rack: the plan was changed. leanward flash my rack.plan.yaml --port PORT puts it on.',
    'rack: the plan was changed. To put it on, press “Flash the plan” in the pane Controller.',
  ],
  [
    'jobs/log/keep-log.ts',
    ' puts it on.',
    'Note: the plan was changed. leanward flash my rack.plan.yaml puts it on.',
    'Note: the plan was changed. To put it on, press “Flash the plan” in the pane Controller.',
  ],
  [
    'answers/status/text.ts',
    '; leanward flash puts it on',
    'the plan was changed; leanward flash puts it on',
    'the plan was changed; to put it on, press “Flash the plan” in the pane Controller',
  ],
  [
    'answers/status/text.ts',
    '(leanward flash sets it)',
    'all lamps stay off until it is (leanward flash sets it)',
    'all lamps stay off until it is (flash the plan to set it)',
  ],
  [
    'jobs/lamps.ts',
    'is the one the plan means, with leanward lamps.',
    'check that each lamp is the one the plan means, with leanward lamps.',
    'check that each lamp is the one the plan means: press “Light its lamps in turn”.',
  ],
  [
    'answers/review/text.ts',
    'leanward log PLAN --port PORT reads it.',
    'No log of rack has been read yet: leanward log PLAN --port PORT reads it.',
    'No log of rack has been read yet: to read it, press “Look at it” in the pane Controller.',
  ],
  [
    'answers/review/verdict.ts',
    'set the clock (`log PLAN --set-clock`)',
    'set the clock (`log PLAN --set-clock`), then review again',
    'set the clock: tick it under “Rarely needed”, press “Look at it”, then review again',
  ],
  [
    'jobs/log/keep-log.ts',
    '; --set-clock sets it.',
    "The controller's clock is 9 s behind; --set-clock sets it.",
    "The controller's clock is 9 s behind; to set it, tick it under “Rarely needed”, press “Look at it”.",
  ],
  [
    'answers/review/verdict.ts',
    '`check` says how',
    "keep other zones' light out: `check` says how.",
    "keep other zones' light out: the findings in the pane Plan say how.",
  ],
  [
    'jobs/log/print.ts',
    '; --last 1000 shows more.',
    'These are the newest 40 of 54; --last 1000 shows more.',
    'These are the newest 40 of 54.',
  ],
  [
    'jobs/flash/transfer.ts',
    'Look with `leanward status` once it answers',
    'Look with `leanward status` once it answers, then flash again.',
    'Press “Look at it” once it answers, then flash again.',
  ],
  [
    'jobs/plan-file.ts',
    '; leanward check $',
    'rack.plan.yaml: 2 warnings; leanward check my rack.plan.yaml shows them.',
    'rack.plan.yaml: 2 warnings; the pane Plan shows them.',
  ],
  [
    'jobs/book/open-book.ts',
    'Write --why with one of ${',
    'Write --why with one of mould and other.',
    'Choose one of mould and other.',
  ],
  [
    'jobs/book/began.ts',
    'Say which stage begins with --stage NAME.',
    'spring has no stage climb. Say which stage begins with --stage NAME.',
    'spring has no stage climb. Choose the stage itself.',
  ],
  [
    'answers/review/words.ts',
    'not been set yet: `log PLAN --set-clock` sets it',
    'the clock is estimated and has not been set yet: `log PLAN --set-clock` sets it',
    'the clock is estimated and has not been set yet: to set it, tick it under “Rarely needed”, press “Look at it”',
  ],
];

describe('on the desk', () => {
  it.each(SAID)('%s says at `%s` what to press', (file, source, said, here) => {
    const text = readFileSync(new URL(`../../../src/${file}`, import.meta.url), 'utf8');
    expect(text).toContain(source);
    expect(toPress(said)).toBe(here);
  });
});
