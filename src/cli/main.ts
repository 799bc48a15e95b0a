/** The program: runs the command line that it was started with, and outlives whoever reads what it says. */

import { EXIT } from '../failure.ts';
import { faceAlways } from '../jobs/face.ts';
import { runCommand, tellBug } from './command-line.ts';
import { outliveReaders, TERMINAL } from './terminal.ts';

outliveReaders();
faceAlways(TERMINAL);
for (const event of ['uncaughtException', 'unhandledRejection'] as const) {
  process.on(event, (error) => {
    tellBug(error);
    process.exit(EXIT.bug);
  });
}

const code = await runCommand(process.argv.slice(2));
if (code !== EXIT.done) process.exitCode = code;
