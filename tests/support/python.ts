/** Runs the project's Python checks with Debian's own Python: one list of questions in, one list of answers out. */

import { spawnSync } from 'node:child_process';
import { fileURLToPath } from 'node:url';

const MOST_BYTES = 1 << 28;

/** The answers of a Python file (`path` from the project's root) to questions, in order; fails with Python's own words. */
export function askPython<Question, Answer>(path: string, questions: readonly Question[]): Answer[] {
  const file = fileURLToPath(new URL(`../../${path}`, import.meta.url));
  const run = spawnSync('/usr/bin/python3', [file], {
    input: JSON.stringify(questions),
    encoding: 'utf8',
    maxBuffer: MOST_BYTES,
  });
  if (run.status !== 0) throw new Error(`${path} failed: ${run.stderr || String(run.error)}`);
  const answers: Answer[] = JSON.parse(run.stdout);
  if (answers.length !== questions.length) throw new Error(`${path} gave ${answers.length} answers`);
  return answers;
}
