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

const JOBS = 'src/jobs/';
const WORLD = ['src/archive/', 'src/link/', 'src/virtual/', 'src/files/', JOBS];
const FACES = ['src/cli/', 'src/desk/'];
/** The one door from the command line to the desk. */
const DESK_DOOR = 'src/cli/commands/desk.ts';

/** What each room of `src/` leaves alone: the answers know nothing of the world, the faces nothing of each other. */
const ROOMS: Readonly<Record<string, { readonly not: readonly string[] }>> = {
  'src/words': { not: [...WORLD, ...FACES, 'src/answers/', 'src/page/', 'boards/'] },
  'src/page': { not: [...WORLD, ...FACES, 'src/answers/', 'boards/'] },
  'src/answers': { not: [...WORLD, ...FACES, 'boards/'] },
  'src/archive': { not: [...FACES, JOBS] },
  'src/link': { not: [...FACES, JOBS] },
  'src/virtual': { not: [...FACES, JOBS] },
  'src/files': { not: [...FACES, JOBS] },
  'src/jobs': { not: FACES },
  'src/desk': { not: ['src/cli/'] },
  'src/desk/browser': { not: [...WORLD, 'src/cli/', 'src/desk/server/'] },
  'src/cli': { not: ['src/desk/'] },
};

/** What runs in a browser as it stands. */
const PURE = [
  'compiler',
  'shared',
  'src/answers',
  'src/words',
  'src/page',
  'src/desk/browser',
  'src/desk/wire.ts',
  'src/desk/wire-book.ts',
  'src/failure.ts',
] as const;

function sources(folder: string, kind = /\.(tsx?|js)$/): string[] {
  return readdirSync(join(root, folder)).flatMap((name) => {
    const path = join(folder, name);
    if (OUTSIDE.has(name)) return [];
    if (statSync(join(root, path)).isDirectory()) return sources(path, kind);
    return kind.test(name) ? [path] : [];
  });
}

/** What a file imports, as written. */
function imports(path: string): string[] {
  const text = readFileSync(join(root, path), 'utf8');
  return [...text.matchAll(/(?:from|import)\s*\(?\s*'([^']+)'/g)].map((match) => itemAt(match, 1));
}

const files = FOLDERS.flatMap((folder) => sources(folder));
const inFolder = (folder: string): string[] =>
  files.filter((path) => path === folder || path.startsWith(folder + sep));

/** The text of a file without its comments. */
const code = (path: string): string =>
  readFileSync(join(root, path), 'utf8').replace(/\/\*[\s\S]*?\*\/|^\s*\/\/.*$/gm, '');

/** Our own files that a file imports, as paths from the root. */
const targets = (path: string): string[] =>
  imports(path)
    .filter((target) => target.startsWith('.'))
    .map((target) => relative(root, resolve(root, dirname(path), target)));

/** What each module of the C code below a folder includes of ours: paths from the root, without `.c` or `.h`. */
function includes(folder: string): Map<string, string[]> {
  const module = (path: string): string => path.replace(/\.[ch]$/, '');
  const graph = new Map<string, string[]>();
  for (const path of sources(folder, /\.[ch]$/)) {
    const targets = [...code(path).matchAll(/^#include "([^"]+)"/gm)]
      .map((match) => module(join(dirname(path), itemAt(match, 1))))
      .filter((target) => target !== module(path));
    graph.set(module(path), [...(graph.get(module(path)) ?? []), ...targets]);
  }
  return graph;
}

/** The circles of a graph, each as its sorted members (Tarjan 1972: strongly connected components). */
function circles(graph: ReadonlyMap<string, readonly string[]>): string[][] {
  const order = new Map<string, number>();
  const low = new Map<string, number>();
  const open: string[] = [];
  const found: string[][] = [];
  const visit = (node: string): number => {
    const own = order.size;
    order.set(node, own);
    low.set(node, own);
    open.push(node);
    for (const next of graph.get(node) ?? []) {
      if (!graph.has(next)) continue;
      if (!order.has(next)) low.set(node, Math.min(sure(low.get(node)), visit(next)));
      else if (open.includes(next)) low.set(node, Math.min(sure(low.get(node)), sure(order.get(next))));
    }
    if (low.get(node) === own) {
      const ring = open.splice(open.indexOf(node));
      if (ring.length > 1 || graph.get(node)?.includes(node)) found.push(ring.sort());
    }
    return sure(low.get(node));
  };
  for (const node of graph.keys()) if (!order.has(node)) visit(node);
  return found;
}

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

  it.each(Object.keys(ROOMS))('%s keeps to its own side of the house', (room) => {
    const { not } = sure(ROOMS[room]);
    const wrong = inFolder(room).flatMap((path) =>
      targets(path)
        .filter((target) => not.some((other) => target.startsWith(other)))
        .filter((target) => !(path === DESK_DOOR && target.startsWith('src/desk/server/')))
        .map((target) => `${path} imports ${target}`),
    );
    expect(wrong).toEqual([]);
  });

  it.each(PURE)('%s asks nothing of Node, so that it runs in a browser', (folder) => {
    const wrong = inFolder(folder).filter(
      (path) =>
        imports(path).some((target) => target.startsWith('node:')) ||
        /\bBuffer\b|\bprocess\.|\bNodeJS\./.test(code(path)),
    );
    expect(wrong).toEqual([]);
  });

  it('has no circle of imports, not even of types', () => {
    expect(circles(new Map(files.map((path) => [path, targets(path)])))).toEqual([]);
  });

  it('has no circle of includes in the firmware, a .c and its .h taken as one', () => {
    const graph = includes('boards/firmware');
    expect(graph.get('boards/firmware/core/controller')).toContain('boards/firmware/core/link');
    expect(circles(graph)).toEqual([]);
  });

  it.each(['compiler', 'firmware-sim'])('%s takes time and chance as arguments', (folder) => {
    const banned =
      /\bDate\.now\b|\bnew Date\(\)|\bMath\.random\b|\bsetTimeout\b|\bsetInterval\b|\bperformance\.now\b|\bprocess\./;
    const wrong = inFolder(folder).filter((path) => banned.test(readFileSync(join(root, path), 'utf8')));
    expect(wrong).toEqual([]);
  });

  it.each([['compiler'], ['src/answers', 'src/words', 'src/page']])(
    'bundles %s … for a browser',
    async (...rooms) => {
      const entries = rooms.flatMap(inFolder).map((path) => `import './${path}';`);
      const result = await build({
        absWorkingDir: root,
        stdin: { contents: entries.join('\n'), resolveDir: root },
        bundle: true,
        write: false,
        platform: 'browser',
        format: 'esm',
        logLevel: 'silent',
        metafile: true,
      });
      expect(result.errors).toEqual([]);
      const world = Object.keys(result.metafile.inputs).filter((path) =>
        WORLD.some((room) => path.startsWith(room)),
      );
      expect(world).toEqual([]);
    },
  );

  it('exports no name twice, for one word is one thing', () => {
    const homes = new Map<string, Set<string>>();
    for (const path of files.filter((one) => !one.startsWith(`tests${sep}`))) {
      const declared =
        /^export (?:async |abstract )?(?:type|interface|const|function\*?|class|enum|let) (\w+)/gm;
      for (const [, name = ''] of code(path).matchAll(declared)) {
        homes.set(name, (homes.get(name) ?? new Set()).add(path));
      }
    }
    // Each command's file exports `define`, which the table of commands calls.
    homes.delete('define');
    const twice = [...homes].filter(([, paths]) => paths.size > 1);
    expect(twice.map(([name, paths]) => `${name}: ${[...paths].join(', ')}`)).toEqual([]);
  });

  it('leaves promises to `shared/assert.ts`, not to exclamation marks', () => {
    const marks = files.flatMap((path) =>
      [...code(path).matchAll(/[\w)\]]!(?=[.,;)\][\s}])(?!=)/g)].map(() => path),
    );
    console.info(`Exclamation marks: ${marks.length}`);
    expect(marks.length).toBeLessThanOrEqual(60);
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

  it('limits tests by their kind alone (vitest.config.ts): a slow machine is no fault', () => {
    // A number after the body, or a `timeout` among a test's options, is a limit of its own.
    const limit =
      /^ *\}, [0-9_]+\);$|^ *\},\n *[0-9_]+,\n *\);$|\b(timeout|testTimeout|hookTimeout): [0-9_]+\b/m;
    const wrong = files
      .filter((path) => /\.test\.ts$/.test(path) && path !== join('tests', 'house.test.ts'))
      .filter((path) => limit.test(readFileSync(join(root, path), 'utf8')));
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
