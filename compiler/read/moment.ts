/**
 * Times of day, dates and weekdays as a grower writes them: `08:00`, `6 pm`,
 * `6:30 am`, `2026-02-16`, `Tue`.
 *
 * Always holds: times are minutes of the civil day; no clock is read here.
 */

const WEEKDAYS = ['monday', 'tuesday', 'wednesday', 'thursday', 'friday', 'saturday', 'sunday'];

/** Minute of the day, 0–1440 (`24:00` is the end of the day); undefined when the text is no time. */
export function parseTime(text: string): number | undefined {
  const match = /^(\d{1,2})(?::(\d{2}))?\s*([ap]\.?m\.?)?$/i.exec(text.trim());
  if (!match || (match[2] === undefined && match[3] === undefined)) return undefined;
  const hour = Number(match[1]);
  const minute = Number(match[2] ?? 0);
  if (minute > 59) return undefined;
  if (match[3] === undefined)
    return hour < 24 || (hour === 24 && minute === 0) ? hour * 60 + minute : undefined;
  if (hour < 1 || hour > 12) return undefined;
  return (hour % 12) * 60 + minute + (match[3].toLowerCase().startsWith('p') ? 720 : 0);
}

/** Day of the week, 0 Monday to 6 Sunday, from `Mon` or `Monday`; undefined when it is none. */
export function parseWeekday(text: string): number | undefined {
  const lower = text.trim().toLowerCase();
  if (lower.length < 3) return undefined;
  const index = WEEKDAYS.findIndex((name) => name.startsWith(lower));
  return index < 0 ? undefined : index;
}
