/** The weeks of the grow, a band a zone, and what is made to happen in them. */

import { useEffect, useRef } from 'preact/hooks';
import { isoDate } from '../../../shared/civil.ts';
import { civilDay } from '../../../shared/units.ts';
import { astrayWords } from '../../page/weeks-drawing.ts';
import { askLived } from './api.ts';
import type { WeeksAnswer } from './messages.ts';
import { bookTold, checked, events, hand, lived, missed, pane, planText, weeks } from './state.ts';
import { clockWords, TimeHand } from './time-hand.tsx';
import { Unbroken } from './unbroken.tsx';

/** What really happened is asked for each time the weeks are opened. */
function useLived(): void {
  const [name, isShown] = [planText.value?.name, pane.value === 'weeks'];
  useEffect(() => {
    if (name === undefined || !isShown) return;
    askLived(name)
      // A saved plan with errors, or an archive that cannot be read: the weeks are shown without.
      .catch(() => ({ weeks: undefined, practice: false }))
      .then((found) => {
        if (planText.peek()?.name === name) lived.value = found;
      });
  }, [name, isShown, bookTold.value]);
}

export function WeeksPane() {
  useLived();
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
        in a band: light that was asked for and did not come then; a block above it: light that was not asked
        for. A hatched bar on top: days away. A ruled black block: the power was gone; a cross: a bag culled;
        a ring: a bag harvested; an empty square struck through: a visit missed; a black triangle on top: what
        you let happen. Press a day to put the hand there.
      </p>
      <Happenings />
      {now ? <Others now={now} /> : null}
      {lived.value.weeks ? <Happened /> : null}
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
  const across = now.start + (day - now.first + minute / 1440) * now.dayWidth;
  const toDay = (event: MouseEvent): void => {
    const box = place.current?.getBoundingClientRect();
    if (!box) return;
    const share = ((event.clientX - box.left) / box.width - now.start) / now.dayWidth;
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

/** A choice that is no event: a visit is missed. */
const MISSED = 'missed ';
/** Visits of so many days from the hand on may be missed, and so many are offered. */
const MISSED_DAYS = 7;
const MISSED_MOST = 24;

function Happenings() {
  const kind = useRef<HTMLSelectElement>(null);
  const add = (event: Event): void => {
    event.preventDefault();
    const { day, minute } = hand.value;
    const chosen = kind.current?.value ?? '';
    if (chosen.startsWith(MISSED)) {
      const key = chosen.slice(MISSED.length);
      if (!missed.value.includes(key)) missed.value = [...missed.value, key];
      return;
    }
    const what = `${isoDate(day)} ${clockWords(minute)} ${chosen}`;
    if (!events.value.includes(what)) events.value = [...events.value, what];
  };
  const from = hand.value.day;
  const ahead = (weeks.value?.visits ?? [])
    .filter(({ day }) => day >= from && day < from + MISSED_DAYS)
    .slice(0, MISSED_MOST);
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
          {ahead.map(({ key, zone, kind: what, day }) => (
            <option key={key} value={`${MISSED}${key}`}>
              The {what} in {zone} on {isoDate(day)} is missed
            </option>
          ))}
        </select>
      </label>
      <button type="submit">
        Let it happen on {isoDate(hand.value.day)} at {clockWords(hand.value.minute)}
      </button>
      {weeks.value?.fault ? <p class="ill">{weeks.value.fault}</p> : null}
      <ul>
        {(weeks.value?.missed ?? []).map(({ key, words }) => (
          <li key={key}>
            <Unbroken of={words} />{' '}
            <button
              type="button"
              class="quiet"
              aria-label={`Take out: ${words}`}
              onClick={() => {
                missed.value = missed.value.filter((other) => other !== key);
              }}
            >
              Take out
            </button>
          </li>
        ))}
        {events.value.map((one, n) => (
          <li key={one}>
            {n + 1}: <code>{one}</code>{' '}
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

type OtherDays = WeeksAnswer['others'][number] & { readonly until: number };

/** Days that follow each other in a zone with the same figures are one row. */
function runsOf(others: WeeksAnswer['others']): OtherDays[] {
  const runs: OtherDays[] = [];
  for (const one of others) {
    const last = runs.at(-1);
    const goesOn =
      last?.zone === one.zone &&
      last.until + 1 === one.day &&
      hours(last.asked) === hours(one.asked) &&
      hours(last.lit) === hours(one.lit) &&
      astrayWords(last) === astrayWords(one);
    if (last && goesOn) runs[runs.length - 1] = { ...last, until: one.day };
    else runs.push({ ...one, until: one.day });
  }
  return runs;
}

/** The days that are not as asked, as a table. */
function Others({ now }: { now: WeeksAnswer }) {
  const runs = runsOf(now.others);
  const isAnyAstray = runs.some((one) => astrayWords(one) !== '');
  if (runs.length === 0) return <p>Each zone gets its hours of light on every day.</p>;
  return (
    <>
      <table class="unlike">
        <caption class="soft">Days with other light than asked</caption>
        <thead>
          <tr>
            <th scope="col">zone</th>
            <th scope="col">day</th>
            <th scope="col">asked</th>
            <th scope="col">got</th>
            {isAnyAstray ? <th scope="col" /> : null}
          </tr>
        </thead>
        <tbody>
          {runs.slice(0, MOST_ROWS).map(({ zone, day, until, ...light }) => (
            <tr key={`${zone} ${day}`}>
              <th scope="row">{zone}</th>
              <td>
                <Unbroken
                  of={until === day ? isoDate(day) : `${isoDate(day)} to ${isoDate(civilDay(until))}`}
                />
              </td>
              <td class="figure">{hours(light.asked)}</td>
              <td class="figure">{hours(light.lit)}</td>
              {isAnyAstray ? <td class="soft">{astrayWords(light).replace(/^, /, '')}</td> : null}
            </tr>
          ))}
        </tbody>
      </table>
      {runs.length > MOST_ROWS ? <p class="soft">and {runs.length - MOST_ROWS} more</p> : null}
    </>
  );
}

const HAPPENED_WORDS = {
  outage: 'power cut',
  cull: 'culled',
  harvest: 'harvested',
  missed: 'visit missed',
} as const;

/** What the archive tells of, as a table. */
function Happened() {
  const { weeks: told, practice } = lived.value;
  const all = told?.happened ?? [];
  return (
    <>
      <h3>What really happened{practice ? ', on the virtual controller' : ''}</h3>
      {all.length === 0 ? (
        <p class="soft">
          No power cut, no bag taken out and no visit missed until{' '}
          {told ? isoDate(civilDay(told.until - 1)) : ''}.
        </p>
      ) : (
        <>
          <table class="happened">
            <thead>
              <tr>
                <th scope="col">day</th>
                <th scope="col">zone</th>
                <th scope="col">what</th>
              </tr>
            </thead>
            <tbody>
              {all.slice(-MOST_ROWS).map((one, n) => (
                <tr key={`${n} ${one.words}`}>
                  <th scope="row">{isoDate(one.day)}</th>
                  <td>{one.zone ?? ''}</td>
                  <td>
                    {HAPPENED_WORDS[one.kind]}{' '}
                    <span class="soft">
                      <Unbroken of={one.words} />
                    </span>
                  </td>
                </tr>
              ))}
            </tbody>
          </table>
          {all.length > MOST_ROWS ? <p class="soft">and {all.length - MOST_ROWS} before</p> : null}
        </>
      )}
    </>
  );
}
