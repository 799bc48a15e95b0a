/**
 * The commands there are. To add one: a file in this folder that exports
 * `define`, and a line here.
 *
 * Always holds: nothing a command needs is loaded before that command runs.
 */

import type { Command } from 'commander';

export interface CommandModule {
  /** Adds arguments, options, help and the action. */
  readonly define: (command: Command) => void;
}

export interface CommandEntry {
  readonly name: string;
  /** One line in `leanward --help`. */
  readonly summary: string;
  readonly load: () => Promise<CommandModule>;
}

export const COMMANDS: readonly CommandEntry[] = [
  { name: 'init', summary: 'write a first plan to change', load: () => import('./init.ts') },
  {
    name: 'check',
    summary: 'say what is wrong with a plan, and what it will do',
    load: () => import('./check.ts'),
  },
  {
    name: 'simulate',
    summary: 'run a plan beforehand, and see what each zone gets',
    load: () => import('./simulate.ts'),
  },
  {
    name: 'light',
    summary: 'the light that reaches each zone, and where it pulls',
    load: () => import('./light.ts'),
  },
  {
    name: 'desk',
    summary: 'the whole job on a page in the browser, from the plan to the review',
    load: () => import('./desk.ts'),
  },
  {
    name: 'compile',
    summary: 'write the schedule tables of a plan into a folder',
    load: () => import('./compile.ts'),
  },
  { name: 'batch', summary: 'add a batch to a plan', load: () => import('./batch.ts') },
  {
    name: 'install',
    summary: "put a board's firmware on its chip",
    load: () => import('./install/install.ts'),
  },
  { name: 'flash', summary: 'put the plan on the controller', load: () => import('./flash/flash.ts') },
  { name: 'status', summary: 'what the controller is doing now', load: () => import('./status.ts') },
  { name: 'log', summary: 'read what the controller wrote down', load: () => import('./log/log.ts') },
  {
    name: 'review',
    summary: 'compare what happened with the plan, and say what to do',
    load: () => import('./review/review.ts'),
  },
  {
    name: 'visits',
    summary: "tonight's work and the fortnight's; answers, calendar, card",
    load: () => import('./visits/visits.ts'),
  },
  { name: 'note', summary: 'write into the grow book, or read it', load: () => import('./note/note.ts') },
  {
    name: 'harvest',
    summary: 'bags were cut and weighed: they are out',
    load: () => import('./book/harvest.ts'),
  },
  {
    name: 'cull',
    summary: 'bags were taken out for good; what was lost',
    load: () => import('./book/cull.ts'),
  },
  { name: 'move', summary: 'bags stand in another place', load: () => import('./book/move.ts') },
  {
    name: 'began',
    summary: 'knobs, first colour, or a stage was seen to begin',
    load: () => import('./book/began.ts'),
  },
  {
    name: 'made',
    summary: 'a step of making a lot: mixed, sterilised, cooled, inoculated',
    load: () => import('./book/made.ts'),
  },
  { name: 'labels', summary: 'labels for the bags, to print', load: () => import('./labels.ts') },
  { name: 'prep', summary: 'the bag sheet: what to weigh out', load: () => import('./prep.ts') },
  {
    name: 'lamps',
    summary: 'light each lamp in turn, to see that it is the right one',
    load: () => import('./lamps/lamps.ts'),
  },
  { name: 'ports', summary: 'list the serial ports', load: () => import('./ports.ts') },
  {
    name: 'virtual',
    summary: 'a controller inside this computer, for other programs to talk to',
    load: () => import('./virtual.ts'),
  },
];
