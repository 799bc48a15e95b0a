/** The review: what really happened, the crop and the light, as `review --page` shows it; to be printed. */

import { useSignal } from '@preact/signals';
import { useEffect, useRef } from 'preact/hooks';
import type { ReviewAnswer } from '../wire-book.ts';
import { askReview } from './api.ts';
import { bookTold, pane, planText } from './state.ts';
import { keepUnbroken } from './unbroken.tsx';

export function ReviewPane() {
  const answer = useSignal<ReviewAnswer | undefined>(undefined);
  const fault = useSignal<string | undefined>(undefined);
  const lot = useSignal('');
  const isBusy = useSignal(false);
  const name = planText.value?.name ?? '';
  const isShown = pane.value === 'review';
  const asked = useRef(0);
  const look = (): void => {
    if (!isShown || name === '') return;
    asked.current += 1;
    const own = asked.current;
    isBusy.value = true;
    const isLatest = (): boolean => own === asked.current;
    askReview(name, lot.value)
      .then(
        (found) => {
          if (!isLatest()) return;
          answer.value = found;
          fault.value = undefined;
        },
        (error: Error) => {
          if (isLatest()) fault.value = error.message;
        },
      )
      .finally(() => {
        if (isLatest()) isBusy.value = false;
      });
  };
  // Another plan has other lots.
  useEffect(() => {
    answer.value = undefined;
    fault.value = undefined;
    lot.value = '';
  }, [name]);
  useEffect(look, [name, isShown, lot.value, bookTold.value, planText.value?.isUnsaved.value]);
  useEffect(() => {
    addEventListener('focus', look);
    return () => removeEventListener('focus', look);
  });
  return (
    <div class="review-pane" aria-busy={isBusy.value}>
      {fault.value ? (
        <p class="stale said" role="alert">
          {fault.value}
        </p>
      ) : null}
      {answer.value ? <Answer answer={answer.value} lot={lot} /> : null}
      {!answer.value && !fault.value ? (
        <p class="soft" role="status">
          Being worked out …
        </p>
      ) : null}
    </div>
  );
}

function Answer({ answer, lot }: { answer: ReviewAnswer; lot: { value: string } }) {
  if (!answer.isThere) return <p>{answer.words}</p>;
  return (
    <>
      <div class="fields controls">
        <label>
          Of
          <select
            value={lot.value}
            onChange={({ currentTarget }) => {
              lot.value = currentTarget.value;
            }}
          >
            <option value="">the whole rack</option>
            {answer.lots.map((one) => (
              <option key={one} value={one}>
                lot {one}, its record
              </option>
            ))}
          </select>
        </label>
        <button type="button" onClick={() => print()}>
          Print
        </button>
      </div>
      <Sheet markup={answer.markup} />
    </>
  );
}

function Sheet({ markup }: { markup: string }) {
  const place = useRef<HTMLDivElement>(null);
  useEffect(() => {
    if (!place.current) return;
    // Markup of ours, with every name escaped.
    place.current.innerHTML = markup;
    keepUnbroken(place.current);
  }, [markup]);
  return <div ref={place} class="sheet" />;
}
