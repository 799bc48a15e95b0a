/**
 * GCC's assembler text of one whole AVR program, taken apart into functions.
 *
 * Always holds: `print(parse(text))` assembles to the same functions and data;
 * only comments, and where functions lie, may differ.
 */
import { itemAt, sure } from '../../../shared/assert.ts';

export interface Line {
  /** As it is printed. */
  readonly text: string;
  /** Its mnemonic; a label or a line that must stay as it is has none. */
  readonly op: string;
}

export interface AsmFunction {
  readonly name: string;
  /** Directives before it that name it to the linker. */
  readonly head: readonly string[];
  /** May be taken apart. */
  readonly plain: boolean;
  lines: Line[];
}

export interface Program {
  readonly functions: AsmFunction[];
  /** Everything else: symbols' values, data, code in sections of its own. */
  readonly rest: readonly string[];
}

const TEXT = /^\t\.(text|section\t\.text(\.startup|\.unlikely|\.quick)?\b.*)$/;
/** What runs every second, and the loop around it: it stays as quick as it is. */
const QUICK = /^\t\.section\t\.text\.(startup|quick)\b/;
const SECTION = /^\t\.section/;
const START = /^\t\.type\t([\w.]+), @function/;
const GLOBAL = /^(\t\.(global|weak)|\.global)\b/;
const LABEL = /^[.\w$]+:$/;
const INSTRUCTION = /^\t([a-z]+)\b/;
/** EECR and WDTCSR take a second write within four cycles of the first (data sheet). */
const UNLOCKS = /^\t(sbi 0x1f,|sts 96,)/;
/** GCC's prologue calls return to a numbered label behind them. */
const NUMBERED = /\b\d+[bf]\b/;
/** An interrupt: it stays as short as it was. */
const INTERRUPT = /^\s*reti\b/m;
/** Arguments on the stack: whoever is called counts from its own return address. */
const PUSHES_LATE = /\/\* prologue: (?:function|naked|Signal)[\s\S]*\n\tpush\b/;

/** A branch by a number of bytes: what it may pass over stays as it is. */
const BY_BYTES = /\s\.\+(\d+)$/;

function toLine(text: string, opaque: boolean): Line {
  const op = INSTRUCTION.exec(text)?.[1] ?? '';
  const kept = opaque || UNLOCKS.test(text) || NUMBERED.test(text);
  return { text, op: kept ? '' : op };
}

/** True when nothing is said by the line that the assembler needs inside a function. */
function isRemark(line: string): boolean {
  return line === '' || /^(\/\*.*\*\/| ;.*|\.L__stack_usage = \d+|\t\.size\t.*)$/.test(line);
}

function parseFunction(
  name: string,
  head: readonly string[],
  body: readonly string[],
  rest: string[],
): AsmFunction {
  const lines: Line[] = [];
  let inline = false;
  let table = false;
  let passed = 0;
  for (const line of body) {
    if (/#(NO)?APP/.test(line)) inline = !line.includes('#NOAPP');
    if (SECTION.test(line)) table = !TEXT.test(line);
    if (TEXT.test(line)) {
      if (table) rest.push(line);
      table = false;
    } else if (table) {
      rest.push(line);
    } else if (!isRemark(line)) {
      const text = line.replace(/\s+;.*$/, '');
      const one = toLine(text, inline || passed > 0 || !(INSTRUCTION.test(line) || LABEL.test(line)));
      passed = Number(BY_BYTES.exec(text)?.[1] ?? Math.max(0, passed - bytesOf(toLine(text, false))));
      lines.push(one);
    }
  }
  const text = body.join('\n');
  return { name, head, lines, plain: !PUSHES_LATE.test(text) && !INTERRUPT.test(text) };
}

/**
 * Takes GCC's output for one translation unit (or one link-time partition) apart.
 * Functions outside `.text` stay with the rest: so does what is timed by its instructions.
 */
export function parse(text: string): Program {
  const functions: AsmFunction[] = [];
  const rest: string[] = [];
  let head: string[] = [];
  let name = '';
  let body: string[] = [];
  let inText = true;
  let quick = false;
  for (const line of text.split('\n')) {
    if (name !== '') {
      body.push(line);
      if (!line.startsWith(`\t.size\t${name},`)) continue;
      const one = parseFunction(name, head, body, rest);
      functions.push(quick ? { ...one, plain: false } : one);
      [name, head, body] = ['', [], []];
    } else if (TEXT.test(line)) {
      inText = true;
      quick = QUICK.test(line);
    } else if (inText && START.test(line)) {
      name = itemAt(sure(START.exec(line)), 1);
    } else if (inText && GLOBAL.test(line)) {
      head.push(line);
    } else {
      if (SECTION.test(line) || /^\t\.(data|bss)/.test(line)) {
        inText = false;
      }
      rest.push(...head, line);
      head = [];
    }
  }
  return { functions, rest };
}

/** Assembler text again: the functions in their order, then the rest. */
export function print(program: Program): string {
  const functions = program.functions.flatMap(({ name, head, lines }) => [
    ...head,
    `\t.type\t${name}, @function`,
    ...lines.map(({ text }) => text),
    `\t.size\t${name}, .-${name}`,
  ]);
  // Symbols such as __SP_H__ get their values at the top of GCC's text.
  const symbols = program.rest.filter((line) => /^__\w+__ = /.test(line));
  const others = program.rest.filter((line) => !/^__\w+__ = /.test(line));
  return [...symbols, '\t.text', ...functions, ...others, ''].join('\n');
}

const WIDE = new Set(['lds', 'sts']);

/** Bytes of the instruction; calls and jumps as the linker leaves near ones. */
export function bytesOf({ op }: Line): number {
  if (op === '') return 0;
  return WIDE.has(op) ? 4 : 2;
}
