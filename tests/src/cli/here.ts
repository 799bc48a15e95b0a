/**
 * Runs the command line in the process of the test, without the second that each start of Node and
 * of the compiler takes: for what a command answers and writes. How a process starts, is
 * stopped and ends is for `run.ts`.
 */

import { runCommand } from '../../../src/cli/command-line.ts';
import { TERMINAL } from '../../../src/cli/terminal.ts';
import { faceAlways } from '../../../src/jobs/face.ts';
import type { Ran } from './run.ts';

process.env.TZ = 'UTC';
faceAlways(TERMINAL);

type Write = typeof process.stdout.write;

/** Lets what is written to a stream be taken instead; gives what writes to it again. */
function take(stream: NodeJS.WriteStream, taken: (text: string) => void): () => void {
  const { write } = stream;
  const instead: Write = (text: string | Uint8Array, ...more: unknown[]) => {
    taken(typeof text === 'string' ? text : Buffer.from(text).toString());
    const written = more.at(-1);
    if (typeof written === 'function') written();
    return true;
  };
  stream.write = instead;
  return () => {
    stream.write = write;
  };
}

/** Runs `leanward` with these words to its end. */
export async function here(...words: string[]): Promise<Ran> {
  const before = process.exitCode;
  process.exitCode = undefined;
  let out = '';
  let err = '';
  const backs = [
    take(process.stdout, (text) => (out += text)),
    take(process.stderr, (text) => (err += text)),
  ];
  try {
    const ended = await runCommand(words);
    const code = ended === 0 ? Number(process.exitCode ?? 0) : ended;
    return { code, out, err };
  } finally {
    for (const back of backs) back();
    process.exitCode = before;
  }
}
