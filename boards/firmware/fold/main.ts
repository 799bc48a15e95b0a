/**
 * Reads GCC's assembler text of the whole firmware, writes it folded and ordered.
 *
 * Usage: node tests/support/run-ts.js boards/firmware/fold/main.ts in.s out.s
 */

import { readFileSync, writeFileSync } from 'node:fs';
import { parse, print } from './assembly.ts';
import { smaller } from './smaller.ts';

const [input, output] = process.argv.slice(2);
if (!input || !output) throw new Error('usage: main.ts in.s out.s');
writeFileSync(output, print(smaller(parse(readFileSync(input, 'utf8')))));
