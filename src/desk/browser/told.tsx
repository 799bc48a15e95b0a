/** What came of the last press in the grow book, or why it was refused; undone with one more. */

import type { PlanLines } from '../wire-book.ts';
import { answered, doPress, evening, eveningFault, isPressing, pressed } from './evening-state.ts';
import { Unbroken } from './unbroken.tsx';

/** What came of the last press, or why it was refused. */
export function LastPress() {
  const fault = eveningFault.value;
  const done = pressed.value;
  return (
    <div class="told">
      {fault ? (
        <p class="stale said" role="alert">
          <Unbroken of={fault} />
        </p>
      ) : null}
      <div role="status">
        {done ? (
          <div class="well">
            {done.said.map((line) => (
              <p key={line}>
                <Unbroken of={line} />
              </p>
            ))}
            {done.changed ? <PlanChanged of={done.changed} /> : null}
            <div class="acts">
              <UndoLast />
              <button type="button" class="quiet" onClick={() => (pressed.value = undefined)}>
                Put away
              </button>
            </div>
          </div>
        ) : null}
      </div>
    </div>
  );
}

/** Takes back the last press: an entry of the book, or the answer to a visit that is no longer on the list. */
function UndoLast() {
  const id = pressed.value?.entry ?? '';
  const last = answered.value;
  if (id !== '')
    return (
      <button
        type="button"
        class="quiet"
        disabled={isPressing.value}
        onClick={() => void doPress('takeBack', { id })}
      >
        Undo
      </button>
    );
  if (!last || !evening.value) return null;
  const { place, kind } = last;
  if (evening.value.visits.some((one) => one.isDone && one.place === place && one.kind === kind)) return null;
  return (
    <button
      type="button"
      class="quiet"
      disabled={isPressing.value}
      aria-label={`Undo: ${kind} in ${place}`}
      onClick={() => void doPress('undo', { place, kind })}
    >
      Undo
    </button>
  );
}

export function PlanChanged({ of }: { of: PlanLines }) {
  return (
    <>
      <p>{of.words}</p>
      <ul class="changed-lines">
        {of.lines.map((line) => (
          <li key={line}>
            <code>{line}</code>
          </li>
        ))}
      </ul>
    </>
  );
}
