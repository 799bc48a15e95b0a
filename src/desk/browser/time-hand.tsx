/** The hand on the time: day and minute at which rack and light are shown. */

import { useSignal } from '@preact/signals';
import { useEffect } from 'preact/hooks';
import { isoDate } from '../../../shared/civil.ts';
import { civilDay } from '../../../shared/units.ts';
import { shortList } from '../../words/lists.ts';
import { checked, hand, moment } from './state.ts';

const STEP_MINUTES = 5;

export const clockWords = (minute: number): string =>
  `${String(Math.floor(minute / 60)).padStart(2, '0')}:${String(minute % 60).padStart(2, '0')}`;

export function TimeHand() {
  const days = checked.value?.days;
  if (!days) return <p class="soft">No batch stands in the rack yet: it is drawn without light.</p>;
  const { day, minute } = hand.value;
  const burning = moment.value?.burning ?? [];
  return (
    <section class="time-hand" aria-label="Time">
      <p>
        <strong>
          {isoDate(day)} {clockWords(minute)}
        </strong>{' '}
        <span class="soft">
          {burning.length === 0 ? 'no lamp burns' : `burning: ${shortList(burning)}`} (simulated controller)
        </span>
      </p>
      <label>
        Day
        <input
          type="range"
          min={days.first}
          max={days.end - 1}
          value={day}
          aria-valuetext={isoDate(day)}
          onInput={({ currentTarget }) => {
            hand.value = { day: civilDay(Number(currentTarget.value)), minute };
          }}
        />
      </label>
      <label>
        Time of day
        <input
          type="range"
          min="0"
          max={1440 - STEP_MINUTES}
          step={STEP_MINUTES}
          value={minute}
          aria-valuetext={clockWords(minute)}
          onInput={({ currentTarget }) => {
            hand.value = { day, minute: Number(currentTarget.value) };
          }}
        />
      </label>
      <Running first={days.first} end={days.end} />
    </section>
  );
}

/** How far the hand goes at each step while it runs, and how long a step lasts. */
const DAY_STEP = 10;
const STEP_MS = 120;
/** Through the grow the hand stays at its time of day. */
type Course = 'day' | 'grow';

/** Lets the hand run: through the day, or through the grow day by day. */
function Running({ first, end }: { first: number; end: number }) {
  const course = useSignal<Course | undefined>(undefined);
  useEffect(() => {
    const now = course.value;
    if (now === undefined) return;
    const timer = setInterval(() => {
      const { day, minute } = hand.peek();
      if (now === 'day' && minute + DAY_STEP < 1440) hand.value = { day, minute: minute + DAY_STEP };
      else if (now === 'grow' && day + 1 < end) hand.value = { day: civilDay(day + 1), minute };
      else course.value = undefined;
    }, STEP_MS);
    return () => clearInterval(timer);
  }, [course.value, end]);
  const run = (wanted: Course): void => {
    const { day, minute } = hand.peek();
    if (wanted === 'day' && minute + DAY_STEP >= 1440) hand.value = { day, minute: 0 };
    if (wanted === 'grow' && day + 1 >= end) hand.value = { day: civilDay(first), minute };
    course.value = course.value === wanted ? undefined : wanted;
  };
  return (
    <p class="acts">
      {(['day', 'grow'] as const).map((one) => (
        <button key={one} type="button" class="quiet" onClick={() => run(one)}>
          {course.value === one ? 'Stop' : `Run the ${one}`}
        </button>
      ))}
    </p>
  );
}
