/**
 * Lengths of time, and of things, in words.
 */

/** `45 min`, `2 h 5 min`, `3 d 4 h`. */
export function lengthWords(minutes: number): string {
  const whole = Math.round(minutes);
  const [days, hours, rest] = [Math.floor(whole / 1440), Math.floor(whole / 60) % 24, whole % 60];
  const parts =
    days > 0 ? [`${days} d`, hours && `${hours} h`] : [hours && `${hours} h`, rest && `${rest} min`];
  return parts.filter(Boolean).join(' ') || '0 min';
}

/** The same of so many seconds; below a minute `40 s`. */
export function secondsWords(seconds: number): string {
  const whole = Math.round(seconds);
  return whole < 60 ? `${whole} s` : lengthWords(whole / 60);
}
