/** A first plan, asked for as `init` asks. */

import { useState } from 'preact/hooks';
import { civilDayAt } from '../../../compiler/plan/place-time.ts';
import { dayFromIso, isoDate, PLAN_DAYS, utcFromUnixMs } from '../../../shared/civil.ts';
import {
  MOST_SHELVES,
  planFileName,
  QUESTIONS,
  systemZone,
  usualUnits,
} from '../../answers/init/questions.ts';
import { askPlan, savePlan } from './api.ts';
import { desk, notice, worker } from './state.ts';

/** Writes the plan `name` and opens it. */
export function StarterForm({ open }: { open: (name: string) => void }) {
  const timezone = systemZone();
  const [name, setName] = useState('rack.plan.yaml');
  const [shelves, setShelves] = useState('2');
  const [units, setUnits] = useState<'in' | 'mm'>(usualUnits(timezone));
  const [sealed, setSealed] = useState(isoDate(civilDayAt(timezone, utcFromUnixMs(Date.now()))));
  const write = async (event: Event): Promise<void> => {
    event.preventDefault();
    const [day, file] = [dayFromIso(sealed), planFileName(name)];
    if (day === undefined) return;
    if (file === undefined) {
      notice.value = `${name.trim() || 'Nothing'} is no name for a file of this folder. Write one that has no / or \\ and does not begin with a dot.`;
      return;
    }
    try {
      const text = await worker.ask('starter', { shelves: Number(shelves), units, timezone, sealed: day });
      const { count, mark, unsaved } = await askPlan(file);
      const handed = { text: text ?? '', count, window: 'starter', number: 1 };
      const answer = mark === '' && !unsaved ? await savePlan(file, handed, '') : undefined;
      if (answer?.follows && answer.saved) open(file);
      else notice.value = `${file} is there already. Choose another name.`;
    } catch (error) {
      notice.value = error instanceof Error ? error.message : String(error);
    }
  };
  return (
    <form class="card starter" onSubmit={(event) => void write(event)}>
      <h2>{desk.value?.plans.length ? 'A new plan' : 'A first plan'}</h2>
      <p>With comments, to be changed to fit your rack. The time zone is {timezone}.</p>
      <label>
        {QUESTIONS.shelves}
        <select value={shelves} onChange={({ currentTarget }) => setShelves(currentTarget.value)}>
          {Array.from({ length: MOST_SHELVES }, (_, n) => (
            <option key={n}>{n + 1}</option>
          ))}
        </select>
      </label>
      <label>
        {QUESTIONS.units}
        <select
          value={units}
          onChange={({ currentTarget }) => setUnits(currentTarget.value === 'in' ? 'in' : 'mm')}
        >
          <option value="in">in</option>
          <option value="mm">mm</option>
        </select>
      </label>
      <label>
        {QUESTIONS.sealed}
        <input
          type="date"
          required
          min={PLAN_DAYS.least}
          max={PLAN_DAYS.most}
          value={sealed}
          onInput={({ currentTarget }) => setSealed(currentTarget.value)}
        />
      </label>
      <label>
        Name of the file
        <input required value={name} onInput={({ currentTarget }) => setName(currentTarget.value)} />
      </label>
      <button type="submit">Write the plan</button>
    </form>
  );
}
