/** The weeks of the grow, a band a zone, and what is made to happen in them. */

import { useEffect, useRef } from 'preact/hooks';
import { isoDate } from '../../../shared/civil.ts';
import { civilDay } from '../../../shared/units.ts';
import { acrossWeeks } from '../../page/weeks-drawing.ts';
import type { WeeksAnswer } from './messages.ts';
import { checked, events, hand, weeks } from './state.ts';
import { clockWords, TimeHand } from './time-hand.tsx';

export function WeeksPane() {
  const now = weeks.value;
  if (!checked.value) return <p class="soft">The weeks are drawn as soon as the plan has no errors.</p>;
  if (!checked.value.days) return <p class="soft">The plan has no batch yet.</p>;
  return (
    <div class="weeks-pane">
      <TimeHand />
      {now ? <Bands now={now} /> : <p class="soft">The simulated controller runs the grow …</p>}
      <p class="soft small">
        Dark bands: dark; gold: lit, the stronger the longer. An arrow shows the side growth is drawn toward
        (up: back, down: front), a bar: no side. Marks below, from the top: look, lift, turn, harvest. A gap
        in a band: light that was asked for and did not come; a block above it: light that was not asked for.
        Press a day to put the hand there.
      </p>
      <Happenings />
      {now ? <Others now={now} /> : null}
    </div>
  );
}

function Bands({ now }: { now: WeeksAnswer }) {
  const place = useRef<HTMLDivElement>(null);
  useEffect(() => {
    // Markup of ours, with every name escaped.
    if (place.current) place.current.innerHTML = now.drawing;
  }, [now.drawing]);
  const { day, minute } = hand.value;
  const across = acrossWeeks(now.count, day - now.first + minute / 1440);
  const toDay = (event: MouseEvent): void => {
    const box = place.current?.getBoundingClientRect();
    if (!box) return;
    const start = acrossWeeks(now.count, 0);
    const share = ((event.clientX - box.left) / box.width - start) / (acrossWeeks(now.count, 1) - start);
    const at = Math.min(now.count - 1, Math.max(0, Math.floor(share)));
    hand.value = { day: civilDay(now.first + at), minute };
  };
  return (
    // biome-ignore lint/a11y/noNoninteractiveTabindex: what scrolls sideways must be reached by keys.
    <section class="bands" tabIndex={0} aria-label="The weeks">
      {/* biome-ignore lint/a11y/noStaticElementInteractions: the day is set by keys with the slider above. */}
      {/* biome-ignore lint/a11y/useKeyWithClickEvents: as above. */}
      <div class="bands-picture" onClick={toDay}>
        <div ref={place} />
        <div class="hand-line" style={{ left: `${(across * 100).toFixed(2)}%` }} />
      </div>
    </section>
  );
}

/** What may be made to happen at the hand, with the words of `--event`. */
const KINDS: readonly (readonly [words: string, event: string])[] = [
  ['The power goes for 2 hours', 'cut 2h'],
  ['The power goes for 2 days', 'cut 2d'],
  ["The clock's battery dies", 'clock stopped'],
  ['Someone presses the button', 'press'],
  ["The room's probe falls silent", 'probe silent'],
];

function Happenings() {
  const kind = useRef<HTMLSelectElement>(null);
  const add = (event: Event): void => {
    event.preventDefault();
    const { day, minute } = hand.value;
    const what = `${isoDate(day)} ${clockWords(minute)} ${kind.current?.value ?? ''}`;
    if (!events.value.includes(what)) events.value = [...events.value, what];
  };
  return (
    <form class="happenings" onSubmit={add}>
      <label>
        What if
        <select ref={kind}>
          {KINDS.map(([words, event]) => (
            <option key={event} value={event}>
              {words}
            </option>
          ))}
        </select>
      </label>
      <button type="submit">
        Let it happen on {isoDate(hand.value.day)} at {clockWords(hand.value.minute)}
      </button>
      {weeks.value?.fault ? <p class="ill">{weeks.value.fault}</p> : null}
      <ul>
        {events.value.map((one) => (
          <li key={one}>
            <code>{one}</code>{' '}
            <button
              type="button"
              class="quiet"
              aria-label={`Take out ${one}`}
              onClick={() => {
                events.value = events.value.filter((other) => other !== one);
              }}
            >
              Take out
            </button>
          </li>
        ))}
      </ul>
    </form>
  );
}

const hours = (minutes: number): string => `${(minutes / 60).toFixed(1)} h`;
const MOST_ROWS = 60;

/** The days that are not as asked, as a table. */
function Others({ now }: { now: WeeksAnswer }) {
  if (now.others.length === 0) return <p>Each zone gets its hours of light on every day.</p>;
  return (
    <>
      <table>
        <caption class="soft">Days with other light than asked</caption>
        <thead>
          <tr>
            <th scope="col">zone</th>
            <th scope="col">day</th>
            <th scope="col">asked</th>
            <th scope="col">got</th>
          </tr>
        </thead>
        <tbody>
          {now.others.slice(0, MOST_ROWS).map(({ zone, day, asked, lit }) => (
            <tr key={`${zone} ${day}`}>
              <th scope="row">{zone}</th>
              <td>{isoDate(day)}</td>
              <td class="figure">{hours(asked)}</td>
              <td class="figure">{hours(lit)}</td>
            </tr>
          ))}
        </tbody>
      </table>
      {now.others.length > MOST_ROWS ? <p class="soft">and {now.others.length - MOST_ROWS} more</p> : null}
    </>
  );
}
