/**
 * Checks of the files that lamps name, photometric and spectra: missing or bad, each once.
 */

import type { Report } from '../findings/collector.ts';
import type { Span } from '../findings/finding.ts';
import { type FieldOptions, lampFileText } from '../light/options.ts';
import { readPhotometry } from '../light/photometry.ts';
import { readSpectrum } from '../light/spectrum.ts';
import type { ResolvedPlan } from '../plan/plan.ts';

const READERS = { photometry: readPhotometry, spectrum: readSpectrum } as const;

export function checkLampFiles(plan: ResolvedPlan, options: FieldOptions, report: Report): void {
  for (const key of ['photometry', 'spectrum'] as const) {
    const spans = new Map<string, Span>();
    for (const lamp of plan.lamps) {
      const file = lamp[key];
      if (file !== undefined && !spans.has(file)) spans.set(file, lamp.span);
    }
    for (const [file, span] of spans) {
      const text = lampFileText(options, file);
      const fault = text === undefined ? undefined : READERS[key](text).fault;
      if (text === undefined) report(`${key}-missing`, span, { file }, undefined, file);
      else if (fault) report(`${key}-unreadable`, span, { file, ...fault }, undefined, file);
    }
  }
}
