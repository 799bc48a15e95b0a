/** The bags of each batch, and the history of the one that was pressed. */

import type { BookEntry, Evening, EveningBag, EveningBatch } from '../wire-book.ts';
import { photoAddress } from './api.ts';
import { bagsMeant, doPress, historyOf, isPressing } from './evening-state.ts';
import { planText } from './state.ts';
import { Unbroken } from './unbroken.tsx';

/** A batch with more bags is closed at first. */
const OPEN_MOST = 30;

export function BagsList({ now }: { now: Evening }) {
  const bag = now.batches.flatMap(({ bags }) => bags).find(({ name }) => name === historyOf.value);
  return (
    <section aria-label="Bags">
      <h3>Bags</h3>
      {bag ? <History bag={bag} /> : <p class="soft small">Press a bag to see its history.</p>}
      {now.rackEntries.length > 0 ? <h4>The whole rack</h4> : null}
      <Entries entries={now.rackEntries} />
      {now.batches.map((batch) => (
        <Batch key={batch.name} batch={batch} />
      ))}
    </section>
  );
}

function History({ bag }: { bag: EveningBag }) {
  const photos = bag.entries.filter(({ photo }) => photo !== undefined);
  return (
    <section class="card" aria-label={`History of ${bag.name}`}>
      <h4>{bag.name}</h4>
      <p>
        <Unbroken
          of={`${[bag.stood, bag.seen, bag.out === 'in' ? '' : bag.out].filter(Boolean).join('; ')}.`}
        />
      </p>
      {bag.entries.length === 0 ? <p class="soft">The grow book has nothing of it yet.</p> : null}
      <Entries entries={bag.entries} />
      {photos.length > 0 ? (
        <div class="photos">
          {photos.map(({ id, day, photo }) => (
            <figure key={id}>
              <img
                src={photoAddress(planText.value?.name ?? '', photo ?? '')}
                alt={`${bag.name}, ${day}`}
                loading="lazy"
              />
              <figcaption>{day}</figcaption>
            </figure>
          ))}
        </div>
      ) : null}
    </section>
  );
}

function Entries({ entries }: { entries: readonly BookEntry[] }) {
  return (
    <ul class="entries">
      {entries.map(({ id, day, words }) => (
        <li key={id}>
          <span>
            <Unbroken of={`${day} ${words}`} />
          </span>
          <button
            type="button"
            class="quiet"
            disabled={isPressing.value}
            aria-label={`Take back: ${day} ${words}`}
            onClick={() => void doPress('takeBack', { id })}
          >
            Take back
          </button>
        </li>
      ))}
    </ul>
  );
}

function Batch({ batch: { name, bags, entries } }: { batch: EveningBatch }) {
  const left = bags.filter(({ out }) => out === 'in').length;
  return (
    <details open={bags.length <= OPEN_MOST}>
      <summary>
        {name}: {left} of {bags.length} {bags.length === 1 ? 'bag' : 'bags'} in
      </summary>
      <Entries entries={entries} />
      <table class="bags">
        <thead>
          <tr>
            <th scope="col">bag</th>
            <th scope="col">place</th>
            <th scope="col">what is known</th>
          </tr>
        </thead>
        <tbody>
          {bags.map((bag) => (
            <tr key={bag.name}>
              <th scope="row">
                <button
                  type="button"
                  class="quiet"
                  aria-pressed={historyOf.value === bag.name}
                  onClick={() => {
                    historyOf.value = bag.name;
                    bagsMeant.value = bag.name;
                  }}
                >
                  {bag.name}
                </button>
              </th>
              <td>{bag.place ?? '–'}</td>
              <td>
                <Unbroken of={knownWords(bag)} />
              </td>
            </tr>
          ))}
        </tbody>
      </table>
    </details>
  );
}

/** What was seen of it, how it went out, what it gave, or how many entries there are. */
function knownWords({ seen, out, fresh, dry, entries }: EveningBag): string {
  const count = entries.length === 1 ? '1 entry' : `${entries.length} entries`;
  return [
    seen,
    out === 'in' ? '' : out,
    fresh && `${fresh} fresh`,
    dry && `${dry} dry`,
    entries.length > 0 ? count : '',
  ]
    .filter(Boolean)
    .join('; ');
}
