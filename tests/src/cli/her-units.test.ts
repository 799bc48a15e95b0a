/**
 * That no command is forgotten where `her-units.long.test.ts` listens for metric units: the list is the
 * real one, so that a new command fails here until it has its line.
 */

import { expect, it } from 'vitest';
import { COMMANDS } from '../../../src/cli/commands/table.ts';
import { askedOf } from './her-units.ts';

it('every command is asked something', () => {
  expect(Object.keys(askedOf('.')).sort()).toEqual(COMMANDS.map(({ name }) => name).sort());
});
