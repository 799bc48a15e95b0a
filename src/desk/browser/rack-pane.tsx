/** The rack to scale, shelf by shelf, with the light of the minute the hand is on. */

import { useEffect, useMemo, useRef } from 'preact/hooks';
import { bagsOn } from '../../../compiler/plan/on-a-day.ts';
import type { ResolvedPlan } from '../../../compiler/plan/plan.ts';
import { sure } from '../../../shared/assert.ts';
import { sizeWords } from '../../../shared/measures.ts';
import type { RackMoment } from '../../answers/light/moment.ts';
import { html, type Markup } from '../../page/html.ts';
import { levelScale } from '../../page/level-scale.ts';
import { shelfFront } from '../../page/rack-drawing.ts';
import { shelfAbove } from '../../page/shelf-above.ts';
import { fineStep } from './dragging.ts';
import { Fetched } from './fetched.tsx';
import { glowOf, openLightOf, scaleBands } from './glow.ts';
import { HeightField } from './height-field.tsx';
import { growsFirst, leansOn } from './lean-state.ts';
import { LightTable } from './light-table.tsx';
import { heightOf, inSight, mapOf, putHeight } from './map-state.ts';
import { PickedPart } from './picked-part.tsx';
import { ShelfPicture } from './shelf-picture.tsx';
import {
  checked,
  drawn,
  hand,
  isLightBehind,
  isMovingBags,
  isStale,
  isTrying,
  moment,
  picked,
  pointed,
  trial,
} from './state.ts';
import { TimeHand } from './time-hand.tsx';

export function RackPane() {
  const plan = drawn.value;
  if (!plan) return <p class="soft">The rack is drawn as soon as the plan has no errors.</p>;
  return (
    <div class="rack-pane" aria-busy={isLightBehind}>
      {isStale.value ? (
        <p class="stale" role="status">
          The text has errors: this is the rack of the last text without any.
        </p>
      ) : null}
      <fieldset class="acts" aria-label="What is moved">
        <button type="button" aria-pressed={!isMovingBags.value} onClick={() => (isMovingBags.value = false)}>
          Light, lamps and zones
        </button>
        <button type="button" aria-pressed={isMovingBags.value} onClick={() => (isMovingBags.value = true)}>
          Single bags
        </button>
      </fieldset>
      {isMovingBags.value ? <Fetched load={moveBags} given={{ plan }} /> : <Lit plan={plan} />}
    </div>
  );
}

const moveBags = async () => (await import('./move-bags.tsx')).MoveBags;

/** The rack in the light of the minute the hand is on, with its parts to be moved. */
function Lit({ plan }: { plan: ResolvedPlan }) {
  const tried = trial.value;
  const light = lightNow(moment.value, tried?.moment);
  // Where nothing is tried a shelf stays as it was drawn.
  const settled = checked.value?.plan ?? plan;
  return (
    <>
      <TimeHand />
      <PickedPart />
      {trial.value?.findings.length ? (
        <p class="stale" role="status">
          {trial.value.findings[0]?.message}
        </p>
      ) : null}
      {light ? <Scale light={light} /> : null}
      {plan.shelves.map((shelf, index) => (
        <SteadyShelf
          key={shelf.name}
          plan={tried?.shelf === index ? plan : settled}
          index={index}
          light={tried?.shelf === index ? light : moment.value}
        />
      ))}
      <p class="soft small">
        Level on a small surface turned to the brightest side, through the film, as the light model works it
        out; between the bags in the open. The colours are those at the height of the dashed line; the figure
        of a bag, here and in the table, is the mean of its whole headspace. Falling lines: below the band;
        crossed lines: above it. Arrows: the side the light pulls to. Arrow keys move what is focused, the
        line of the height too; with Alt by {fineStep().words}.
      </p>
    </>
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

interface ShelfGiven {
  readonly plan: ResolvedPlan;
  readonly index: number;
  readonly light: RackMoment | undefined;
}

/** A shelf that is drawn anew only where it is given something else. */
function SteadyShelf({ plan, index, light }: ShelfGiven) {
  return useMemo(() => <Shelf plan={plan} index={index} light={light} />, [plan, index, light]);
}

function Shelf({ plan, index, light }: ShelfGiven) {
  const shelf = sure(plan.shelves[index]);
  const standing = checked.value?.days ? bagsOn(plan, hand.value.day) : plan.zones.map(() => -1);
  const height = heightOf(plan, index);
  const map = isTrying.value ? undefined : mapOf(index);
  const grown = leansOn(index);
  const look = {
    standing,
    pick: true,
    picked: picked.value,
    growth: new Map(grown.flatMap(({ zones, shape }) => zones.map((name) => [name, shape.path]))),
    ...(light ? { burning: new Set(light.burning) } : {}),
  };
  // A lamp that is off gives nothing: then the levels stay.
  const lamp = light?.burning.find((name) => name === pointed.value);
  const glow = light ? glowOf(plan, light, standing, { height, map }, lamp) : new Map();
  const open = light && map ? openLightOf(plan, light, map) : undefined;
  const place = useSight(index);
  const zones =
    light?.zones.filter(({ zone }) => plan.zones.find(({ name }) => name === zone)?.shelf === index) ?? [];
  return (
    <section class="shelf" aria-label={`shelf ${shelf.name}`} ref={place}>
      <h3>{shelf.name}</h3>
      <div class="views">
        <ShelfPicture
          view="front"
          picture={shelfFront(plan, index, look, heightLine(plan, index, height))}
          line={{ height, put: (up) => putHeight(plan, index, up) }}
        />
        <ShelfPicture view="above" picture={shelfAbove(plan, index, look, glow, open)} />
      </div>
      <HeightField
        height={height}
        most={shelf.clear}
        units={plan.units}
        put={(up) => putHeight(plan, index, up)}
      />
      {zones.length > 0 ? <LightTable zones={zones} lamp={lamp} /> : null}
      {grown.length > 0 ? (
        <section class="lean" aria-label={`Likely lean on shelf ${shelf.name}`}>
          <h4>The likely lean, an estimate</h4>
          <Fetched load={leanPart} given={{ leans: grown, units: plan.units, explains: growsFirst(index) }} />
        </section>
      ) : null}
    </section>
  );
}

const leanPart = async () => (await import('./lean-part.tsx')).LeanPart;

/** Tells which shelves are in sight: only theirs is worked out. */
function useSight(index: number) {
  const place = useRef<HTMLElement>(null);
  useEffect(() => {
    const box = place.current;
    if (!box) return;
    const tell = (isSeen: boolean): void => {
      if (inSight.value.has(index) === isSeen) return;
      const seen = new Set(inSight.value);
      if (isSeen) seen.add(index);
      else seen.delete(index);
      inSight.value = seen;
    };
    const observer = new IntersectionObserver(([entry]) => tell(entry?.isIntersecting ?? false));
    observer.observe(box);
    return () => {
      observer.disconnect();
      tell(false);
    };
  }, [index]);
  return place;
}

/** A line across the front at the height looked at; its grips beside the shelf are dragged, or moved by keys. */
function heightLine({ shelves, units }: ResolvedPlan, index: number, height: number): Markup {
  const { width, clear } = sure(shelves[index]);
  const grip = (x: number, tip: number): Markup =>
    html`<rect x="${x - 24}" y="${-height - 26}" width="48" height="52" fill="transparent"/><path d="M${x - tip} ${-height - 14} V${-height + 14} L${x + tip} ${-height} Z" fill="#4a6d8c"/>`;
  return html`<line x1="-22" y1="${-height}" x2="${width + 22}" y2="${-height}" stroke="#4a6d8c" stroke-width="4" stroke-dasharray="18 12" pointer-events="none"/>
<g data-height="1" tabindex="0" role="slider" aria-label="Height at which the light is shown" aria-orientation="vertical" aria-valuemin="0" aria-valuemax="${clear}" aria-valuenow="${Math.round(height)}" aria-valuetext="${sizeWords(height, units)} above the shelf">${grip(-34, 12)}${grip(width + 34, -12)}</g>`;
}

/** What the colours stand for, with the bands asked for now. */
function Scale({ light }: { light: RackMoment }) {
  const place = useRef<HTMLDivElement>(null);
  const { text } = levelScale(scaleBands(light));
  useEffect(() => {
    // Markup of ours, with every name escaped.
    if (place.current) place.current.innerHTML = text;
  }, [text]);
  return <div class="paper scale" ref={place} />;
}
