/** Names from plans, notes and devices cannot steer the terminal. */

import { describe, expect, it } from 'vitest';
import { ink, visible, visibleJson } from '../../../src/cli/terminal.ts';

const EVIL = 'a\u001b[31mb\u001b]0;title\u0007c\u009b2Jd\u202ee\u2066f\rg\u2028h';
const SEEN = 'a [31mb ]0;title c 2Jd e f g h';

describe('what is shown', () => {
  it('has no control or direction characters where no colour is shown', () => {
    expect(visible(EVIL, { isTTY: false })).toBe(SEEN);
    expect(visible('two\nlines', { isTTY: false })).toBe('two\nlines');
  });

  it('keeps colours, and nothing but colours, on a terminal', () => {
    const terminal = { isTTY: true };
    const before = { term: process.env.TERM, none: process.env.NO_COLOR };
    process.env.TERM = 'xterm';
    process.env.NO_COLOR = '';
    try {
      const words = ink('red', 'no\u001b[2Jpe', terminal);
      expect(visible(words, terminal)).toBe('\u001b[31mno [2Jpe\u001b[39m');
      expect(visible('\u001b[1;31mx\u001b[0m\u202e', terminal)).toBe('\u001b[1;31mx\u001b[0m ');
      expect(visible('\u001b[6n\u001b[?25l\u001b]8;;x\u0007', terminal)).not.toContain('\u001b');
    } finally {
      process.env.TERM = before.term ?? '';
      if (before.none === undefined) delete process.env.NO_COLOR;
      else process.env.NO_COLOR = before.none;
    }
  });

  it('is the same JSON for machines, in characters that can be seen', () => {
    const value = { name: `${EVIL}\u{e0001}` };
    const json = visibleJson(JSON.stringify(value));
    expect(JSON.parse(json)).toEqual(value);
    expect(json).toMatch(/^[\x20-\x7e]*$/);
  });
});
