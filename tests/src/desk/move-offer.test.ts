/**
 * A move that is offered on the desk belongs to the plan that is open and to the book as it stands; why one is refused
 * stays to be read. The window and its server are stand-ins: no browser is run here.
 */

import { afterAll, beforeAll, describe, expect, it, vi } from 'vitest';

const window = new EventTarget();
/** What the server was asked, and how it answers. */
const asked: string[] = [];
let refusal: string | undefined;

vi.stubGlobal('matchMedia', () => Object.assign(new EventTarget(), { matches: false }));
vi.stubGlobal('Worker', EventTarget);
vi.stubGlobal('addEventListener', window.addEventListener.bind(window));
vi.stubGlobal('fetch', async (path: string) => {
  asked.push(path);
  if (path.startsWith('/would-move') && refusal !== undefined) return new Response(refusal, { status: 409 });
  return Response.json(path.startsWith('/would-move') ? { said: [`answer ${asked.length}`] } : {});
});

const state = await import('../../../src/desk/browser/state.ts');
const evening = await import('../../../src/desk/browser/evening-state.ts');
const moves = await import('../../../src/desk/browser/move-offer.ts');
const { PlanText } = await import('../../../src/desk/browser/plan-text.ts');

const never = (): Promise<never> => new Promise(() => undefined);
const KEEPER = { open: never, keep: never, save: never, isSilence: () => false };
const open = (name: string): void => {
  const opened = { text: '', mark: '', count: 0, unsaved: undefined, other: undefined };
  state.planText.value = new PlanText(name, 'w', opened as never, KEEPER);
};
const MOVE = { bags: 'spring-01', to: 'B', swap: '' };
const settled = (): Promise<void> => new Promise((done) => setTimeout(done, 0));

beforeAll(() => {
  state.isMovingBags.value = true;
});
afterAll(() => vi.unstubAllGlobals());

describe('a move that is offered', () => {
  it('goes, with the bag that is picked, when another plan is opened', async () => {
    open('one.plan.yaml');
    moves.pickedPlace.value = 'A-1';
    await moves.askMove(MOVE);
    expect(moves.moveOffered.value).toMatchObject({ plan: 'one.plan.yaml', move: MOVE });
    open('two.plan.yaml');
    expect(moves.moveOffered.value).toBeUndefined();
    expect(moves.pickedPlace.value).toBeUndefined();
    open('one.plan.yaml');
    expect(moves.moveOffered.value).toBeUndefined();
  });

  it('is not of the plan opened while the server was thinking', async () => {
    open('one.plan.yaml');
    const asking = moves.askMove(MOVE);
    open('two.plan.yaml');
    await asking;
    expect(moves.moveOffered.value).toBeUndefined();
  });

  it('is asked anew when the book is told of', async () => {
    open('one.plan.yaml');
    await moves.askMove(MOVE);
    const before = moves.moveOffered.value?.would.said;
    state.bookTold.value += 1;
    await settled();
    expect(moves.moveOffered.value?.would.said).not.toEqual(before);
    expect(moves.moveOffered.value?.move).toBe(MOVE);
    refusal = 'spring-01 is out.';
    state.bookTold.value += 1;
    await settled();
    expect(moves.moveOffered.value).toBeUndefined();
    expect(evening.eveningFault.value).toBe('spring-01 is out.');
  });

  it('that was refused says why until the next is asked for, though the window is left and come back to', async () => {
    open('one.plan.yaml');
    refusal = 'B is full.';
    await moves.askMove(MOVE);
    expect(evening.eveningFault.value).toBe('B is full.');
    const before = asked.length;
    window.dispatchEvent(new Event('focus'));
    await settled();
    expect(asked.slice(before).some((path) => path.startsWith('/evening'))).toBe(true);
    expect(evening.eveningFault.value).toBe('B is full.');
    refusal = undefined;
    await moves.askMove(MOVE);
    expect(evening.eveningFault.value).toBeUndefined();
  });
});
