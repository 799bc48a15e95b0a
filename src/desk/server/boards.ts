/**
 * The controllers that the desk works at: which ports there are, and one piece
 * of work at a time at each, done by the very functions of the commands.
 *
 * Always holds: a port that is in use is told, with what for; only looking
 * gives way to other work. Lamps go out when the page that had them lit is
 * gone; a flash goes on without any page. Virtual controllers lie in the
 * plans' folder, by their bare names.
 */

import { closeSync, openSync, readdirSync, readSync, statSync } from 'node:fs';
import { join } from 'node:path';
import { statusRows } from '../../answers/status/text.ts';
import { Failure, usage } from '../../failure.ts';
import type { ArchiveOptions } from '../../jobs/archive.ts';
import { face } from '../../jobs/face.ts';
import { flashPlan } from '../../jobs/flash/flash-plan.ts';
import type { EndSignal } from '../../jobs/halt.ts';
import { showLamps, verdictLines } from '../../jobs/lamps.ts';
import { keepLog, type OnBlank, type OnLook } from '../../jobs/log/keep-log.ts';
import { optionalPlan } from '../../jobs/of-plan.ts';
import { type PortOptions, unitNumber, withController } from '../../jobs/port.ts';
import { statusOf } from '../../jobs/status.ts';
import { listPorts } from '../../link/real-port.ts';
import { VIRTUAL_FILE_BEGINS } from '../../virtual/file.ts';
import { type Boards, JOB_KINDS, type JobAsked, type JobKind, type JobView } from '../wire.ts';
import { Job } from './job.ts';
import type { PlanFolder } from './plans.ts';

/** A page that is loaded anew is back within this, ms. */
const GONE_MS = 5000;
/** Changes within this time are told as one, ms. */
const TELL_MS = 100;
/** Seconds between two looks at a controller that is followed. */
const LOOK_SECONDS = '5';
/** Newest records of a log that are shown first. */
const RECORDS_SHOWN = 40;

const DOING: Readonly<Record<JobKind, string>> = {
  look: 'looks at it',
  flash: 'flashes it',
  lamps: 'lights its lamps',
};

/** The work at all ports. */
export class BoardRoom {
  /** The last work at each port. */
  private readonly jobs = new Map<string, Job>();
  private readonly telling = new Set<string>();
  private readonly plans: PlanFolder;
  private readonly tell: (job: JobView) => void;
  private count = 0;
  private readonly windows = new Map<string, number>();

  private readonly archive: ArchiveOptions;

  constructor(plans: PlanFolder, archive: ArchiveOptions, tell: (job: JobView) => void) {
    this.plans = plans;
    this.archive = archive;
    this.tell = tell;
  }

  /** What there is. */
  async list(): Promise<Boards> {
    // Where the system cannot list its ports, one can still be typed.
    const ports = await listPorts().catch(() => []);
    const virtual = virtualIn(this.plans.folder);
    return { ports, virtual, jobs: [...this.jobs.values()].map((job) => job.view()) };
  }

  /** Begins some work. */
  async begin(asked: JobAsked): Promise<JobView> {
    const kind = JOB_KINDS.find((one) => one === asked.kind);
    if (!kind) throw usage('The request says no kind of work.');
    const port = portIn(this.plans.folder, asked.port);
    const options = { ...this.archive, ...optionsOf(asked, port) };
    const path = this.plans.path(asked.plan);
    await this.giveWay(asked.port);
    this.count += 1;
    const job = new Job({
      ...{ id: this.count, kind, port: asked.port, plan: asked.plan, window: asked.window },
      folder: this.plans.folder,
      onChange: () => this.changed(asked.port),
    });
    this.jobs.set(asked.port, job);
    job.run(() => this.work(job, path, asked, options));
    return job.view();
  }

  /** Answers a question of some work. */
  answer(id: number, question: number, text: string): void {
    this.byId(id)?.answer(question, text);
  }

  /** Tells some work to stop. */
  stop(id: number): void {
    void this.byId(id)?.end('SIGINT');
  }

  /** A window listens. */
  here(window: string): void {
    this.windows.set(window, (this.windows.get(window) ?? 0) + 1);
  }

  /** A window is gone, or is loaded anew: lamps that it had lit go out, and where nobody is left, nobody looks. */
  gone(window: string): void {
    const left = (this.windows.get(window) ?? 1) - 1;
    if (left > 0) this.windows.set(window, left);
    else this.windows.delete(window);
    setTimeout(() => this.endUnwatched(), GONE_MS).unref();
  }

  /** Ends all work, as a signal ends a command; what each had to say to that. */
  async end(signal: EndSignal): Promise<readonly Failure[]> {
    const failures = await Promise.all(
      [...this.jobs.values()].filter((job) => !job.isOver).map((job) => job.end(signal)),
    );
    return failures.flatMap((one) => one ?? []);
  }

  /** Nothing is waited for any more. */
  endAtOnce(): void {
    for (const job of this.jobs.values()) job.endAtOnce();
  }

  private endUnwatched(): void {
    for (const job of this.jobs.values()) {
      const { kind, window } = job.beginning;
      const isWatched = kind === 'lamps' ? this.windows.has(window) : this.windows.size > 0;
      if (kind !== 'flash' && !isWatched && !job.isOver) void job.end('SIGHUP');
    }
  }

  private byId(id: number): Job | undefined {
    return [...this.jobs.values()].find((job) => job.beginning.id === id);
  }

  /** Ends looking at a port; says what else it is used for. */
  private async giveWay(port: string): Promise<void> {
    for (;;) {
      const job = this.jobs.get(port);
      if (!job || job.isOver) return;
      const { kind, plan } = job.beginning;
      if (kind !== 'look')
        throw new Failure('link', `${port} is in use: the desk ${DOING[kind]}, for ${plan}.`, {
          hint: 'Wait until that has ended.',
          reason: 'port busy',
        });
      await job.end('SIGHUP');
    }
  }

  private changed(port: string): void {
    if (this.telling.has(port)) return;
    this.telling.add(port);
    setTimeout(() => {
      this.telling.delete(port);
      const job = this.jobs.get(port);
      if (job) this.tell(job.view());
    }, TELL_MS).unref();
  }

  private async work(job: Job, path: string, asked: JobAsked, options: JobOptions): Promise<void> {
    switch (job.beginning.kind) {
      case 'look':
        return look(job, path, options);
      case 'flash':
        this.tellUnsaved(asked);
        return flashPlan(path, options);
      case 'lamps':
        return lamps(path, options);
    }
  }

  /** What is flashed is the file: a text that is not saved is said to be left out, a file that others changed is refused. */
  private tellUnsaved({ plan, mark }: JobAsked): void {
    if (this.plans.markOf(plan) !== mark)
      throw usage(
        `${plan} was changed by another program since it was opened here. Nothing was changed on the controller.`,
        'Look at both versions first, then flash.',
      );
    if (this.plans.list(plan).some(({ name, unsaved }) => name === plan && unsaved))
      face.remark(`${plan} has text that is not saved. What is flashed is the file as it was saved.`);
  }
}

type JobOptions = PortOptions & {
  readonly controller?: string;
  readonly spare?: boolean;
  readonly newHistory?: boolean;
  readonly setClock?: boolean;
};

/** The options of the command, of those that were given. */
function optionsOf({ controller, unit, at, advance, event, flags }: JobAsked, port: string): JobOptions {
  const words = flags.split(' ');
  return {
    port,
    ...(controller === '' ? {} : { controller }),
    ...(unit === '' ? {} : { unit: unitNumber(unit) }),
    ...(at === '' ? {} : { at }),
    ...(advance === '' ? {} : { advance }),
    ...(event === '' ? {} : { event: [event] }),
    ...{ spare: words.includes('spare'), newHistory: words.includes('new-history') },
    ...{ setClock: words.includes('set-clock') },
  };
}

/** The status and the log; a real controller is followed until the work is told to stop. */
async function look(job: Job, path: string, options: JobOptions): Promise<void> {
  const { names, name, index } = await optionalPlan(path, options.controller);
  const isVirtual = options.port?.startsWith('virtual') === true;
  let plan: Awaited<ReturnType<typeof statusOf>>['plan'];
  const onLook: OnLook = async (controller) => {
    // What plan and archive say of it does not change from look to look.
    const beside = { path: plan ? undefined : path, name, index };
    const answer = await statusOf(controller, beside, options);
    plan = answer.plan ?? plan;
    // Its log is read at once.
    const known = plan && { ...plan, unread: undefined };
    job.show(statusRows({ ...answer, ...(known ? { plan: known } : {}) }, names));
  };
  const onBlank: OnBlank = async (controller, words) => {
    face.remark(`${words} Until it is flashed, what it does now is shown.`);
    while (!isVirtual && !job.isToStop) {
      await controller.pace.wait(Number(LOOK_SECONDS) * 1000);
      await onLook(controller);
    }
  };
  const follow = isVirtual ? {} : { follow: LOOK_SECONDS };
  await keepLog(path, { ...options, ...follow }, RECORDS_SHOWN, onLook, onBlank);
}

async function lamps(path: string, options: JobOptions): Promise<void> {
  const { context, names } = await optionalPlan(path, options.controller);
  const shown = await withController(options, context, (controller) => showLamps(controller, names, true));
  for (const line of verdictLines(shown)) face.say(line);
}

const VIRTUAL = /^(virtual:(?:chip:)?)([^./\\:][^/\\:]*)$/;
const REAL = /^(\/dev\/.+|COM\d+|\/.+)$/;

/** The port as the commands take it: a virtual controller's file lies in the folder. */
function portIn(folder: string, port: string): string {
  const virtual = VIRTUAL.exec(port);
  if (virtual) return `${virtual[1]}${join(folder, virtual[2] ?? '')}`;
  if (REAL.test(port)) return port;
  throw usage(
    `'${port}' is no port that the desk opens.`,
    'Choose a serial port, or virtual:NAME or virtual:chip:NAME for a controller kept in the folder.',
  );
}

const HEAD_BYTES = 400;

/** Ports of the virtual controllers that are kept in a folder. */
function virtualIn(folder: string): string[] {
  return readdirSync(folder)
    .filter((name) => VIRTUAL.test(`virtual:${name}`) && isFile(join(folder, name)))
    .sort()
    .flatMap((name) => {
      const head = headOf(join(folder, name));
      if (!head.startsWith(VIRTUAL_FILE_BEGINS)) return [];
      return [head.includes('"kind":"leanward-chip"') ? `virtual:chip:${name}` : `virtual:${name}`];
    });
}

const isFile = (path: string): boolean => statSync(path, { throwIfNoEntry: false })?.isFile() === true;

function headOf(path: string): string {
  const bytes = Buffer.alloc(HEAD_BYTES);
  const handle = openSync(path, 'r');
  try {
    return bytes.toString('utf8', 0, readSync(handle, bytes));
  } finally {
    closeSync(handle);
  }
}
