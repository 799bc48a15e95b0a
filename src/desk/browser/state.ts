/**
 * What the page shows: the open plan, what was found in it, the rack and its
 * light at the hand on the time.
 *
 * Always holds: a picture is that of the last text without errors, and the
 * page says when that is not the text in the editor.
 */

import { batch, computed, effect, signal } from '@preact/signals';
import type { ResolvedPlan } from '../../../compiler/plan/plan.ts';
import type { Movable } from '../../../compiler/write/move.ts';
import { civilDay } from '../../../shared/units.ts';
import type { RackMoment } from '../../answers/light/moment.ts';
import type { Desk } from '../wire.ts';
import type { Lived } from '../wire-book.ts';
import { askLampFile } from './api.ts';
import { PageWorker } from './ask-worker.ts';
import type { At, CheckAnswer, ToldFinding, TrialAnswer, WeeksAnswer } from './messages.ts';
import type { PlanText } from './plan-text.ts';

/** Names this window to the server. */
export const WINDOW = crypto.randomUUID();

export const desk = signal<Desk | undefined>(undefined);
/** Counts what was told of the open plan's archive: an entry, an answer, a log that was read. */
export const bookTold = signal(0);
export const planText = signal<PlanText | undefined>(undefined);
/** In the rack single bags are moved, not its parts. */
export const isMovingBags = signal(false);
/** Something to be told beside the panes. */
export const notice = signal<string | undefined>(undefined);
/** The server answers. */
export const isThere = signal(true);
/** `plan`, or the name of one of the panes beside it (panes.ts). */
export const pane = signal('plan');

/** As the style sheet has it: panes stand one at a time. */
const narrow = matchMedia('(max-width: 800px)');
export const isNarrow = signal(narrow.matches);
narrow.addEventListener('change', () => {
  isNarrow.value = narrow.matches;
});

export const findings = signal<readonly ToldFinding[]>([]);
/** The last text without errors, compiled. */
export const checked = signal<CheckAnswer | undefined>(undefined);
/** The text in the editor is being worked out. */
export const isBusy = signal(false);
/** The picture is of an earlier text. */
export const isStale = signal(false);

export const hand = signal<At>({ day: civilDay(0), minute: 12 * 60 });
export const moment = signal<RackMoment | undefined>(undefined);
/** The compiled text whose light `moment` is, and where the hand was. */
const lit = signal<{ readonly of: CheckAnswer; readonly at: At } | undefined>(undefined);
export const picked = signal<Movable | undefined>(undefined);
/** Name of the lamp that is pointed at. */
export const pointed = signal<string | undefined>(undefined);
/** A move that is being tried. */
export const trial = signal<TrialAnswer | undefined>(undefined);

/** What is made to happen in the simulated grow, as `--event` takes it. */
export const events = signal<readonly string[]>([]);
/** Keys of visits that are to be missed. */
export const missed = signal<readonly string[]>([]);
/** What really happened, where an archive tells of it. */
export const lived = signal<Lived>({ weeks: undefined, practice: false });
export const weeks = signal<WeeksAnswer | undefined>(undefined);

/** The plan that is drawn. */
export const drawn = computed<ResolvedPlan | undefined>(() => trial.value?.plan ?? checked.value?.plan);

export const worker = new PageWorker();

let asked = 0;
/** Texts of lamps' files by name. */
const lampFiles = new Map<string, string>();

/** Works out a text; `show` is called with its findings while they are this text's. */
export async function checkText(text: string, show: (found: readonly ToldFinding[]) => void): Promise<void> {
  asked += 1;
  const own = asked;
  isBusy.value = true;
  const isLatest = (): boolean => own === asked;
  try {
    const at = hand.peek();
    const answer = await check(text, at, isLatest);
    if (!answer || !isLatest()) return;
    batch(() => {
      show(answer.findings);
      isStale.value = answer.plan === undefined;
      if (answer.plan) showRack(answer, at);
      else trial.value = undefined;
      isBusy.value = false;
    });
  } catch (error) {
    notice.value = error instanceof Error ? error.message : String(error);
  } finally {
    if (isLatest()) isBusy.value = false;
  }
}

/** Another plan is opened, or none: nothing of the one before is shown, nor let happen, any more. */
export function forgetPlan(): void {
  asked += 1;
  batch(() => {
    findings.value = [];
    checked.value = undefined;
    trial.value = undefined;
    moment.value = undefined;
    lit.value = undefined;
    picked.value = undefined;
    pointed.value = undefined;
    isStale.value = false;
    isBusy.value = false;
    events.value = [];
    missed.value = [];
    lived.value = { weeks: undefined, practice: false };
    weeks.value = undefined;
  });
}

/** Begins with the lamps' files that are here; where others are fetched, the text is checked with them. */
async function check(text: string, at: At, isLatest: () => boolean): Promise<CheckAnswer | undefined> {
  const photometry = Object.fromEntries(lampFiles);
  const answer = await worker.ask('check', { text, photometry, at, events: events.peek() });
  const isNew = answer && isLatest() && (await fetchLampFiles(answer.lampFiles));
  return isNew && isLatest() ? check(text, at, isLatest) : answer;
}

/** Fetches what is not here yet; whether something came. */
async function fetchLampFiles(names: readonly string[]): Promise<boolean> {
  let isNew = false;
  for (const name of names) {
    if (lampFiles.has(name)) continue;
    const text = await askLampFile(name);
    if (text === undefined) continue;
    lampFiles.set(name, text);
    isNew = true;
  }
  return isNew;
}

/** A lamp's file is another one, or all may be: they are fetched when they are next needed. */
export function forgetLampFiles(name?: string): void {
  if (name === undefined) lampFiles.clear();
  else lampFiles.delete(name);
}

/** The rack of a text with the light that was asked for where the hand was. */
function showRack(of: CheckAnswer, asked: At): void {
  checked.value = of;
  // Its place is in the text now.
  trial.value = undefined;
  const { days, light } = of;
  const { day, minute } = hand.peek();
  // Where the hand was moved meanwhile, its light is asked for.
  if (!days || !light || (hand.peek() !== asked && day >= days.first && day < days.end)) return;
  if (light.at.day !== day || light.at.minute !== minute) hand.value = light.at;
  moment.value = light.moment;
  lit.value = { of, at: hand.peek() };
}

/** The light that is shown is that of an earlier text. */
export const isLightBehind = computed(
  () => isBusy.value || (checked.value?.days !== undefined && lit.value?.of !== checked.value),
);

effect(() => {
  const at = hand.value;
  const of = checked.value;
  if (!of?.days) {
    moment.value = undefined;
    return;
  }
  const now = lit.peek();
  if (now?.of === of && now.at === at) return;
  worker.ask('moment', at).then(
    (answer) => {
      if (!answer) return;
      moment.value = answer;
      lit.value = { of, at };
    },
    (error: Error) => {
      notice.value = error.message;
    },
  );
});

/**
 * Asks about the plan that is shown what is not needed at once: of a plan that
 * was just changed when nobody has typed or dragged for `stillMs`, afterwards
 * whenever a signal that `look` reads changes. `look` tells what to ask, if anything.
 */
export function whenStill(stillMs: number, look: (plan: CheckAnswer) => (() => void) | undefined): void {
  let followed: CheckAnswer | undefined;
  let waiting: ReturnType<typeof setTimeout> | undefined;
  effect(() => {
    clearTimeout(waiting);
    const plan = checked.value;
    const ask = plan && look(plan);
    if (!ask || isBusy.value || isTrying.value) return;
    const now = (): void => {
      followed = plan;
      ask();
    };
    if (plan === followed) now();
    else waiting = setTimeout(now, stillMs);
  });
}

/** A move is being tried, wherever to. */
export const isTrying = computed(() => trial.value !== undefined);

const WEEKS_STILL_MS = 200;

/** The weeks are worked out when they are looked at, or when something is made to happen in them. */
whenStill(WEEKS_STILL_MS, (of) => {
  const wanted = events.value;
  const asking = { events: wanted, missed: missed.value, lived: lived.value.weeks };
  if (!of.days || (pane.value !== 'weeks' && wanted.length === 0)) return undefined;
  return () => {
    worker.ask('weeks', asking).then(
      (answer) => {
        // Of a text that was changed since, or of another plan: it is asked for anew.
        if (!answer || checked.peek() !== of) return;
        weeks.value = answer;
        // Rack and light show what happens too.
        hand.value = { ...hand.peek() };
      },
      (error: Error) => {
        notice.value = error.message;
      },
    );
  };
});
