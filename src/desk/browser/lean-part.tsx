/** The likely lean of a shelf's bags: a drawing of each kind of growth, and its table. */

import { useEffect, useRef } from 'preact/hooks';
import type { Likely } from '../../../compiler/lean/shape.ts';
import { isoDate } from '../../../shared/civil.ts';
import { growthWords, sizeWords, type Units } from '../../../shared/measures.ts';
import { list } from '../../words/lists.ts';
import { sideWord, towardWords } from '../../words/sides.ts';
import type { DrawnLean } from './messages.ts';

/** What grows on a shelf; `explains`: with what is to be known of the drawings. */
export function LeanPart({
  leans,
  units,
  explains,
}: {
  leans: readonly DrawnLean[];
  units: Units;
  explains: boolean;
}) {
  return (
    <>
      {explains ? <Explained /> : null}
      <div class="leans">
        {leans.map((lean) => (
          <figure key={lean.zones.join()}>
            <Drawing markup={lean.drawing} />
            <figcaption>
              {zonesWords(lean)}, {dayWords(lean)}
              {lean.measured ? ', by your heights' : ''}
            </figcaption>
          </figure>
        ))}
      </div>
      {/* biome-ignore lint/a11y/noNoninteractiveTabindex: what scrolls sideways must be reached by keys. */}
      <section class="wide" tabIndex={0} aria-label="Likely lean, as a table">
        <table>
          <thead>
            <tr>
              <th scope="col">zones</th>
              <th scope="col">growth</th>
              <th scope="col">off upright</th>
              <th scope="col">height of the tip</th>
              <th scope="col">drift of the tip</th>
              <th scope="col">meets the film</th>
            </tr>
          </thead>
          <tbody>
            {leans.map((lean) => (
              <tr key={lean.zones.join()}>
                <th scope="row">{list(lean.zones)}</th>
                <td>
                  {dayWords(lean)}
                  {lean.measured
                    ? `, by your heights ${rangeWords(lean.measured, (one) => growthWords(one, units))} a day`
                    : ''}
                </td>
                <td>{rangeWords(lean.shape.angle, (one) => `${Math.round(one)}°`)}</td>
                <td>{rangeWords(lean.shape.height, (one) => sizeWords(one, units))}</td>
                <td>{driftWords(lean, units)}</td>
                <td class={lean.shape.mayTouch ? 'ill' : ''}>{filmWords(lean)}</td>
              </tr>
            ))}
          </tbody>
        </table>
      </section>
      {leans.some(({ isTurned }) => isTurned) ? (
        <p class="soft small">Bags that are turned are drawn as they stood first.</p>
      ) : null}
    </>
  );
}

function Explained() {
  return (
    <p class="soft small">
      No bending rate is published for these fungi: this comes from the assumptions under <code>growth</code>,
      which your own measurements may replace; nothing in the schedule depends on it. Hatched: where all
      assumptions together leave room. The bar at the bag’s edge: from the lowest to the highest tip, a dot at
      the likely one. A crossed ring: the likely tip meets the film.
    </p>
  );
}

function Drawing({ markup }: { markup: string }) {
  const place = useRef<HTMLDivElement>(null);
  useEffect(() => {
    // Markup of ours, with every name escaped.
    if (place.current) place.current.innerHTML = markup;
  }, [markup]);
  return <div class="paper" ref={place} />;
}

const zonesWords = ({ zones }: DrawnLean): string => `zone${zones.length > 1 ? 's' : ''} ${list(zones)}`;

const dayWords = ({ shape, firstDay }: DrawnLean): string =>
  shape.day > 0 ? `day ${shape.day}` : `begins on ${isoDate(firstDay)}`;

/** `12° (3° to 40°)`; what is told as the same is told once. */
function rangeWords(likely: Likely | undefined, words: (value: number) => string): string {
  if (!likely) return '';
  const [mid, low, high] = [words(likely.mid), words(likely.low), words(likely.high)];
  return low === high ? mid : `${mid} (${low} to ${high})`;
}

function driftWords({ shape, toward }: DrawnLean, units: Units): string {
  if (toward === undefined || !shape.drift) return '';
  return `${rangeWords(shape.drift, (one) => sizeWords(one, units))} ${towardWords(sideWord(toward))}`;
}

function filmWords({ filmDay, filmEarliest, shape }: DrawnLean): string {
  if (filmDay === undefined && filmEarliest === undefined) return 'not within the grow';
  const earliest =
    filmEarliest === undefined
      ? ''
      : `${shape.mayTouch ? 'maybe since' : 'at the earliest'} ${isoDate(filmEarliest)}`;
  if (filmDay === undefined) return earliest;
  const likely = `${shape.contact ? 'since about' : 'likely'} ${isoDate(filmDay)}`;
  return earliest === '' || filmEarliest === filmDay ? likely : `${likely}, ${earliest}`;
}
