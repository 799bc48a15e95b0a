/**
 * The light and the likely lean as sections of a page.
 *
 * Always holds: figures are the light report's own; an estimate says so.
 */

import type { LightReport, ZoneReport } from '../../../compiler/advice/light-report.ts';
import type { StageReport } from '../../../compiler/advice/stage-report.ts';
import { sure } from '../../../shared/assert.ts';
import { roughSize, type Units } from '../../../shared/measures.ts';
import { html, type Markup, table } from '../../page/html.ts';
import { sideWord } from '../../words/sides.ts';
import { edgeWords } from './text.ts';

/** Level, side, contrast and energy of each zone and stage. */
export function lightSection(report: LightReport): Markup {
  const rows = report.zones.flatMap((zone) => zone.stages.map((stage) => stageRow(zone, stage)));
  return html`<h2>The light that reaches the growth</h2>
${table(['zone', 'stage', 'from', 'days', 'asks for', 'level, lx', 'off', 'contrast', 'hours a day', 'met'], rows)}
<p class="soft">Level: least, mean and greatest, through the film, on a small surface turned to the strongest side, of the zone's worst bag. Off: degrees between the pull (toward the light) and the side asked for, 10 allowed. Contrast: the lit face over the opposite one, 5 : 1 wanted, for upright at most 2 : 1. ${energyWords(report)}</p>`;
}

/** Lamps whose power the plan does not give take no part in the sum. */
function energyWords({ outputs, kWh }: LightReport): string {
  const silent = outputs.filter(({ watts }) => watts === 0).length;
  if (silent === outputs.length) return 'The plan gives no lamp its power, so the energy is not known.';
  const rest = silent > 0 ? ', those without a power left out' : '';
  return `Lamps use ${kWh.toFixed(1)} kWh over the grow${rest}.`;
}

function metWords({ met, mayMiss }: StageReport): Markup {
  if (!met) return html`<span class="ill">no</span>`;
  return html`<span class="well">yes</span>${mayMiss.length === 0 ? '' : `; may miss: ${mayMiss.join(', ')}`}`;
}

function stageRow(zone: ZoneReport, stage: StageReport): (string | number | Markup)[] {
  const { min, mean, max } = stage.level;
  const asks = typeof stage.asks === 'number' ? `lean ${sideWord(stage.asks)}` : stage.asks;
  return [
    zone.zone,
    stage.stage,
    stage.from,
    stage.days,
    asks,
    `${Math.round(min)} / ${Math.round(mean)} / ${Math.round(max)}`,
    stage.off === undefined ? '' : `${stage.off.toFixed(1)}°`,
    stage.asks === 'dark' ? '' : `${(stage.contrast ?? stage.balance).toFixed(1)} : 1`,
    stage.hoursPerDay,
    metWords(stage),
  ];
}

/** The likely lean of the growth, a small graph a zone. */
export function leanSection(report: LightReport): Markup {
  const zones = report.zones.filter((zone) => zone.likelyLean);
  if (zones.length === 0) return html``;
  return html`<h2>The likely lean of the growth: an estimate</h2>
<p>No bending rate is published for these fungi: this comes from assumptions, all of which the plan can overwrite under <code>growth</code>. The shaded band covers their ranges. Nothing in the schedule depends on it; measure your own.</p>
${zones.map((zone) => html`<h3>Zone ${zone.zone}, from ${sure(zone.likelyLean).from}</h3>${leanGraph(zone)}${leanWords(zone, report.units)}`)}`;
}

const WIDTH = 520;
const HEIGHT = 120;
const STEEPEST = 90;

function leanGraph({ likelyLean }: ZoneReport): Markup {
  const days = sure(likelyLean).days;
  const last = days[days.length - 1]?.day ?? 1;
  const x = (day: number): number => 40 + (day / last) * (WIDTH - 60);
  const y = (angle: number): number => HEIGHT - 20 - (Math.min(angle, STEEPEST) / STEEPEST) * (HEIGHT - 40);
  const line = (of: (day: (typeof days)[number]) => number): string =>
    days.map((day) => `${x(day.day).toFixed(1)},${y(of(day)).toFixed(1)}`).join(' ');
  const band = `${line((day) => day.angleHigh)} ${[...days]
    .reverse()
    .map((day) => `${x(day.day).toFixed(1)},${y(day.angleLow).toFixed(1)}`)
    .join(' ')}`;
  const rule = (angle: number): Markup =>
    html`<line x1="40" y1="${y(angle)}" x2="${WIDTH - 20}" y2="${y(angle)}" stroke="#d9d4c7"/><text x="4" y="${y(angle) + 4}" font-size="11" fill="#6d6a62">${angle}°</text>`;
  return html`<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 ${WIDTH} ${HEIGHT}" width="${WIDTH}" role="img" aria-label="Likely angle from upright over the days, an estimate">
${[0, 30, 60, 90].map(rule)}<polygon points="${band}" fill="#d8a531" fill-opacity="0.25"/><polyline points="${line((day) => day.angle)}" fill="none" stroke="#b8860b" stroke-width="2"/>
<text x="${WIDTH - 90}" y="${HEIGHT - 4}" font-size="11" fill="#6d6a62">day ${last}</text></svg>`;
}

function leanWords({ likelyLean }: ZoneReport, units: Units): Markup {
  const { swing, filmEarliest, lifts } = sure(likelyLean);
  const drift = swing
    ? html` The swing drifts about ${roughSize(swing.drift, units)} toward its first side; with a first turn of half the length about ${roughSize(swing.halved, units)}.`
    : '';
  const film =
    filmEarliest === undefined ? '' : html` It may meet the film from about day ${filmEarliest} on.`;
  return html`<p class="soft">Angle from upright, ${edgeWords({ lifts })}.${drift}${film}</p>`;
}
