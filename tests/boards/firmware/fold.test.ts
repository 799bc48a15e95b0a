/**
 * Folding repeated instructions: a folded program does on the emulated chip
 * what it did before, in fewer bytes.
 */

import { execFileSync } from 'node:child_process';
import { mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { avrInstruction, CPU } from 'avr8js';
import fc from 'fast-check';
import { afterAll, describe, expect, it } from 'vitest';
import { parse, print } from '../../../boards/firmware/fold/assembly.ts';
import { codeBytes, fold } from '../../../boards/firmware/fold/fold.ts';
import { smaller } from '../../../boards/firmware/fold/smaller.ts';
import { itemAt } from '../../../shared/assert.ts';
import { needs } from '../../support/needs.ts';

const RAM_FROM = 0x100;
const RAM_END = 0x140;
const STEPS_MOST = 20_000;

/** GCC's text of functions with these bodies; `main` calls all of them and stays. */
function programText(bodies: readonly string[][]): string {
  const functions: [string, string[]][] = bodies.map((body, at) => [`part${at}`, [...body, 'ret']]);
  const main = [...bodies.map((_, at) => `call part${at}`), ...bodies.map((_, at) => `call part${at}`)];
  functions.push(['main', ['eor r1,r1', ...main, 'cli', 'sleep', 'ret']]);
  const lines = functions.flatMap(([name, body]) => [
    `\t.type\t${name}, @function`,
    `${name}:`,
    ...body.map((line) => (/^\/|:$/.test(line) ? line : `\t${line}`)),
    `\t.size\t${name}, .-${name}`,
  ]);
  return ['__SP_H__ = 0x3e', '__SP_L__ = 0x3d', '\t.text', '.global\tmain', ...lines, ''].join('\n');
}

const foldedText = (text: string): string => print(smaller(parse(text)));

describe('folding', () => {
  const run = ['lds r24,256', 'lds r25,257', 'adiw r24,1', 'sts 257,r25', 'sts 256,r24'];
  const count = (text: string, line: string): number => text.split(line).length - 1;

  it('makes a run that repeats one subroutine', () => {
    const text = foldedText(
      programText([
        [...run, 'inc r2'],
        [...run, 'inc r3'],
        ['dec r4', ...run, 'inc r5'],
      ]),
    );
    expect(count(text, '\tadiw r24,1')).toBe(1);
    expect(text).toMatch(/\tcall folded_\d+\n\tinc r3/);
  });

  it('shares an end that repeats by jumping into it, stack and all', () => {
    const end = ['adiw r28,4', 'pop r29', 'pop r28'];
    const text = foldedText(
      programText([
        ['push r28', 'inc r2', ...end],
        ['push r28', 'inc r3', ...end],
      ]),
    );
    expect(count(text, '\tpop r29')).toBe(1);
  });

  it('leaves alone what sees the stack, what may be skipped, and what is timed', () => {
    const kept = [
      ['push r24', 'lds r24,256', 'sts 258,r24', 'pop r24'],
      ['in r28,__SP_L__', 'in r29,__SP_H__', 'adiw r28,1'],
      ['sbi 0x1f,2', 'sbi 0x1f,1'],
      ['sts 96,r24', 'sts 96,r25'],
    ];
    for (const lines of kept) {
      const text = foldedText(
        programText([
          [...lines, 'inc r2'],
          [...lines, 'inc r3'],
          [...lines, 'inc r4'],
        ]),
      );
      expect(count(text, `\t${lines[0]}`), lines.join('; ')).toBe(3);
    }
    const args = ['/* prologue: function */', 'push r24', 'ldi r24,lo8(4)', 'call part0', 'pop r24'];
    const calls = foldedText(
      programText([['inc r2'], [...args, 'inc r2'], [...args, 'inc r3'], [...args, 'inc r4']]),
    );
    expect(count(calls, '\tldi r24,lo8(4)\n\tcall part0')).toBe(3);
    const skipped = [
      ['sbrc r2,0', ...run],
      ['sbrc r3,0', ...run],
      ['sbrc r4,0', ...run],
    ];
    expect(foldedText(programText(skipped))).not.toMatch(/sbrc r\d,0\n\t(call|jmp) folded_/);
    const skips = [
      ['inc r2', 'lds r20,300', 'sbrc r20,1', 'inc r5'],
      ['lds r20,300', 'sbrc r20,1', 'dec r5'],
    ];
    expect(foldedText(programText(skips))).not.toContain('folded_');
  });
});

/** Lines that stand for one thought; programs are made of them so that they repeat. */
const PHRASES: readonly (readonly string[])[] = [
  ['lds r24,256', 'lds r25,257', 'adiw r24,3', 'sts 257,r25', 'sts 256,r24'],
  ['lds r18,258', 'add r18,r24', 'sts 258,r18'],
  ['ldi r26,lo8(300)', 'ldi r27,hi8(300)', 'ld r19,X', 'inc r19', 'st X,r19'],
  ['sbrc r24,0', 'inc r20', 'sts 260,r20', 'dec r23'],
  ['sbrs r24,1', 'inc r20', 'sts 260,r20', 'dec r23'],
  ['cpse r18,r19', 'dec r20', 'sts 260,r20'],
  ['cpi r24,lo8(7)', 'brcs .+2', 'inc r21'],
  ['push r24', 'lds r24,258', 'sts 262,r24', 'pop r24'],
  ['mov r22,r24', 'eor r22,r25', 'sts 264,r22'],
  ['lsl r24', 'rol r25', 'adc r22,__zero_reg__'],
];

const program = fc.array(
  fc.array(fc.constantFrom(...PHRASES), { minLength: 1, maxLength: 12 }).map((body) => body.flat()),
  { minLength: 2, maxLength: 6 },
);

needs(['avr-gcc', 'avr-objcopy'], 'a folded program', () => {
  const folder = mkdtempSync(join(tmpdir(), 'leanward-fold-'));
  afterAll(() => rmSync(folder, { recursive: true, force: true }));

  function assembled(text: string): Uint8Array {
    const [source, elf, binary] = ['a.s', 'a.elf', 'a.bin'].map((name) => join(folder, name)) as [
      string,
      string,
      string,
    ];
    writeFileSync(source, text.replaceAll('__zero_reg__', 'r1'));
    execFileSync('avr-gcc', ['-mmcu=atmega328p', '-mrelax', '-o', elf, source], { stdio: 'pipe' });
    execFileSync('avr-objcopy', ['-O', 'binary', elf, binary]);
    return readFileSync(binary);
  }

  /** Registers and memory when the program sleeps. */
  function outcome(binary: Uint8Array): string {
    const flash = new Uint8Array(32_768).fill(0xff);
    flash.set(binary);
    const cpu = new CPU(new Uint16Array(flash.buffer), 2_048);
    for (let step = 0; cpu.progMem[cpu.pc] !== 0x9588; step++) {
      if (step > STEPS_MOST) throw new Error('does not end');
      avrInstruction(cpu);
    }
    const { data } = cpu;
    const kept = [
      ...data.subarray(1, 32),
      itemAt(data, 0x5f) & 0x7f,
      ...data.subarray(RAM_FROM, RAM_END),
      itemAt(data, 300),
    ];
    return [cpu.SP, ...kept].join(' ');
  }

  it('ends in the same state, and is no longer than before', { timeout: 60_000 }, () => {
    let won = 0;
    fc.assert(
      fc.property(program, (bodies) => {
        const text = programText(bodies);
        const plain = parse(text);
        const folded = fold(plain);
        won += codeBytes(plain) - codeBytes(folded);
        const before = assembled(text);
        const after = assembled(foldedText(text));
        expect(outcome(after)).toBe(outcome(before));
        expect(after.length).toBeLessThanOrEqual(before.length);
      }),
      { numRuns: 25 },
    );
    expect(won).toBeGreaterThan(200);
  });
});
