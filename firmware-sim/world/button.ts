/**
 * The button: a short press on release, a long one as soon as it has been held
 * long enough.
 *
 * Always holds: one hold gives one press at most.
 */
import { sure } from '../../shared/assert.ts';

/** Microseconds: shorter holds are bounce. Common practice, no source. */
const BOUNCE_MICROS = 30_000;
/** Microseconds after which a hold is a long press. */
const LONG_MICROS = 1_500_000;

/** `heldSince` is undefined while the button is up; `spent` once the hold has been a long press. */
export interface Button {
  heldSince: number | undefined;
  spent: boolean;
}

/** When the hold becomes a long press; Infinity when it will not. */
export function longPressAt(button: Button): number {
  const pending = button.heldSince !== undefined && !button.spent;
  return pending ? sure(button.heldSince) + LONG_MICROS : Number.POSITIVE_INFINITY;
}

/** Moves the button at `now`; true when that was a short press. */
export function moveButton(button: Button, down: boolean, now: number): boolean {
  const { heldSince, spent } = button;
  if (down) {
    if (heldSince === undefined) {
      button.heldSince = now;
      button.spent = false;
    }
    return false;
  }
  button.heldSince = undefined;
  return heldSince !== undefined && !spent && now - heldSince >= BOUNCE_MICROS;
}
