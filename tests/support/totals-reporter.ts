/**
 * Adds the run's totals as one plain line to the file named by LEANWARD_TOTALS,
 * so that a script can sum its runs and print them last.
 */

import { appendFileSync } from 'node:fs';
import type { Reporter, TestModule } from 'vitest/node';

export default class TotalsReporter implements Reporter {
  onTestRunEnd(modules: readonly TestModule[]): void {
    const file = process.env.LEANWARD_TOTALS;
    if (!file) return;
    const counts = { passed: 0, failed: 0, skipped: 0 };
    for (const module of modules) {
      if (module.state() === 'failed' && [...module.children.allTests('failed')].length === 0)
        counts.failed++;
      for (const test of module.children.allTests()) {
        const state = test.result().state;
        if (state === 'passed' || state === 'failed' || state === 'skipped') counts[state]++;
      }
    }
    appendFileSync(file, `${counts.passed} passed, ${counts.failed} failed, ${counts.skipped} skipped\n`);
  }
}
