/**
 * What the grower sees on a terminal: colour, progress and questions there,
 * plain lines everywhere else.
 *
 * Always holds: results go to standard output, everything else (progress,
 * questions, warnings) to standard error, so that a pipe gets results only.
 */

import { stderr, stdin, stdout } from 'node:process';
import { harmless } from '../../compiler/findings/harmless.ts';
import { EXIT, usage } from '../failure.ts';
import type { Face } from '../jobs/face.ts';
import { Interruption, unlessStopped } from './signals.ts';

const CODES = {
  bold: [1, 22],
  dim: [2, 22],
  red: [31, 39],
  green: [32, 39],
  yellow: [33, 39],
  cyan: [36, 39],
} as const;
export type Ink = keyof typeof CODES;

/** Whether results go to a terminal that takes colour. */
export function coloured(stream: { readonly isTTY?: boolean } = stdout): boolean {
  return stream.isTTY === true && !process.env.NO_COLOR && process.env.TERM !== 'dumb';
}

/** `text` in a colour where the stream takes one. */
export function ink(name: Ink, text: string, stream: { readonly isTTY?: boolean } = stdout): string {
  const [on, off] = CODES[name];
  return coloured(stream) ? `\u001b[${on}m${text}\u001b[${off}m` : text;
}

let readerGone = false;

/** Whether whoever read the results has gone (`leanward log | head`): what is said is then lost. */
export function hasReaderGone(): boolean {
  return readerGone;
}

/**
 * Goes on without a reader: a command that writes to a controller or a file
 * finishes what it began. Output that cannot be written (a full disk) is told once.
 */
export function outliveReaders(): void {
  for (const stream of [stdout, stderr]) {
    stream.on('error', (error: NodeJS.ErrnoException) => {
      if (stream === stdout) readerGone = true;
      // EIO: the terminal was closed.
      if (error.code === 'EPIPE' || error.code === 'EIO' || process.exitCode !== undefined) return;
      process.exitCode = EXIT.usage;
      if (stream === stdout) remark(`The output could not be written (${error.code ?? error.message}).`);
    });
  }
}

/** Marks of colour, ours and those of findings; nothing else of this kind is let through. */
const MARKS = new RegExp(`(${String.fromCharCode(27)}\\[[0-9]{1,2}(?:;3[0-9])?m)`);

/** What may be shown: names from plans, notes and devices cannot steer the terminal. */
export function visible(text: string, stream: { readonly isTTY?: boolean } = stdout): string {
  if (!coloured(stream)) return harmless(text);
  return text
    .split(MARKS)
    .map((part, i) => (i % 2 === 1 ? part : harmless(part)))
    .join('');
}

/** One line (or several) of the result. */
export function say(text: string): void {
  stdout.write(`${visible(text)}\n`);
}

/** A remark beside the result. */
export function remark(text: string): void {
  stderr.write(`${visible(text, stderr)}\n`);
}

let saidJson = false;

/** Whether a result for machines has been given. */
export function hasSaidJson(): boolean {
  return saidJson;
}

/** Another command line begins: nothing has been said yet. */
export function forgetJson(): void {
  saidJson = false;
}

/** JSON escapes the first control characters only; the rest are written as codes, which is the same JSON. */
export function visibleJson(json: string): string {
  return json.replace(/[\u007f-\u009f\p{Cf}\p{Zl}\p{Zp}]/gu, (one) =>
    Array.from(
      { length: one.length },
      (_, i) => `\\u${one.charCodeAt(i).toString(16).padStart(4, '0')}`,
    ).join(''),
  );
}

/** The result for machines. */
export function sayJson(value: unknown): void {
  saidJson = true;
  stdout.write(`${visibleJson(JSON.stringify(value, undefined, 2))}\n`);
}

/** Whether someone sits there to be asked. */
export function canAsk(): boolean {
  return stdin.isTTY === true && stderr.isTTY === true;
}

/** Asks a question; the answer without blanks around it. Ctrl-C or the end of input stop the command. */
export async function ask(question: string): Promise<string> {
  const { createInterface } = await import('node:readline/promises');
  const lines = createInterface({ input: stdin, output: stderr });
  const stopped = new Promise<never>((_, reject) => {
    lines.once('SIGINT', () => {
      stderr.write('\n');
      lines.close();
    });
    lines.once('close', () => reject(usage('Stopped: the question was not answered.')));
  });
  stopped.catch(() => undefined);
  try {
    return (await unlessStopped(Promise.race([lines.question(visible(question, stderr)), stopped]))).trim();
  } finally {
    lines.close();
  }
}

/** Asks for yes or no. */
export async function askYes(question: string): Promise<boolean> {
  return /^y(es)?$/i.test(await ask(`${question} [y/n] `));
}

/** Shows progress on a terminal, nothing elsewhere. `part` runs from 0 to 1. */
export function progress(title: string): (part: number) => void {
  if (stderr.isTTY !== true) return () => undefined;
  const width = 30;
  return (part) => {
    const filled = Math.round(width * Math.min(1, part));
    const bar = '#'.repeat(filled) + '.'.repeat(width - filled);
    stderr.write(`\r${title} ${bar} ${Math.round(part * 100)} %${part >= 1 ? '\n' : ''}`);
  };
}

/** The terminal as the work of a command sees it. */
export const TERMINAL: Face = {
  say,
  remark,
  sayJson,
  progress,
  canAsk,
  ask,
  hasGone: hasReaderGone,
  inColour: (of) => coloured(of === 'say' ? stdout : stderr),
  halting: (atOnce) => new Interruption(atOnce),
};
