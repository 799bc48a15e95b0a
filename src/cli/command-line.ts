/**
 * A command line: finds the command, loads it alone, runs it, and turns
 * whatever happens into an exit code and a sentence.
 *
 * Always holds: exit codes 0 done, 1 the plan has errors, 2 wrong usage, 3 the
 * controller or the link failed, 70 our own bug; a stack trace is shown only
 * with LEANWARD_DEBUG set.
 */

import { Command, CommanderError } from 'commander';
import facts from '../../package.json' with { type: 'json' };
import { EXIT, Failure } from '../failure.ts';
import { COMMANDS, type CommandEntry } from './commands/table.ts';
import { forgetJson, hasSaidJson, ink, remark, sayJson } from './terminal.ts';

const EXAMPLE = `
Examples:
  leanward flash rack.plan.yaml --port /dev/ttyUSB0
  leanward status --port virtual:rack.json      (no hardware needed)

leanward help COMMAND tells more about each.`;

function makeProgram(): Command {
  const program = new Command('leanward');
  program
    .description('Shelf light plans for growing antler bracket fungi.')
    .version(facts.version, '-V, --version', 'print the version')
    .helpOption('-h, --help', 'show this help')
    .helpCommand('help [command]', 'show the help of a command')
    .addHelpText('after', EXAMPLE)
    .showSuggestionAfterError()
    .exitOverride()
    .configureHelp({ showGlobalOptions: false });
  return program;
}

/** The command that the words name, if any. */
function wanted(words: readonly string[]): CommandEntry | undefined {
  const named = words.find((word) => !word.startsWith('-') && word !== 'help');
  return COMMANDS.find((entry) => entry.name === named);
}

async function run(words: readonly string[]): Promise<void> {
  const program = makeProgram();
  const chosen = wanted(words);
  const modules = chosen && (await chosen.load());
  for (const entry of COMMANDS) {
    const command = program.command(entry.name).summary(entry.summary).exitOverride();
    command.helpOption('-h, --help', 'show this help');
    if (entry === chosen) modules?.define(command);
  }
  if (words.length === 0) {
    program.outputHelp();
    return;
  }
  await program.parseAsync([...words], { from: 'user' });
}

function tell(failure: Failure, json: boolean): void {
  const { kind, reason, message, hint, details } = failure;
  if (json && !hasSaidJson()) sayJson({ error: { kind, reason, message, hint, ...details } });
  if (failure.told) return;
  remark(`${ink('red', 'leanward:', process.stderr)} ${message}`);
  if (hint) remark(hint);
}

/** Tells of an error in Leanward itself. */
export function tellBug(error: unknown): void {
  const message = error instanceof Error ? error.message : String(error);
  process.stderr.write(
    `leanward: something went wrong inside Leanward itself: ${message}\n` +
      'This is an error in Leanward, not a fault of your plan. To report it, run the same command again with\n' +
      `LEANWARD_DEBUG=1 set, and send what it prints (version ${facts.version}, Node ${process.version}) with your plan\n` +
      "to the project's issue list.\n",
  );
  if (process.env.LEANWARD_DEBUG && error instanceof Error) process.stderr.write(`${error.stack}\n`);
}

/** Says what happened; gives the exit code. */
function codeFor(error: unknown, json: boolean): number {
  if (error instanceof CommanderError) {
    if (error.exitCode === 0) return EXIT.done;
    const message = error.message.replace(/^error: /, '').replace(/\n/g, ' ');
    if (json && !hasSaidJson()) sayJson({ error: { kind: 'usage', reason: 'command line', message } });
    return EXIT.usage;
  }
  if (error instanceof Failure) {
    tell(error, json);
    if (process.env.LEANWARD_DEBUG) process.stderr.write(`${error.stack}\n`);
    return error.exitCode;
  }
  tellBug(error);
  return EXIT.bug;
}

/** Runs a command line to its end; gives the exit code. */
export async function runCommand(words: readonly string[]): Promise<number> {
  forgetJson();
  try {
    await run(words);
    return EXIT.done;
  } catch (error) {
    return codeFor(error, words.includes('--json'));
  }
}
