import { readdirSync, readFileSync, statSync } from 'node:fs';
import { dirname, join, relative, resolve, sep } from 'node:path';
import { fileURLToPath } from 'node:url';
import { build } from 'esbuild';
import { describe, expect, it } from 'vitest';
import { itemAt, sure } from '../shared/assert.ts';

const root = fileURLToPath(new URL('..', import.meta.url));
const FOLDERS = ['shared', 'compiler', 'firmware-sim', 'src', 'boards', 'tests'] as const;
const OUTSIDE = new Set(['node_modules', 'dist', 'golden']);

/** Which of our folders each may import from. */
const MAY_IMPORT: Readonly<Record<string, readonly string[]>> = {
  shared: ['shared'],
  compiler: ['shared', 'compiler'],
  'firmware-sim': ['shared', 'firmware-sim'],
  boards: ['shared', 'boards'],
  src: ['shared', 'compiler', 'firmware-sim', 'boards', 'src'],
};

function sources(folder: string): string[] {
  return readdirSync(join(root, folder)).flatMap((name) => {
    const path = join(folder, name);
    if (OUTSIDE.has(name)) return [];
    if (statSync(join(root, path)).isDirectory()) return sources(path);
    return /\.(ts|js)$/.test(name) ? [path] : [];
  });
}

/** What a file imports, as written. */
function imports(path: string): string[] {
  const text = readFileSync(join(root, path), 'utf8');
  return [...text.matchAll(/(?:from|import)\s*\(?\s*'([^']+)'/g)].map((match) => itemAt(match, 1));
}

const files = FOLDERS.flatMap(sources);
const inFolder = (folder: string): string[] => files.filter((path) => path.startsWith(folder + sep));

describe('the house', () => {
  it('has its fixed top level and nothing else', () => {
    const allowed =
      /^(README\.md|DEVELOPERS\.md|CHANGELOG\.md|LICENSE|package(-lock)?\.json|tsconfig\.json|compiler|firmware-sim|src|tests|shared|boards|biome\.json|vitest\.config\.ts|node_modules|dist|coverage|\..*)$/;
    expect(readdirSync(root).filter((name) => !allowed.test(name))).toEqual([]);
  });

  it.each(Object.keys(MAY_IMPORT))('%s imports only what it may', (folder) => {
    const wrong = inFolder(folder).flatMap((path) =>
      imports(path)
        .filter((target) => target.startsWith('.'))
        .map((target) => itemAt(relative(root, resolve(root, dirname(path), target)).split(sep), 0))
        .filter((target) => target !== 'package.json' && !sure(MAY_IMPORT[folder]).includes(target))
        .map((target) => `${path} imports ${target}`),
    );
    expect(wrong).toEqual([]);
  });

  it('imports with forward slashes that stay inside the project', () => {
    const wrong = files.flatMap((path) =>
      imports(path).filter(
        (target) =>
          target.startsWith('.') && relative(root, resolve(root, dirname(path), target)).startsWith('..'),
      ),
    );
    expect(wrong).toEqual([]);
  });

  it.each(['compiler', 'shared'])('%s asks nothing of Node, so that it runs in a browser', (folder) => {
    const wrong = inFolder(folder).filter((path) =>
      imports(path).some((target) => target.startsWith('node:')),
    );
    expect(wrong).toEqual([]);
  });

  it.each(['compiler', 'firmware-sim'])('%s takes time and chance as arguments', (folder) => {
    const banned =
      /\bDate\.now\b|\bnew Date\(\)|\bMath\.random\b|\bsetTimeout\b|\bsetInterval\b|\bperformance\.now\b|\bprocess\./;
    const wrong = inFolder(folder).filter((path) => banned.test(readFileSync(join(root, path), 'utf8')));
    expect(wrong).toEqual([]);
  });

  it('bundles the compiler for a browser', async () => {
    const result = await build({
      absWorkingDir: root,
      entryPoints: ['compiler/compile.ts'],
      bundle: true,
      write: false,
      platform: 'browser',
      format: 'esm',
      logLevel: 'silent',
    });
    expect(result.errors).toEqual([]);
  });

  it('opens each module with what it is for', () => {
    const wrong = [
      ...inFolder('compiler'),
      ...inFolder('firmware-sim'),
      ...inFolder('src'),
      ...inFolder('shared'),
    ].filter((path) => !/^(#!.*\n)?\/\*\*/.test(readFileSync(join(root, path), 'utf8')));
    expect(wrong).toEqual([]);
  });

  it('leaves no loose ends', () => {
    // Letters in brackets, so that a search for the same words does not find this line.
    const loose =
      /\b(it|test|describe)\.(s[k]ip|o[n]ly|t[o]do)\b|: an[y]\b|\bas an[y]\s*[;),\]}]|@ts-i[g]nore|@ts-e[x]pect-error|TO[D]O|FIX[M]E/;
    const wrong = files
      .filter((path) => path !== join('tests', 'house.test.ts'))
      .filter((path) => loose.test(readFileSync(join(root, path), 'utf8')));
    expect(wrong).toEqual([]);
  });
});
