/** The light of a shelf's bags as a table: what the picture shows, in words and figures. */

import type { BagMoment, LightStanding, ZoneMoment } from '../../answers/light/moment.ts';
import { pullWord, sideWord } from '../../words/sides.ts';
import { lampShareWords, STANDING_WORDS, sharesWords } from './glow.ts';

const asksWords = ({ asks, band }: ZoneMoment): string => {
  if (asks === 'dark') return 'dark';
  const side = asks === 'upright' ? 'even' : `from the ${sideWord(asks)}`;
  return band ? `${Math.round(band[0])} to ${Math.round(band[1])} lx ${side}` : side;
};

/** With `lamp`, the share of that lamp in place of all. */
export function LightTable({ zones, lamp }: { zones: readonly ZoneMoment[]; lamp: string | undefined }) {
  return (
    // biome-ignore lint/a11y/noNoninteractiveTabindex: what scrolls sideways must be reached by keys.
    <section class="wide" tabIndex={0} aria-label="Light of the bags, as a table">
      <table>
        <thead>
          <tr>
            <th scope="col">bag</th>
            <th scope="col">asked</th>
            <th scope="col">level</th>
            <th scope="col">pull</th>
            <th scope="col">contrast</th>
            <th scope="col">{lamp === undefined ? 'comes from' : `from ${lamp}`}</th>
            <th scope="col" />
          </tr>
        </thead>
        <tbody>
          {zones.flatMap((zone) =>
            zone.bags.map((bag) => (
              <tr key={bag.bag}>
                <th scope="row">{bag.bag}</th>
                <td>{asksWords(zone)}</td>
                <td class="figure">{Math.round(bag.level)} lx</td>
                <td>{pullWords(bag)}</td>
                <td class="figure">{contrastWords(bag)}</td>
                <td>{lamp === undefined ? sharesWords(bag) : lampShareWords(bag, lamp)}</td>
                <td class={isFault(bag.standing) ? 'ill' : 'soft'}>{STANDING_WORDS[bag.standing]}</td>
              </tr>
            )),
          )}
        </tbody>
      </table>
    </section>
  );
}

const isFault = (standing: LightStanding): boolean => standing !== 'dark' && standing !== 'inside';

function pullWords({ pull, off }: BagMoment): string {
  if (Math.hypot(pull[0], pull[1]) < 1) return 'none';
  const angle = (Math.atan2(pull[0], pull[1]) * 180) / Math.PI;
  const side = pullWord((angle + 360) % 360);
  return off === undefined ? side : `${side}, ${off.toFixed(0)}° off`;
}

const contrastWords = ({ contrast, balance }: BagMoment): string => `${(contrast ?? balance).toFixed(1)} : 1`;
