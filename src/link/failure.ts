/**
 * What can go wrong between the host and a controller, each with one clear
 * sentence and what to try.
 *
 * Always holds: every failure of the link that reaches the grower is one of
 * these (exit code 3), except a port named wrongly (exit code 2).
 */

import { Failure } from '../failure.ts';

export type LinkReason =
  | 'no port'
  | 'no permission'
  | 'port busy'
  | 'port failed'
  | 'port lost'
  | 'no answer'
  | 'not a controller'
  | 'wrong unit'
  | 'wrong board'
  | 'restarted'
  | 'refused'
  | 'busy'
  | 'mixed up'
  | 'not verified'
  | 'not believed'
  | 'unknown state';

/** A failure of the link (exit code 3). */
export class LinkFailure extends Failure {
  override readonly reason: LinkReason;
  constructor(reason: LinkReason, message: string, hint?: string) {
    super('link', message, { hint, reason });
    this.name = 'LinkFailure';
    this.reason = reason;
  }
}

/** The controller answered a request with a Modbus exception. */
export class ExceptionReply extends LinkFailure {
  /** Modbus exception code (1 function, 2 address, 3 value, 4 failure, 6 busy). */
  readonly code: number;
  constructor(code: number, doing: string) {
    super(
      code === 6 ? 'busy' : 'refused',
      `The controller ${EXCEPTION_WORDS[code] ?? `answered with exception ${code}`} (${doing}).`,
    );
    this.name = 'ExceptionReply';
    this.code = code;
  }
}

const EXCEPTION_WORDS: Record<number, string> = {
  1: 'does not know this request: its firmware is older or is not ours',
  2: 'has no such register or output',
  3: 'refused a value',
  4: 'could not do it: its memory does not answer',
  6: 'is busy',
};

/** Nothing came back from the controller in time. */
export function noAnswer(path: string, unit: number): LinkFailure {
  return new LinkFailure(
    'no answer',
    `No controller answers on ${path} as unit ${unit}.`,
    'Check that the controller has power, that the cable carries data (some only charge), and that this is the\n' +
      'right port (`leanward ports`). If the controller has another unit number, give it with --unit; a new one\n' +
      'has 1, until it is flashed.',
  );
}

/** The session changed under way. */
export function restarted(): LinkFailure {
  return new LinkFailure(
    'restarted',
    'The controller restarted while we were talking to it.',
    'Check its power supply and cable, then run the command again.',
  );
}

/** A reply that was whole but belonged to another question. */
export function mixedUp(): LinkFailure {
  return new LinkFailure(
    'mixed up',
    'Answers on this line do not fit the questions.',
    'Perhaps another program uses the same line, or two controllers have the same unit number.',
  );
}

/** The controller writes nothing while its supply is low. */
export function supplyLow(millivolts: number, needed: number | undefined, doing: string): LinkFailure {
  const limit = needed === undefined ? 'at so little' : `below ${needed} mV`;
  return new LinkFailure(
    'busy',
    `The controller measures ${millivolts} mV at its supply and writes nothing ${limit} (${doing}).`,
    'Use a shorter or thicker USB cable, or a charger that gives more. The chip measures against a reference of its\n' +
      'own that can be a tenth off: if a meter between the pins 5V and GND shows more, say so once, such as\n' +
      "  leanward status --port PORT --meter '4.93 V'",
  );
}

/** A meter's reading that no reference of the chip explains. */
export function meterFarOff(read: number, metered: number): LinkFailure {
  return new LinkFailure(
    'not believed',
    `The controller reads ${read} mV where the meter shows ${metered} mV: further apart than its reference can be off. Nothing was changed.`,
    'Measure direct voltage between the pins 5V and GND of the board while it runs.',
  );
}

/** Firmware from before the reference could be set. */
export function noReference(): LinkFailure {
  return new LinkFailure(
    'wrong board',
    "The board's firmware is older and cannot be told what a meter shows. Nothing was changed.",
    '`leanward install` puts the newer firmware on.',
  );
}

/** The status claims a log that no log memory can hold. */
export function impossibleLog(oldest: number, newest: number): LinkFailure {
  return new LinkFailure(
    'mixed up',
    `The controller says that its log holds records ${oldest} to ${newest}, which cannot be.`,
    'Perhaps two controllers have the same unit number; else its memory or its supply is failing.',
  );
}

/** The port vanished or failed while it was open. */
export function portLost(path: string): LinkFailure {
  return new LinkFailure(
    'port lost',
    `The connection on ${path} broke.`,
    'Check the cable and the USB plug, then run the command again.',
  );
}

/** A port that would not open, from the operating system's words. */
export function openFailure(path: string, error: unknown): LinkFailure {
  const words = (error instanceof Error ? error.message : String(error)).replace(/^Error:\s*/, '');
  if (/permission denied|access denied|EACCES/i.test(words)) {
    return new LinkFailure('no permission', `You may not open ${path}.`, permissionHint());
  }
  if (/cannot lock|temporarily unavailable|busy|EBUSY/i.test(words)) {
    const message = `${path} is in use by another program.`;
    return new LinkFailure(
      'port busy',
      message,
      'Close that program (a serial monitor, another leanward), then try again.',
    );
  }
  if (/no such file|not found|ENOENT|cannot find|no such device/i.test(words)) {
    const message = `There is no port ${path}.`;
    return new LinkFailure('no port', message, 'Plug the controller in and look with `leanward ports`.');
  }
  return new LinkFailure(
    'port failed',
    `${path} could not be opened: ${words}.`,
    'Look with `leanward ports`.',
  );
}

function permissionHint(): string {
  if (process.platform !== 'linux') return 'Check that your account may use serial ports.';
  return (
    'On Linux serial ports belong to the group `dialout` (on some systems `uucp`). Add yourself with\n' +
    '  sudo usermod -a -G dialout $USER\nthen log out and in again.'
  );
}
