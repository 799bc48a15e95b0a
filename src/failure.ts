/**
 * Failures that a grower can do something about: one clear sentence, what to
 * try, and the exit code.
 *
 * Always holds: anything else that is thrown is our own bug (exit code 70).
 */

export const EXIT = { done: 0, plan: 1, refused: 1, usage: 2, link: 3, bug: 70 } as const;

/** `plan`: the plan has errors. `refused`: what was told cannot be true, and nothing was written. `usage`: the command was given wrongly. `link`: the controller or the link to it. */
export type FailureKind = 'plan' | 'refused' | 'usage' | 'link';

export interface FailureMore {
  readonly hint?: string | undefined;
  readonly told?: boolean;
  readonly reason?: string;
  readonly details?: Readonly<Record<string, unknown>>;
  /** Where it is not that of its kind. */
  readonly exitCode?: number;
}

/** A failure with its sentence (`message`) and what to try (`hint`). */
export class Failure extends Error {
  readonly kind: FailureKind;
  readonly hint: string | undefined;
  /** Already told to people (findings were printed). */
  readonly told: boolean;
  /** A stable word for machines, such as `no answer`. */
  readonly reason: string;
  /** More for machines. */
  readonly details: Readonly<Record<string, unknown>> | undefined;
  readonly exitCode: number;

  constructor(kind: FailureKind, message: string, more: FailureMore = {}) {
    super(message);
    this.name = 'Failure';
    this.kind = kind;
    this.hint = more.hint;
    this.told = more.told ?? false;
    this.reason = more.reason ?? kind;
    this.details = more.details;
    this.exitCode = more.exitCode ?? EXIT[kind];
  }
}

/** A failure of wrong usage. */
export function usage(message: string, hint?: string): Failure {
  return new Failure('usage', message, { hint });
}

/** The failure of an entry that cannot be true; nothing was written. */
export function refused(message: string, hint?: string): Failure {
  return new Failure('refused', `${message} Nothing was written.`, { hint });
}

/** The failure of a plan whose findings have been printed. */
export function planErrors(): Failure {
  return new Failure('plan', 'The plan has errors.', { told: true });
}
