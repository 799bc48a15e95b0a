import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { sure } from '../../../shared/assert.ts';
import { share } from '../../support/share.ts';
import { BEGINNING, World } from './windows.ts';

/** What happens next; numbers choose among what there is. */
type Step =
  | { readonly do: 'type' | 'delete'; readonly window: number; readonly at: number }
  | { readonly do: 'save' | 'hear' | 'arrive' | 'answer'; readonly which: number }
  | { readonly do: 'change file' | 'kill' | 'fail before' | 'fail after' };

const nat = fc.nat(99);
/** Few places, so that windows write at the same one. */
const near = fc.nat(4);
const step: fc.Arbitrary<Step> = fc.oneof(
  { weight: 6, arbitrary: fc.record({ do: fc.constant('type' as const), window: nat, at: near }) },
  { weight: 2, arbitrary: fc.record({ do: fc.constant('delete' as const), window: nat, at: near }) },
  { weight: 2, arbitrary: fc.record({ do: fc.constant('save' as const), which: nat }) },
  { weight: 5, arbitrary: fc.record({ do: fc.constant('hear' as const), which: nat }) },
  { weight: 6, arbitrary: fc.record({ do: fc.constant('arrive' as const), which: nat }) },
  { weight: 6, arbitrary: fc.record({ do: fc.constant('answer' as const), which: nat }) },
  {
    weight: 4,
    arbitrary: fc.constantFrom<Step>(
      { do: 'change file' },
      { do: 'kill' },
      { do: 'kill' },
      { do: 'fail before' },
      { do: 'fail after' },
    ),
  },
);

/** Each character that is typed is another, so that one that is lost or doubled shows. */
class Typist {
  private count = 0;
  readonly typed = new Set<string>();
  readonly deleted = new Set<string>();

  next(): string {
    this.count += 1;
    const one = String.fromCodePoint(0x4e00 + this.count);
    this.typed.add(one);
    return one;
  }
}

async function take(world: World, typist: Typist, now: Step): Promise<void> {
  switch (now.do) {
    case 'type': {
      const window = sure(world.windows[now.window % world.windows.length]);
      const from = now.at % (window.text.length + 1);
      return window.dispatch({ changes: { from, insert: typist.next() } });
    }
    case 'delete': {
      const window = sure(world.windows[now.window % world.windows.length]);
      if (window.text === '') return;
      const from = now.at % window.text.length;
      typist.deleted.add(sure(window.text[from]));
      return window.dispatch({ changes: { from, to: from + 1 } });
    }
    case 'save':
      return void sure(world.windows[now.which % world.windows.length]).plan.save();
    case 'hear':
      return void (await world.hear(sure(world.windows[now.which % world.windows.length])));
    case 'arrive':
      return void world.arrive(now.which);
    case 'answer':
      return void (await world.answer(now.which));
    case 'change file':
      // Within the second in which a window does not know what became of its text, neither this nor another kill.
      if (!world.isAdrift) world.changeFile(`${world.file}# by another program\n`);
      return;
    case 'fail before':
      return void world.arrive(0, 'before');
    case 'fail after':
      return void world.arrive(0, 'after');
    case 'kill':
      if (!world.isAdrift) await world.kill();
  }
}

/** Whether each window has each typed character once; one that was deleted may be gone. */
function expectWhole(world: World, { typed, deleted }: Typist): void {
  for (const { text } of world.windows) {
    const counts = new Map<string, number>();
    for (const one of text) counts.set(one, (counts.get(one) ?? 0) + 1);
    for (const one of typed) {
      if (deleted.has(one)) expect(counts.get(one) ?? 0).toBeLessThanOrEqual(1);
      else expect(counts.get(one)).toBe(1);
    }
  }
}

async function run(windows: number, steps: readonly Step[]): Promise<void> {
  const world = new World(windows);
  try {
    const typist = new Typist();
    for (const now of steps) await take(world, typist, now);
    await world.rest();
    // A window that was refused tries again when more is typed in it, or when it meets the server.
    for (const { plan } of world.windows) void plan.meet();
    await world.rest();
    expectWhole(world, typist);
    const [first] = world.windows;
    for (const { text } of world.windows) expect(text).toBe(sure(first).text);
    // Where the file was changed underneath, every window says so, and one of them decides.
    for (const { plan } of world.windows)
      expect(plan.other.value !== undefined).toBe(sure(first).plan.other.value !== undefined);
    if (sure(first).plan.other.value) void sure(first).plan.keepOwn();
    else void sure(first).plan.save();
    await world.rest();
    expectWhole(world, typist);
    for (const { text, plan } of world.windows) {
      expect(text).toBe(world.file);
      expect([plan.isUnsaved.value, plan.isUnkept.value, plan.other.value]).toEqual([
        false,
        false,
        undefined,
      ]);
    }
    expect(world.isUnsavedKept).toBe(false);
  } finally {
    world.sweep();
  }
}

describe('windows on one plan', () => {
  it('have what was typed once, whatever overtakes what, and though the server is killed', async () => {
    await fc.assert(
      fc.asyncProperty(fc.integer({ min: 1, max: 3 }), fc.array(step, { maxLength: 60 }), run),
      { numRuns: share(100, 3000) },
    );
  });

  it('typed on by another window before the first one learns that its text arrived: it is there once', async () => {
    const world = new World(2);
    const [first, second] = [sure(world.windows[0]), sure(world.windows[1])];
    await world.rest();
    first.dispatch({ changes: { from: 0, insert: 'a' } });
    await world.hear(first);
    world.arrive(0, 'after');
    await world.answer(0);
    await world.hear(second);
    second.dispatch({ changes: { from: 0, insert: 'b' } });
    await world.rest();
    first.dispatch({ changes: { from: 0, insert: 'c' } });
    await world.rest();
    expect([first.text, second.text]).toEqual([`cba${BEGINNING}`, `cba${BEGINNING}`]);
    world.sweep();
  });

  it('saved before what was typed is kept: the text is there once', async () => {
    const world = new World(1);
    const [window] = world.windows;
    await world.rest();
    sure(window).dispatch({ changes: { from: BEGINNING.length, insert: '# by hand\n' } });
    void sure(window).plan.save();
    await world.rest();
    expect([sure(window).text, world.file]).toEqual([`${BEGINNING}# by hand\n`, `${BEGINNING}# by hand\n`]);
    world.sweep();
  });
});
