/**
 * What the tests reach of the C core: a core built with clang's counters
 * (LEANWARD_CORE names it) gives them up after each test file, as a raw profile
 * that llvm-profdata reads, in the folder LEANWARD_CORE_PROFILES.
 */

import { writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { afterAll } from 'vitest';

interface Instrumented {
  readonly memory: { readonly buffer: ArrayBuffer };
  readonly __wasm_call_ctors: () => void;
  readonly profile_count: () => number;
  readonly profile_function: (which: number) => number;
  readonly profile_files: () => number;
  readonly profile_names: (file: number) => number;
  readonly profile_names_size: (file: number) => number;
}

/** Head of a raw profile of a module of 32 bits, and its version (LLVM 14: compiler-rt, InstrProfData.inc). */
const MAGIC = 0xff6c70726f665281n;
const VERSION = 8n;
/** An entry: u64 name, u64 hash, then 32 bits each: counters (relative), function, values, number of counters, sites. */
const ENTRY = { bytes: 40, counters: 16, count: 28 } as const;

const folder = process.env.LEANWARD_CORE_PROFILES ?? '';
const seen: Instrumented[] = [];

/** Every function's entry, and the counters of all of them one after the other. */
function read(one: Instrumented): { data: Uint8Array; counters: BigUint64Array } {
  const view = new DataView(one.memory.buffer);
  const data = new Uint8Array(one.profile_count() * ENTRY.bytes);
  const counters: bigint[] = [];
  for (let at = 0; at < one.profile_count(); at++) {
    const from = one.profile_function(at);
    data.set(new Uint8Array(one.memory.buffer, from, ENTRY.bytes), at * ENTRY.bytes);
    // Relative to its own entry: entries follow one another here, counters after them.
    const relative = data.length + 8 * counters.length - ENTRY.bytes * at;
    new DataView(data.buffer).setUint32(at * ENTRY.bytes + ENTRY.counters, relative, true);
    const first = from + view.getInt32(from + ENTRY.counters, true);
    for (let n = 0; n < view.getUint32(from + ENTRY.count, true); n++)
      counters.push(view.getBigUint64(first + 8 * n, true));
  }
  return { data, counters: BigUint64Array.from(counters) };
}

/** The profile of all cores that lived, together. */
function rawProfile(first: Instrumented): Uint8Array {
  const { data, counters } = read(first);
  for (const one of seen.slice(1)) {
    read(one).counters.forEach((count, at) => {
      counters[at] = (counters[at] ?? 0n) + count;
    });
  }
  const files = Array.from({ length: first.profile_files() }, (_, file) => file);
  const names = Buffer.concat(
    files.map(
      (file) =>
        new Uint8Array(first.memory.buffer, first.profile_names(file), first.profile_names_size(file)),
    ),
  );
  const header = BigUint64Array.of(
    ...[MAGIC, VERSION, 0n, BigInt(data.length / ENTRY.bytes), 0n, BigInt(counters.length), 0n],
    ...[BigInt(names.length), BigInt(data.length), 0n, 1n],
  );
  const padding = new Uint8Array((8 - (names.length % 8)) % 8);
  return Buffer.concat([
    new Uint8Array(header.buffer),
    data,
    new Uint8Array(counters.buffer),
    names,
    padding,
  ]);
}

interface Made {
  readonly exports: object;
}
const own = globalThis as unknown as { WebAssembly: { Instance: new (...words: unknown[]) => Made } };
own.WebAssembly.Instance = new Proxy(own.WebAssembly.Instance, {
  construct(target, words) {
    const made = new target(...words);
    if ('profile_count' in made.exports) {
      const core = made.exports as Instrumented;
      core.__wasm_call_ctors();
      seen.push(core);
    }
    return made;
  },
});

/**
 * Has the profile written when this test file ends. Asked for by every file anew: unit tests share what they have
 * loaded, this module too.
 */
export function keepProfile(): void {
  afterAll(() => {
    const [first] = seen;
    const name = `${process.pid}-${process.hrtime.bigint()}.profraw`;
    if (first) writeFileSync(join(folder, name), rawProfile(first));
    seen.length = 0;
  });
}
