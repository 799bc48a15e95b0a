/**
 * The desk's page: the frame round the panes.
 *
 * Always holds: the address holds the plan's name only.
 */

import { render } from 'preact';
import { useEffect, useRef } from 'preact/hooks';
import type { DeskNews } from '../wire.ts';
import { askDesk, askPlan, keepText, listen, Silent, savePlan } from './api.ts';
import { hearJob } from './controller-work.ts';
import { lookAgain } from './editor.ts';
import { Fetched } from './fetched.tsx';
import { PANES, type Pane } from './panes.ts';
import { PlanPane } from './plan-pane.tsx';
import { type PlanKeeper, PlanText } from './plan-text.ts';
import {
  bookTold,
  desk,
  forgetLampFiles,
  forgetPlan,
  isNarrow,
  isThere,
  notice,
  pane,
  planText,
  WINDOW,
} from './state.ts';
import { Versions } from './versions.tsx';

const KEEPER: PlanKeeper = {
  open: askPlan,
  keep: keepText,
  save: savePlan,
  isSilence: (failure) => failure instanceof Silent,
};

async function openPlan(name: string): Promise<void> {
  try {
    const opened = await askPlan(name, WINDOW);
    forgetPlan();
    planText.value = new PlanText(name, WINDOW, opened, KEEPER);
    document.title = `${name} · Leanward`;
    history.replaceState(null, '', `/#${encodeURIComponent(name)}`);
    notice.value = undefined;
  } catch (error) {
    notice.value = error instanceof Error ? error.message : String(error);
  }
}

/** In the list of plans: none of them. No plan has this name. */
const ANOTHER = '';

/** Leaves the open plan: what was typed into it is kept. */
function choosePlan(): void {
  forgetPlan();
  planText.value = undefined;
  document.title = 'Leanward';
  history.replaceState(null, '', '/');
}

async function lookAround(): Promise<void> {
  try {
    desk.value = await askDesk();
    notice.value = undefined;
  } catch (error) {
    notice.value = error instanceof Error ? error.message : String(error);
  }
}

function readLampFilesAgain(file?: string): void {
  forgetLampFiles(file);
  lookAgain();
}

function hear(told: DeskNews): void {
  if (told.kind === 'folder') void lookAround();
  else if (told.kind === 'lamp-file') readLampFilesAgain(told.file);
  else if (told.kind === 'job') hearJob(told.job);
  else if (told.kind === 'book') bookTold.value += told.name === planText.value?.name ? 1 : 0;
  else planText.value?.hear(told);
}

async function begin(): Promise<void> {
  await lookAround();
  const named = decodeURIComponent(location.hash.slice(1));
  const { plans = [], opened } = desk.value ?? {};
  const first =
    plans.find(({ name }) => name === named)?.name ??
    opened ??
    (plans.length === 1 ? plans[0]?.name : undefined);
  if (first !== undefined) await openPlan(first);
  listen(WINDOW, hear, (state) => {
    if (state) void planText.value?.meet();
    // Nobody told of what changed meanwhile.
    if (state && !isThere.value) readLampFilesAgain();
    isThere.value = state;
  });
}

function Desk() {
  const plan = planText.value;
  useEffect(() => {
    const warn = (event: BeforeUnloadEvent): void => {
      if (planText.value?.isUnkept.value) event.preventDefault();
    };
    addEventListener('beforeunload', warn);
    return () => removeEventListener('beforeunload', warn);
  }, []);
  return (
    <>
      <Head plan={plan} />
      {notice.value === undefined ? null : (
        <div class="notice" role="alert">
          <p>{notice.value}</p>
          <button type="button" class="quiet" onClick={() => (notice.value = undefined)}>
            Put away
          </button>
        </div>
      )}
      {plan ? <Versions plan={plan} /> : null}
      {plan ? (
        <main class="panes">
          <section
            class="pane"
            data-pane="plan"
            aria-label="Plan"
            hidden={isNarrow.value && pane.value !== 'plan'}
          >
            <PlanPane key={plan.name} plan={plan} />
          </section>
          {PANES.map((one) => (
            <PaneSection key={one.name} pane={one} isShown={shownPane() === one.name} />
          ))}
        </main>
      ) : (
        <main class="choice">
          <Choice />
        </main>
      )}
    </>
  );
}

/** A pane beside the plan; once opened it stays, though hidden. */
function PaneSection({ pane: { name, title, load }, isShown }: { pane: Pane; isShown: boolean }) {
  const wasShown = useRef(false);
  wasShown.current ||= isShown;
  return (
    <section class="pane" data-pane={name} aria-label={title} hidden={!isShown}>
      <h2>{title}</h2>
      {wasShown.current ? <Fetched load={load} given={{}} /> : null}
    </section>
  );
}

/** Beside the plan there is always another pane, on a phone only one. */
const shownPane = (): string => (pane.value === 'plan' && !isNarrow.value ? PANES[0].name : pane.value);

function Head({ plan }: { plan: PlanText | undefined }) {
  const plans = desk.value?.plans ?? [];
  return (
    <header>
      <h1>Leanward</h1>
      {plan ? (
        <label class="which">
          <span class="soft">Plan</span>
          <select
            value={plan.name}
            onChange={({ currentTarget }) =>
              currentTarget.value === ANOTHER ? choosePlan() : void openPlan(currentTarget.value)
            }
          >
            {[...new Set([...plans.map(({ name }) => name), plan.name])].map((name) => (
              <option key={name}>{name}</option>
            ))}
            <option value={ANOTHER}>a new plan …</option>
          </select>
        </label>
      ) : null}
      {plan ? <SaveState plan={plan} /> : null}
      {plan ? (
        <nav aria-label="Panes">
          {[...(isNarrow.value ? [{ name: 'plan', title: 'Plan' }] : []), ...PANES].map(({ name, title }) => (
            <button
              key={name}
              type="button"
              aria-pressed={shownPane() === name}
              onClick={() => {
                pane.value = name;
              }}
            >
              {title}
            </button>
          ))}
        </nav>
      ) : null}
    </header>
  );
}

function SaveState({ plan }: { plan: PlanText }) {
  const words =
    plan.fault.value ??
    (isThere.value ? savedWords(plan) : 'The desk has stopped; what you type stays here.');
  return (
    <div class="save">
      <button type="button" disabled={!plan.isUnsaved.value} onClick={() => void plan.save()}>
        Save
      </button>
      <span role="status" class={plan.fault.value || !isThere.value ? 'ill' : 'soft'}>
        {words}
      </span>
    </div>
  );
}

function savedWords(plan: PlanText): string {
  if (!plan.isUnsaved.value) return 'saved';
  return plan.isUnkept.value ? 'not saved' : 'not saved; kept for the next time';
}

/** No plan is open: the folder's plans, and a first one. */
function Choice() {
  const here = desk.value;
  if (!here) return <p class="soft">Asking for the plans of the folder …</p>;
  return (
    <>
      {here.plans.length > 0 ? (
        <section class="card">
          <h2>Plans in {here.folder}</h2>
          <ul class="plans">
            {here.plans.map(({ name, unsaved }) => (
              <li key={name}>
                <button type="button" onClick={() => void openPlan(name)}>
                  {name}
                </button>
                {unsaved ? <span class="soft"> with text that was not saved</span> : null}
              </li>
            ))}
          </ul>
        </section>
      ) : (
        <p class="soft">There is no plan in {here.folder} yet.</p>
      )}
      <Fetched load={firstPlan} given={{ open: (name: string) => void openPlan(name) }} />
    </>
  );
}

const firstPlan = async () => (await import('./starter-form.tsx')).StarterForm;

const root = document.getElementById('desk');
if (root) {
  root.textContent = '';
  render(<Desk />, root);
  void begin();
}
