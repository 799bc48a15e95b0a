/**
 * Bundles src/cli/main.ts into dist/, one chunk a command, so that each command
 * loads only what it needs; and the desk's page and its worker into dist/desk/.
 *
 * Always holds: a file of dist/ is whole at any moment (written beside, then
 * renamed), the entry comes last, and chunks that a running command may still
 * load are left for a day. esbuild is called through its library, which finds
 * its program without the package's install script.
 */

import {
  mkdirSync,
  readdirSync,
  realpathSync,
  renameSync,
  rmSync,
  statSync,
  utimesSync,
  writeFileSync,
} from 'node:fs';
import { basename, dirname, join, relative } from 'node:path';
import { fileURLToPath } from 'node:url';

const ROOT = fileURLToPath(new URL('../../..', import.meta.url));
const OUT = join(ROOT, 'dist');
const KEEP_MS = 86_400_000;

/** Packages left to Node's own loader: they bring native code, WebAssembly or files of their own. */
const EXTERNAL = ['serialport', '@photostructure/sqlite', 'pg', 'highs', 'avr8js', 'playwright-core'];

/** Bundled CommonJS packages still ask for Node's modules through `require`. */
const BANNER = `import { createRequire as __createRequire } from 'node:module';
const require = __createRequire(import.meta.url);`;

/**
 * modbus-serial loads the whole `serialport` package when it is there, though
 * we hand it a port of our own. In the bundle it finds none, as after an
 * install without optional packages, which it is made for; only
 * `src/link/real-port.ts` loads it, when a real port is asked for.
 */
const withoutSerialport = {
  name: 'without-serialport',
  setup(build) {
    build.onResolve({ filter: /^serialport$/ }, ({ importer }) =>
      /[\\/]modbus-serial[\\/]/.test(importer) ? { path: 'serialport', namespace: 'absent' } : undefined,
    );
    build.onLoad({ filter: /.*/, namespace: 'absent' }, () => ({
      contents: "throw new Error('not bundled');",
      loader: 'js',
    }));
  },
};

/** zod exports its messages in every language; only English is ever used, and the rest would be read at each start. */
const onlyEnglish = {
  name: 'only-english',
  setup(build) {
    build.onResolve({ filter: /\/locales\/index\.js$/ }, ({ importer, resolveDir }) =>
      importer.includes('/zod/')
        ? { path: join(resolveDir, '../locales/en.js'), namespace: 'english' }
        : undefined,
    );
    build.onLoad({ filter: /.*/, namespace: 'english' }, ({ path }) => ({
      contents: `export { default as en } from ${JSON.stringify(path)};`,
      loader: 'js',
      resolveDir: ROOT,
    }));
  },
};

/** @param {import('esbuild')} esbuild */
async function bundle(esbuild) {
  return esbuild.build({
    absWorkingDir: ROOT,
    entryPoints: { leanward: 'src/cli/main.ts' },
    outdir: OUT,
    bundle: true,
    splitting: true,
    minify: true,
    keepNames: false,
    platform: 'node',
    target: 'node20',
    format: 'esm',
    mainFields: ['module', 'main'],
    chunkNames: '[name]-[hash]',
    external: EXTERNAL,
    banner: { js: BANNER },
    loader: {
      '.yaml': 'text',
      '.html': 'text',
      '.css': 'text',
      '.svg': 'text',
      '.hex': 'text',
      '.wasm': 'binary',
    },
    plugins: [withoutSerialport, onlyEnglish],
    legalComments: 'none',
    logLevel: 'silent',
    write: false,
  });
}

/** The desk's page for a browser. @param {import('esbuild')} esbuild */
async function bundlePage(esbuild) {
  return esbuild.build({
    absWorkingDir: ROOT,
    entryPoints: {
      desk: 'src/desk/browser/main.tsx',
      worker: 'src/desk/browser/worker.ts',
      style: 'src/desk/browser/desk.css',
    },
    outdir: join(OUT, 'desk'),
    bundle: true,
    splitting: true,
    minify: true,
    platform: 'browser',
    target: 'es2022',
    format: 'esm',
    jsx: 'automatic',
    jsxImportSource: 'preact',
    chunkNames: '[name]-[hash]',
    plugins: [onlyEnglish],
    legalComments: 'none',
    logLevel: 'silent',
    write: false,
  });
}

/** Writes a file beside its place and renames it there. */
function put(path, contents, modified) {
  mkdirSync(dirname(path), { recursive: true });
  const beside = `${path}.${process.pid}.tmp`;
  writeFileSync(beside, contents);
  utimesSync(beside, modified, modified);
  renameSync(beside, path);
}

function prune(written, now) {
  for (const name of readdirSync(OUT, { recursive: true })) {
    const path = join(OUT, name);
    const stat = statSync(path, { throwIfNoEntry: false });
    if (stat?.isFile() && !written.has(name) && now - stat.mtimeMs > KEEP_MS)
      rmSync(path, { recursive: true, force: true });
  }
}

/** Builds dist/. Returns undefined when done, else what went wrong, in words. */
export async function build() {
  const started = new Date();
  try {
    const esbuild = await import('esbuild');
    const bundles = await Promise.all([bundle(esbuild), bundlePage(esbuild)]);
    const files = bundles
      .flatMap(({ outputFiles }) => outputFiles)
      .toSorted((a, b) => Number(isEntry(a.path)) - Number(isEntry(b.path)));
    for (const file of files) put(file.path, file.contents, started);
    prune(new Set(files.map((file) => relative(OUT, file.path))), started.getTime());
    return undefined;
  } catch (error) {
    if (error?.code === 'ERR_MODULE_NOT_FOUND')
      return 'esbuild is not installed; run `npm ci` in the checkout.';
    return error instanceof Error ? error.message : String(error);
  }
}

function isEntry(path) {
  return basename(path) === 'leanward.js';
}

if (process.argv[1] && realpathSync(process.argv[1]) === fileURLToPath(import.meta.url)) {
  const failure = await build();
  if (failure !== undefined) {
    process.stderr.write(`${failure}\n`);
    process.exitCode = 1;
  }
}
