/** The rack to scale, shelf by shelf, with the light of the minute the hand is on. */

import { useSignal } from '@preact/signals';
import { bagsOn } from '../../../compiler/plan/on-a-day.ts';
import type { ResolvedPlan } from '../../../compiler/plan/plan.ts';
import { sure } from '../../../shared/assert.ts';
import { sizeWords } from '../../../shared/measures.ts';
import type { BagMoment, LightStanding, RackMoment, ZoneMoment } from '../../answers/light/moment.ts';
import { html, type Markup } from '../../page/html.ts';
import { shelfFront } from '../../page/rack-drawing.ts';
import { shelfAbove } from '../../page/shelf-above.ts';
import { pullWord, sideWord } from '../../words/sides.ts';
import { Fetched } from './fetched.tsx';
import { glowOf, lampShareWords, STANDING_WORDS } from './glow.ts';
import { leans } from './lean-state.ts';
import { PickedPart } from './picked-part.tsx';
import { ShelfPicture } from './shelf-picture.tsx';
import { checked, drawn, hand, isStale, moment, picked, pointed, trial } from './state.ts';
import { TimeHand } from './time-hand.tsx';

export function RackPane() {
  const plan = drawn.value;
  if (!plan) return <p class="soft">The rack is drawn as soon as the plan has no errors.</p>;
  const light = lightNow(moment.value, trial.value?.moment);
  return (
    <div class="rack-pane">
      {isStale.value ? (
        <p class="stale" role="status">
          The text has errors: this is the rack of the last text without any.
        </p>
      ) : null}
      <TimeHand />
      <PickedPart />
      {trial.value?.findings.length ? (
        <p class="stale" role="status">
          {trial.value.findings[0]?.message}
        </p>
      ) : null}
      {plan.shelves.map((shelf, index) => (
        <Shelf key={shelf.name} plan={plan} index={index} light={light} />
      ))}
      <p class="soft small">
        Level on a small surface turned to the brightest side, through the film, as the light model works it
        out. Falling lines: below the band; crossed lines: above it. Arrows: the side the light pulls to.
        Arrow keys move what is focused; with Alt by 1 mm.
      </p>
    </div>
  );
}

/** The light of the rack, with that of a shelf on which a move is tried. */
function lightNow(now: RackMoment | undefined, tried: RackMoment | undefined): RackMoment | undefined {
  if (!now || !tried) return now;
  return {
    ...now,
    zones: now.zones.map((zone) => tried.zones.find((one) => one.zone === zone.zone) ?? zone),
  };
}

function Shelf({ plan, index, light }: { plan: ResolvedPlan; index: number; light: RackMoment | undefined }) {
  const shelf = sure(plan.shelves[index]);
  const standing = checked.value?.days ? bagsOn(plan, hand.value.day) : plan.zones.map(() => -1);
  const height = useSignal(usualHeight(plan, index));
  const grown = leans.value.filter((lean) => lean.shelf === index);
  const look = {
    standing,
    pick: true,
    picked: picked.value,
    growth: new Map(grown.flatMap(({ zones, shape }) => zones.map((name) => [name, shape.path]))),
    ...(light ? { burning: new Set(light.burning) } : {}),
  };
  // A lamp that is off gives nothing: then the levels stay.
  const lamp = light?.burning.find((name) => name === pointed.value);
  const glow = light ? glowOf(plan, light, standing, height.value, lamp) : new Map();
  const zones =
    light?.zones.filter(({ zone }) => plan.zones.find(({ name }) => name === zone)?.shelf === index) ?? [];
  return (
    <section class="shelf" aria-label={`shelf ${shelf.name}`}>
      <h3>{shelf.name}</h3>
      <div class="views">
        <ShelfPicture
          view="front"
          picture={shelfFront(plan, index, look, heightLine(shelf.width, height.value))}
        />
        <ShelfPicture view="above" picture={shelfAbove(plan, index, look, glow)} />
      </div>
      <label class="height">
        Light at {sizeWords(height.value, plan.units)} above the shelf
        <input
          type="range"
          min="0"
          max={shelf.clear}
          step="5"
          value={height.value}
          aria-valuetext={`${sizeWords(height.value, plan.units)} above the shelf`}
          onInput={({ currentTarget }) => {
            height.value = Number(currentTarget.value);
          }}
        />
      </label>
      {zones.length > 0 ? <LightTable zones={zones} lamp={lamp} /> : null}
      {grown.length > 0 ? (
        <section class="lean" aria-label={`Likely lean on shelf ${shelf.name}`}>
          <h4>The likely lean, an estimate</h4>
          <Fetched
            load={leanPart}
            given={{ leans: grown, units: plan.units, explains: grown[0] === leans.value[0] }}
          />
        </section>
      ) : null}
    </section>
  );
}

const leanPart = async () => (await import('./lean-part.tsx')).LeanPart;

/** The middle of the headspaces. */
function usualHeight(plan: ResolvedPlan, shelf: number): number {
  const lamps = plan.lamps.filter((lamp) => lamp.shelf === shelf);
  const heights = lamps.map(({ shape }) => (shape.kind === 'strip' ? shape.from[2] : shape.at[2]));
  const middle = heights.reduce((sum, one) => sum + one, 0) / Math.max(1, heights.length);
  return Math.round((heights.length > 0 ? middle : sure(plan.shelves[shelf]).clear / 2) / 5) * 5;
}

function heightLine(width: number, height: number): Markup {
  return html`<line x1="-50" y1="${-height}" x2="${width + 50}" y2="${-height}" stroke="#4a6d8c" stroke-width="4" stroke-dasharray="18 12" pointer-events="none"/>`;
}

const asksWords = ({ asks, band }: ZoneMoment): string => {
  if (asks === 'dark') return 'dark';
  const side = asks === 'upright' ? 'even' : `from the ${sideWord(asks)}`;
  return band ? `${Math.round(band[0])} to ${Math.round(band[1])} lx ${side}` : side;
};

/** The picture as a table. */
function LightTable({ zones, lamp }: { zones: readonly ZoneMoment[]; lamp: string | undefined }) {
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

function sharesWords({ shares }: BagMoment): string {
  return shares
    .slice(0, 3)
    .map(({ from, share }) => `${from.join(', ')} ${Math.round(share * 100)} %`)
    .join('; ');
}
