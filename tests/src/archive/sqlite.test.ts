import { execFileSync } from 'node:child_process';
import { mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, describe, expect, it } from 'vitest';
import { itemAt } from '../../../shared/assert.ts';
import { appendRecords } from '../../../src/archive/append.ts';
import { defaultArchivePath, lookInArchive, openArchive } from '../../../src/archive/open.ts';
import { needs } from '../../support/needs.ts';
import { archiveBehaviour } from './behaviour.ts';
import { raw } from './records.ts';

const folder = mkdtempSync(join(tmpdir(), 'leanward-archive-'));
afterAll(() => rmSync(folder, { recursive: true, force: true }));
let made = 0;
const place = (): string => {
  made += 1;
  return join(folder, `${made}.sqlite`);
};

describe('an archive in SQLite', () => {
  archiveBehaviour(place);

  it('lies beside the plan', () => {
    expect(defaultArchivePath('/home/g/pantry.plan.yaml')).toBe('/home/g/pantry.archive.sqlite');
    expect(defaultArchivePath('rack.yml')).toBe('rack.archive.sqlite');
  });

  it('is only looked into by who only looks: nothing can be written, and its file stays as it is', async () => {
    const file = place();
    const archive = await openArchive(file, 0);
    await appendRecords(archive, 7, raw(1, 5), 0);
    await archive.close();
    const before = readFileSync(file);
    const seen = await lookInArchive(file, 0, ({ db }) =>
      db
        .selectFrom('records')
        .select(({ fn }) => fn.countAll().as('count'))
        .executeTakeFirstOrThrow(),
    );
    expect(Number(seen.count)).toBe(5);
    await expect(
      lookInArchive(file, 0, ({ db }) => db.deleteFrom('records').execute()),
    ).rejects.toMatchObject({ fault: 'unreachable' });
    expect(readFileSync(file).equals(before)).toBe(true);
  });

  it('of an older Leanward is brought up to date also by who only looks', async () => {
    const file = place();
    const archive = await openArchive(file, 0);
    await archive.db.deleteFrom('schema_version').where('version', '>', 3).execute();
    await archive.db.schema.alterTable('corrections').dropColumn('done_day').execute();
    await archive.close();
    const columns = await lookInArchive(file, 0, async ({ db }) => {
      const tables = await db.introspection.getTables();
      return tables.find(({ name }) => name === 'corrections')?.columns.map(({ name }) => name);
    });
    expect(columns).toContain('done_day');
  });

  it('does not touch a file that is something else', async () => {
    const text = place();
    writeFileSync(text, 'leanward: 1\n'.repeat(100));
    await expect(openArchive(text, 0)).rejects.toMatchObject({ fault: 'not an archive' });
    expect(readFileSync(text, 'utf8')).toBe('leanward: 1\n'.repeat(100));
    await expect(openArchive(join(folder, 'none', 'a.sqlite'), 0)).rejects.toThrow('no folder');
  });
});

// Outside check: the sqlite3 program of the SQLite project, from Debian.
needs(['sqlite3'], 'the sqlite3 program', () => {
  const sqlite3 = (file: string, query: string): string =>
    execFileSync('sqlite3', [file, query], { encoding: 'utf8' }).trim();

  it('finds the file sound and reads the same records', async () => {
    const file = place();
    const archive = await openArchive(file, 0);
    await appendRecords(archive, 7, raw(3, 50), 0);
    await archive.close();
    expect(sqlite3(file, 'pragma integrity_check')).toBe('ok');
    expect(sqlite3(file, 'select count(*), min(sequence), max(sequence) from records')).toBe('48|3|50');
    expect(sqlite3(file, 'select first, last from gaps')).toBe('1|2');
    const hex = Buffer.from(itemAt(raw(9, 9), 0))
      .toString('hex')
      .toUpperCase();
    expect(sqlite3(file, 'select hex(raw) from records where sequence = 9')).toBe(hex);
    expect(sqlite3(file, "select body ->> '$.outageMinutes' from records where sequence = 9")).toBe('95');
  });

  it('does not touch a database of somebody else', async () => {
    const file = place();
    sqlite3(file, 'create table mine (a)');
    await expect(openArchive(file, 0)).rejects.toMatchObject({ fault: 'not an archive' });
    expect(sqlite3(file, 'select count(*) from sqlite_master')).toBe('1');
  });
});
