/** The hand on the time: day and minute at which rack and light are shown. */

import { isoDate } from '../../../shared/civil.ts';
import { civilDay } from '../../../shared/units.ts';
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
          {burning.length === 0 ? 'no lamp burns' : `burning: ${burning.join(', ')}`} (simulated controller)
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
    </section>
  );
}
