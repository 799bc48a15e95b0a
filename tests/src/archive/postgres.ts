/**
 * A private PostgreSQL server for one test file: its own folder, reached only
 * through a socket there, gone afterwards.
 */

import { execFileSync } from 'node:child_process';
import { chmodSync, mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { delimiter, join } from 'node:path';
import { sure } from '../../../shared/assert.ts';

const PATH = [process.env.PATH, '/usr/lib/postgresql/15/bin'].join(delimiter);

export interface Server {
  /** Address of a new, empty database; more words go to `createdb`. */
  database(name: string, ...words: string[]): string;
  stop(): void;
}

/**
 * Starts a server; takes a few seconds. The server refuses root, so root steps
 * down to its user. With a password it asks everybody for it.
 */
export function startServer(password?: string): Server {
  const folder = mkdtempSync(join(tmpdir(), 'leanward-pg-'));
  chmodSync(folder, 0o777);
  const root = process.getuid?.() === 0;
  const run = (program: string, args: readonly string[]): void => {
    const [file, ...rest] = root ? ['runuser', '-u', 'postgres', '--', program, ...args] : [program, ...args];
    execFileSync(sure(file), rest, {
      env: { ...process.env, PATH, PGPASSWORD: password ?? '' },
      cwd: folder,
      stdio: 'pipe',
    });
  };
  const data = join(folder, 'data');
  const words = join(folder, 'words');
  writeFileSync(words, `${password ?? 'none'}\n`, { mode: 0o644 });
  const access = password === undefined ? ['-A', 'trust'] : ['-A', 'scram-sha-256', '--pwfile', words];
  run('initdb', ['-D', data, '-U', 'grower', ...access, '--no-sync', '-E', 'UTF8', '--locale=C']);
  const options = `-c listen_addresses='' -k ${folder} -c fsync=off`;
  run('pg_ctl', ['-D', data, '-w', '-l', join(folder, 'log'), '-o', options, 'start']);
  return {
    database(name, ...words) {
      run('createdb', ['-h', folder, '-U', 'grower', ...words, name]);
      const grower = password === undefined ? 'grower' : `grower:${encodeURIComponent(password)}`;
      return `postgres://${grower}@${encodeURIComponent(folder)}/${name}`;
    },
    stop() {
      run('pg_ctl', ['-D', data, '-m', 'immediate', '-w', 'stop']);
      rmSync(folder, { recursive: true, force: true });
    },
  };
}
