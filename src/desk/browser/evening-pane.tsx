/** The evening: what is to be done today, one press each; the grow book; the bags with their history. */

import type { Evening, EveningVisit } from '../wire-book.ts';
import { BagsList } from './bags-list.tsx';
import { BookForm } from './book-form.tsx';
import { doPress, evening, eveningFault, isPressing } from './evening-state.ts';
import { planText } from './state.ts';
import { LastPress, PlanChanged } from './told.tsx';
import { Unbroken } from './unbroken.tsx';

export function EveningPane() {
  const now = evening.value;
  return (
    <div class="evening-pane">
      {planText.value?.isUnsaved.value ? (
        <p class="stale">
          What is typed and not saved does not count here: the evening goes by the saved plan.
        </p>
      ) : null}
      <LastPress />
      {now ? <Tonight now={now} /> : eveningFault.value ? null : <p class="soft">Being looked up …</p>}
      {now ? <BookForm now={now} /> : null}
      {now ? <BagsList now={now} /> : null}
    </div>
  );
}

function Tonight({ now }: { now: Evening }) {
  return (
    <>
      <h3>Today, {now.todayWords}</h3>
      <p class="soft small">{whereFrom(now)}</p>
      {now.visits.length === 0 ? <p>Nothing to do.</p> : null}
      <ul class="visits">
        {now.visits.map((visit, n) => (
          <Visit key={visit.words} visit={visit} isFirstOfKind={isFirst(now.visits, n)} />
        ))}
      </ul>
      {now.mayEnd ? (
        <div class="card">
          <PlanChanged of={now.mayEnd} />
          <button type="button" disabled={isPressing.value} onClick={() => void doPress('end')}>
            Write that into the plan
          </button>
        </div>
      ) : null}
      {now.cautions.map((line) => (
        <p key={line} class="caution small">
          {line}
        </p>
      ))}
      <details>
        <summary>
          {now.coming.length === 0
            ? `Nothing else in the next ${now.days} days`
            : `The next ${now.days} days`}
        </summary>
        <ul class="coming">
          {now.coming.map((line) => (
            <li key={line}>
              <Unbroken of={line} />
            </li>
          ))}
        </ul>
      </details>
      {now.notKept ? <p class="ill">{now.notKept}</p> : null}
      {now.standing.map((line) => (
        <p key={line} class="small">
          {line}
        </p>
      ))}
    </>
  );
}

function whereFrom({ isArchiveThere, isPractice, archive }: Evening): string {
  if (!isArchiveThere)
    return `There is no archive ${archive} yet: nobody told what was done. The first press makes it.`;
  if (isPractice)
    return `From ${archive}, the archive of a virtual controller: today is the last day that it lived.`;
  return `From ${archive}.`;
}

/** What to look for is said once. */
const isFirst = (visits: readonly EveningVisit[], n: number): boolean =>
  visits.findIndex(({ lookFor }) => lookFor === visits[n]?.lookFor) === n;

function Visit({ visit, isFirstOfKind }: { visit: EveningVisit; isFirstOfKind: boolean }) {
  const { words, lookFor, place, kind, isDone, isOverdue } = visit;
  const act = isDone ? 'undo' : 'done';
  const label = isDone ? 'Undo' : 'Done';
  return (
    <li class={isOverdue ? 'visit overdue' : 'visit'}>
      <div>
        <p>
          {isDone ? <span aria-hidden="true">✓ </span> : null}
          <Unbroken of={words} />
        </p>
        {isFirstOfKind ? <p class="soft small">{lookFor}</p> : null}
      </div>
      <button
        type="button"
        class={isDone ? 'quiet' : ''}
        disabled={isPressing.value}
        aria-label={`${label}: ${kind} in ${place}`}
        onClick={() => void doPress(act, { place, kind })}
      >
        {label}
      </button>
    </li>
  );
}
