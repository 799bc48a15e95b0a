/** `note`: which bag, batch or rack the words that are typed mean. */

import { describe, expect, it } from 'vitest';
import { bagLives } from '../../../src/answers/bags/lives.ts';
import { aboutOf } from '../../../src/cli/commands/note/about.ts';
import { Failure } from '../../../src/failure.ts';
import { day, planOf, sampleText } from '../answers/visits/plan.ts';

const plan = planOf(sampleText('pantry'));
const book = { plan, lives: bagLives(plan, []), day: day('2026-05-01') };

/** As the shell gives the words: `--rack` stands for itself. */
function meant(...typed: readonly string[]): string {
  const [word = '', ...more] = typed.filter((one) => one !== '--rack');
  try {
    const about = aboutOf(book, word, more, typed.includes('--rack'));
    const of = 'life' in about ? about.life.name : about.batch || 'the rack';
    return `${of}: ${about.text}`;
  } catch (error) {
    if (!(error instanceof Failure)) throw error;
    return `${error.message} ${error.hint}`;
  }
}

describe('a note', () => {
  it('is on the bag, the batch or the rack that is written', () => {
    expect(meant('A-1', '12', 'cm')).toBe('early-01: 12 cm');
    expect(meant('early-03', 'three tips')).toBe('early-03: three tips');
    expect(meant('early', 'all', 'well')).toBe('early: all well');
    expect(meant('early', '3 bags are wet')).toBe('early: 3 bags are wet');
    expect(meant('fan moved to the left')).toBe('the rack: fan moved to the left');
    expect(meant('early rain got in')).toBe('the rack: early rain got in');
    expect(meant('fan', 'moved', '--rack')).toBe('the rack: fan moved');
    expect(meant('A-1 was knocked over', '--rack')).toBe('the rack: A-1 was knocked over');
  });

  it.each(['A-1 12 cm tall, leaning', 'early-03 leaning', 'early 03 leaning', 'A-1: leaning'])(
    'in quotes as a whole is refused where it begins with a bag: %s',
    (words) => expect(meant(words)).toMatch(/begins with the bag .*Write the bag without the quotes.*--rack/),
  );

  it('is not on a batch where its first word may be the number of a bag', () => {
    expect(meant('early', '03', 'leaning', 'left')).toBe(
      "'early 03' may be the bag early-03. Write early-03 if it is; if the note is on the whole batch, put its words in quotes.",
    );
    expect(meant('early', '85', 'leaning')).toBe('early: 85 leaning');
  });

  it('is not on a bag and the whole rack', () => {
    for (const typed of [['A-1', 'big knob'], ['early-03'], ['early', '03', 'leaning']])
      expect(meant(...typed, '--rack')).toContain('and, with --rack, on the whole rack. Leave out');
  });
});
