/** A board that is not the one it is said to be is refused by name, and nothing is written. */

import { afterAll, beforeAll, expect, it } from 'vitest';
import { rememberController } from '../../../src/archive/append.ts';
import { type Archive, openArchive } from '../../../src/archive/open.ts';
import { refuseStranger } from '../../../src/archive/strangers.ts';

let archive: Archive;
beforeAll(async () => {
  archive = await openArchive(':memory:', 0);
  await rememberController(archive, 0xa1, 'shed/left', 0);
  await rememberController(archive, 0xb2, 'shed/right', 0);
});
afterAll(() => archive.close());

const claim = (controller: string, identity: number, spare = false) =>
  refuseStranger(archive, { plan: 'shed', controller, identity, spare });

it('lets the board through that the archive knows, a new one, and one of a name it does not know', async () => {
  await claim('left', 0xa1);
  await claim('third', 0);
  await claim('third', 0xc3);
});

it('refuses a board of another name, also as a spare', async () => {
  const refused = "This board is 'right' (identity 000000B2), not 'left'. Nothing was written.";
  await expect(claim('left', 0xb2)).rejects.toThrow(refused);
  await expect(claim('left', 0xb2, true)).rejects.toMatchObject({ exitCode: 3, reason: 'another board' });
});

it('names the other plan where the board is of another', async () => {
  const other = refuseStranger(archive, { plan: 'attic', controller: 'left', identity: 0xa1, spare: false });
  await expect(other).rejects.toThrow(
    "This board is 'left' of the plan shed (identity 000000A1), not 'left' of attic.",
  );
});

it('says what to do: another port, the name it has, or the plan that it is of', async () => {
  await expect(claim('left', 0xb2)).rejects.toMatchObject({
    hint: "Take the port of 'left', or say --controller right.",
  });
  const other = refuseStranger(archive, { plan: 'attic', controller: 'left', identity: 0xa1, spare: false });
  await expect(other).rejects.toMatchObject({ hint: "Take the port of 'left', or name the plan shed." });
});

it('names the board that took the name last, where several have had it', async () => {
  await rememberController(archive, 0xd4, 'shed/far', 0);
  await rememberController(archive, 0xe5, 'shed/far', 0);
  await expect(claim('far', 0xf6)).rejects.toThrow("has been 'far' so far (000000E5)");
  await claim('far', 0xd4);
});

it('refuses a board that it never met under a name that has one, unless it is a spare', async () => {
  await expect(claim('left', 0xc3)).rejects.toThrow('is not the one that has been');
  await claim('left', 0xc3, true);
});

it('refuses a new board under a name that has had another, unless it is a spare', async () => {
  await expect(claim('left', 0)).rejects.toThrow(
    "This board is new (it has no identity number): it is not the one that has been 'left' so far (000000A1). Nothing was written.",
  );
  await claim('left', 0, true);
});
