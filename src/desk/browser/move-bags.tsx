/**
 * Single bags moved on the rack: picked and let go in the picture, or written;
 * what the grow book would keep of it is shown first, and kept with one press.
 *
 * Always holds: where bags stand is the grow book's word, as of today; whether
 * one may go there is the server's, in the words of the command `move`.
 */

import { useLayoutEffect, useRef } from 'preact/hooks';
import { bagsOn } from '../../../compiler/plan/on-a-day.ts';
import type { ResolvedPlan } from '../../../compiler/plan/plan.ts';
import { dayFromIso } from '../../../shared/civil.ts';
import { shelfFront } from '../../page/rack-drawing.ts';
import { shelfAbove } from '../../page/shelf-above.ts';
import type { Evening, Pressed } from '../wire-book.ts';
import { evening, eveningFault, isPressing } from './evening-state.ts';
import { askMove, carryOut, leave, type Move, moveOffered, pickedPlace } from './move-offer.ts';
import { PlacesPicture } from './places-picture.tsx';
import { planText } from './state.ts';
import { LastPress, PlanChanged } from './told.tsx';
import { Unbroken } from './unbroken.tsx';

/** The bags by their places. */
const standing = (now: Evening): ReadonlyMap<string, string> =>
  new Map(
    now.batches.flatMap(({ bags }) =>
      bags.flatMap(({ name, place }) => (place === undefined ? [] : [[place, name] as const])),
    ),
  );

/** A bag that is let go on another changes places with it. */
function moveOf(now: Evening, from: string, to: string): Move {
  const bags = standing(now);
  const names = now.batches.flatMap((batch) => batch.bags.map(({ name }) => name));
  const there = names.includes(to) ? to : bags.get(to);
  return { bags: bags.get(from) ?? from, ...(there ? { to: '', swap: there } : { to, swap: '' }) };
}

export function MoveBags({ plan }: { plan: ResolvedPlan }) {
  const now = evening.value;
  return (
    <section class="move-bags" aria-label="Single bags">
      {planText.value?.isUnsaved.value ? (
        <p class="stale">What is typed and not saved does not count here: bags stand in the saved plan.</p>
      ) : null}
      <LastPress />
      {now ? (
        <Moving now={now} plan={plan} />
      ) : eveningFault.value ? null : (
        <p class="soft">Being looked up …</p>
      )}
    </section>
  );
}

function Moving({ now, plan }: { now: Evening; plan: ResolvedPlan }) {
  const bags = standing(now);
  const drop = (from: string, to: string): void => {
    pickedPlace.value = from;
    void askMove(moveOf(now, from, to));
  };
  const press = (place: string): void => {
    const from = pickedPlace.value;
    if (from === undefined) pickedPlace.value = place;
    else if (from === place) leave();
    else drop(from, place);
  };
  return (
    <>
      <p class="soft small">
        Where the bags stand today, {now.todayWords}, by the grow book. Drag a bag to a free place, or onto
        another bag to let the two change places; or press the bag, then the place. Arrow keys go from place
        to place, Enter picks, Escape lets go.
      </p>
      <Written now={now} />
      {moveOffered.value ? <Offer move={moveOffered.value.move} would={moveOffered.value.would} /> : null}
      {plan.shelves.map(({ name }, index) => {
        const look = {
          ...{ standing: shownKinds(plan, now), pick: true, bags },
          picked: pickedPlace.value === undefined ? undefined : { kind: 'place', name: pickedPlace.value },
        };
        const events = { onPress: press, onDrop: drop, onLetGo: leave };
        return (
          <section key={name} class="shelf" aria-label={`shelf ${name}`}>
            <h3>{name}</h3>
            <div class="views">
              <div data-view="front">
                <PlacesPicture picture={shelfFront(plan, index, look)} {...events} />
              </div>
              <div data-view="above">
                <PlacesPicture picture={shelfAbove(plan, index, look)} {...events} />
              </div>
            </div>
          </section>
        );
      })}
    </>
  );
}

/** What the plan has in its zones today. */
function shownKinds(plan: ResolvedPlan, { today }: Evening): readonly number[] {
  const day = dayFromIso(today);
  return day === undefined ? plan.zones.map(() => -1) : bagsOn(plan, day);
}

/** The same, written. */
function Written({ now }: { now: Evening }) {
  const from =
    pickedPlace.value === undefined ? '' : (standing(now).get(pickedPlace.value) ?? pickedPlace.value);
  const form = useRef<HTMLFormElement>(null);
  const submit = (event: Event): void => {
    event.preventDefault();
    const data = new FormData(form.current ?? undefined);
    const text = (name: string): string => String(data.get(name) ?? '').trim();
    void askMove({ ...moveOf(now, '', text('to')), bags: text('bag') });
  };
  return (
    <form class="fields" ref={form} onSubmit={submit}>
      <label>
        Bag
        <input name="bag" required autocomplete="off" list="bags-standing" key={from} defaultValue={from} />
      </label>
      <datalist id="bags-standing">
        {[...standing(now)].map(([place, name]) => (
          <option key={name} value={name}>
            {place}
          </option>
        ))}
      </datalist>
      <label>
        to a place, a zone or a bag
        <input name="to" required autocomplete="off" />
      </label>
      <button type="submit" class="quiet">
        See what would be written
      </button>
    </form>
  );
}

/** What would be written, to be kept with one press. */
function Offer({ move, would }: { move: Move; would: Pressed }) {
  const button = useRef<HTMLButtonElement>(null);
  // Before it is painted: a key that is pressed next is meant for it.
  useLayoutEffect(() => button.current?.focus(), [move]);
  const isSwap = move.swap !== '';
  return (
    <section class="card" aria-label="What will be written">
      <h3>{isSwap ? 'Two bags change places? The grow book will say:' : 'The grow book will say:'}</h3>
      {would.said.map((line) => (
        <p key={line}>
          <Unbroken of={line} />
        </p>
      ))}
      {would.changed ? <PlanChanged of={would.changed} /> : null}
      <p class="acts">
        <button type="button" ref={button} disabled={isPressing.value} onClick={() => void carryOut(move)}>
          {isSwap ? 'Let them change places' : 'Move it'}
        </button>
        <button type="button" class="quiet" onClick={leave}>
          Leave it
        </button>
      </p>
    </section>
  );
}
