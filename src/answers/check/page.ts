/**
 * The page that `check --page` writes: the plan in pictures.
 *
 * Always holds: self-contained; made from a plan without errors.
 */

import { lightReport } from '../../../compiler/advice/light-report.ts';
import type { Compiled } from '../../../compiler/compiled.ts';
import { wordsOf } from '../../../compiler/findings/words.ts';
import type { ResolvedPlan } from '../../../compiler/plan/plan.ts';
import type { VisitOccurrence } from '../../../compiler/timeline/visit.ts';
import { isoDate } from '../../../shared/civil.ts';
import { html, type Markup, page, table } from '../../page/html.ts';
import { rackDrawing } from '../../page/rack-drawing.ts';
import { visitLegend, weeksDrawing } from '../../page/weeks-drawing.ts';
import { grownSection } from '../light/grown-section.ts';
import { leanSection, lightSection } from '../light/sections.ts';

/** The whole file. */
export function planPage(compiled: Compiled): string {
  const { plan, timeline, findings, tables, units } = compiled;
  if (!plan || !timeline) throw new Error('A page needs a plan without errors');
  const light = lightReport(plan, timeline.field, timeline.steered);
  const body = html`
<h2>The rack, seen from the front</h2>
${rackDrawing(plan)}
<p class="soft">Arrows show where each lamp shines; a ring with a dot shines toward you, one with a cross away from you. Point at a thing for its name.</p>
<h2>The weeks</h2>
${weeksDrawing(plan, timeline.demands, timeline.visits)}
${visitLegend()}
${lightSection(light)}
${leanSection(light)}
${grownSection({ ...compiled, plan, timeline })}
<h2>Visits</h2>
${visitTable(plan, timeline.visits)}
<h2>Findings</h2>
${findingList(findings, units)}
<h2>Schedule tables</h2>
${table(
  ['controller', 'board', 'bytes'],
  tables.map((one) => [one.name, one.board.title, one.costs.total]),
)}`;
  return page(plan.title || 'Shelf light plan', body);
}

function visitTable(plan: ResolvedPlan, visits: readonly VisitOccurrence[]): Markup {
  const rows = plan.batches.map((batch, index) => {
    const own = visits.filter((visit) => visit.batch === index);
    const count = (kind: string): number =>
      new Set(own.filter((visit) => visit.kind === kind).map((visit) => visit.day)).size;
    const harvest = own.find((visit) => visit.kind === 'harvest');
    return [batch.name, count('lift'), count('look'), count('turn'), harvest ? isoDate(harvest.day) : ''];
  });
  return table(['batch', 'days with lifts', 'with looks', 'with turns', 'harvest opens'], rows);
}

function findingList(findings: Compiled['findings'], units: Compiled['units']): Markup {
  if (findings.length === 0) return html`<p>None.</p>`;
  return html`<ul>${findings.map((one) => {
    const { title, message, suggestion } = wordsOf(one, units);
    return html`<li><strong>${title}</strong> <span class="soft">${one.severity} ${one.code}</span><br>${message}${suggestion ? html`<br>${suggestion}` : ''}</li>`;
  })}</ul>`;
}
