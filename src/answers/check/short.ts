/**
 * What `check` says of a large rack, about a screenful: like things once, with their places.
 *
 * Always holds: every error and warning is told, or counted with its place among those like
 * it; what is left out otherwise is counted, and `--all` tells it. Lamps and batches get the
 * lines that the findings leave.
 */

import { ONE_BY_ONE } from '../../../compiler/advice/like-faults.ts';
import { isWeak } from '../../../compiler/checks/assumptions.ts';
import type { Compiled } from '../../../compiler/compiled.ts';
import type { Finding } from '../../../compiler/findings/finding.ts';
import { harmless } from '../../../compiler/findings/harmless.ts';
import { locate, type RenderOptions, renderFinding } from '../../../compiler/findings/render.ts';
import { wordsOf } from '../../../compiler/findings/words.ts';
import type { ResolvedBatch, ResolvedPlan } from '../../../compiler/plan/plan.ts';
import { itemAt, sure } from '../../../shared/assert.ts';
import { isoDate } from '../../../shared/civil.ts';
import { columns } from '../../words/columns.ts';
import { list, shortList, stretches } from '../../words/lists.ts';
import { countWords } from './findings.ts';
import { adviceKind, type FindingGroup, groupFindings, lightPlaceOf } from './groups.ts';
import { whyLines } from './lamps.ts';
import { courseWords, loadLines, stagesWords, tableLines, waitingLines } from './text.ts';
import { zonesOn } from './zones.ts';

/** Lines that are read at a look. */
const SCREENFUL = 50;
/** However many findings there are, so many lines tell of the lamps, and of the batches. */
const LEAST = 4;
/** Where even so there are too many lines, so many tell of the batches. */
const LEAST_BATCHES = 2;

/** A text that cannot be understood is long from so many lines on. */
const LONG_TEXT = 200;

/** Whether a rack is so large, or what is wrong with a long text so much, that what is alike is told once. */
export function isLarge({
  plan,
  findings,
  text,
  units,
}: Pick<Compiled, 'plan' | 'findings' | 'text' | 'units'>): boolean {
  if (plan !== undefined) return plan.zones.length > ONE_BY_ONE || plan.batches.length > ONE_BY_ONE;
  if (text.split('\n', LONG_TEXT + 1).length <= LONG_TEXT) return false;
  const blocks = findings.map((one) => renderFinding(one, { file: '', text, units }).split('\n'));
  return blocks.reduce((sum, lines) => sum + lines.length + 1, 1) > SCREENFUL;
}

/** All of it, in order. */
export function shortLines(file: string, compiled: Compiled, colour: boolean): string[] {
  const { plan, findings, text, units } = compiled;
  const options = { file, text, units, colour };
  const groups = groupFindings(findings, plan, 'all');
  const count = `${file}: ${countWords(findings)}`;
  if (!plan || findings.some(({ severity }) => severity === 'error'))
    return [...wrongLines(groups, plan, options), '', count];
  const tail = [
    ...[...waitingLines(plan), ...loadLines(plan)].map((line) => `  ${line}`),
    ...assumedWords(plan),
    ...tableLines(compiled),
    count,
  ];
  const head = [plan.title || file, `  ${courseWords(plan)}`];
  const withTold = (told: readonly string[]): string[] => {
    const left = SCREENFUL - told.length - head.length - tail.length - 1;
    const batches = batchLines(plan, Math.max(LEAST, Math.floor(left / 2)));
    const all = whyLines(compiled, Math.max(LEAST, left - batches.length - 2));
    // The lamps of a first group alone may take more lines than there are.
    const lamps =
      all.length > Math.max(left - 2, 2 * LEAST) ? ['What the lamps do: `light` tells.', ''] : all;
    const over = lamps.length + batches.length - left;
    const fewer = over > 0 ? batchLines(plan, Math.max(LEAST_BATCHES, batches.length - over)) : batches;
    return [...lamps, ...told, '', ...head, ...fewer.map((line) => `  ${line}`), ...tail];
  };
  const lines = withTold(groups.flatMap((group) => groupLines(group, plan, options)));
  return lines.length <= SCREENFUL
    ? lines
    : withTold(groups.flatMap((group) => tightLines(group, plan, options)));
}

/** A group as in brief; of notes only their titles and how many there are. */
function tightLines(group: FindingGroup, plan: ResolvedPlan | undefined, options: RenderOptions): string[] {
  const lines = groupLines(group, plan, options);
  if (group.told.severity !== 'note') return lines;
  const { length } = group.alike;
  return [`${lines[0]}${length === 0 ? '' : `, and ${length} more alike`}`];
}

/** What is wrong: where a screen holds them all with the lines of the file, else without. */
function wrongLines(
  groups: readonly FindingGroup[],
  plan: ResolvedPlan | undefined,
  options: RenderOptions,
): string[] {
  const whole = groups.map((group) => groupLines(group, plan, options, 'whole'));
  const lines = whole.flatMap((block, n) => (n === 0 ? block : ['', ...block]));
  if (lines.length + 2 <= SCREENFUL) return lines;
  const brief = groups.flatMap((group) => groupLines(group, plan, options));
  if (brief.length + 2 <= SCREENFUL) return brief;
  return groups.flatMap((group) => tightLines(group, plan, options));
}

/** A finding and where the others like it are; in brief without the lines of the file, and of a note only what it says. */
function groupLines(
  group: FindingGroup,
  plan: ResolvedPlan | undefined,
  options: RenderOptions,
  how: 'whole' | 'brief' = 'brief',
): string[] {
  const { told, alike } = group;
  const lines = renderFinding(told, { ...options, brief: how === 'brief' }).split('\n');
  const said = how === 'brief' && told.severity === 'note' ? lines.slice(0, 2) : lines;
  if (alike.length === 0) return said;
  const where = `${alike.length} more alike: ${places(told, alike, plan, options)}`;
  return [...said, harmless(where), ...otherAdvice(group, plan, options)];
}

/** Where something else was tried for those alike than for the one told: a line for each kind of advice. */
function otherAdvice(
  { told, alike }: FindingGroup,
  plan: ResolvedPlan | undefined,
  options: RenderOptions,
): string[] {
  const kinds = new Map<string, Finding[]>();
  for (const one of alike) {
    const kind = adviceKind(one);
    if (kind !== '' && kind !== adviceKind(told)) kinds.set(kind, [...(kinds.get(kind) ?? []), one]);
  }
  return [...kinds.values()].map((of) => {
    const { suggestion = '' } = wordsOf(sure(of[0]), options.units);
    return harmless(`  of them ${places(told, of, plan, options)}: ${suggestion}`);
  });
}

/** Where findings are: stage by stage their zones, or their lines. */
function places(
  told: FindingGroup['told'],
  alike: FindingGroup['alike'],
  plan: ResolvedPlan | undefined,
  { text }: RenderOptions,
): string {
  const placed = alike.map(lightPlaceOf);
  if (plan === undefined || placed.some((place) => place === undefined)) {
    const lines = alike.map(({ span }) => String(locate(text, span.start).line));
    const all = stretches([...new Set(lines)]);
    return `${all.length === 1 && new Set(lines).size === 1 ? 'line' : 'lines'} ${list(all)}`;
  }
  const first = lightPlaceOf(told);
  const stages = [...new Set(placed.map((place) => sure(place).stage))];
  return stages
    .map((stage) => {
      const zones = placed.flatMap((place) => (place?.stage === stage ? [place.zone] : []));
      const inOrder = plan.zones.map(({ name }) => name).filter((name) => zones.includes(name));
      const before = first?.stage === stage ? first.zone : undefined;
      return `stage \`${stage}\`, ${zonesOn(plan, inOrder, before)}`;
    })
    .join('; ');
}

/** Batches with the same stages on the same days, once; the first of very many. */
function batchLines(plan: ResolvedPlan, most: number): string[] {
  const groups = new Map<string, ResolvedBatch[]>();
  for (const batch of plan.batches) {
    const key = `${isoDate(batch.sealed)}|${stagesWords(batch)}`;
    groups.set(key, [...(groups.get(key) ?? []), batch]);
  }
  const all = [...groups.values()];
  const shown = all.length > most ? all.slice(0, most - 1) : all;
  const rows = columns(
    shown.map((batches) => {
      const [first] = batches;
      const names = `${batches.length === 1 ? 'batch' : 'batches'} ${shortList(batches.map(({ name }) => name))}`;
      return [names, `sealed ${isoDate(sure(first).sealed)}`, zoneCount(batches), stagesWords(sure(first))];
    }),
  );
  const rest = all.slice(shown.length).flat();
  return rest.length === 0 ? rows : [...rows, moreBatches(rest)];
}

function moreBatches(batches: readonly ResolvedBatch[]): string {
  const days = batches.map(({ sealed }) => sealed).sort((a, b) => a - b);
  const [first, last] = [itemAt(days, 0), sure(days.at(-1))];
  return `${batches.length} more batches in ${zoneCount(batches)}, sealed ${isoDate(first)} to ${isoDate(last)}: \`--all\` tells of each`;
}

function zoneCount(batches: readonly ResolvedBatch[]): string {
  const count = new Set(batches.flatMap(({ zones }) => zones.map(({ zone }) => zone))).size;
  return `${count} ${count === 1 ? 'zone' : 'zones'}`;
}

/** How many values are assumed; those with low confidence are counted as in the warning of them. */
function assumedWords({ assumed }: ResolvedPlan): string[] {
  if (assumed.length === 0) return [];
  const low = assumed.filter(isWeak).length;
  return [
    `  ${assumed.length} values are assumed because the plan does not say, ${low} of them with low confidence: \`--all\` lists them`,
  ];
}
