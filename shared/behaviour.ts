/**
 * The figures of `behaviour.md`, for everything that follows it: the simulated
 * controller, the review's replay, and (by a generated header) the C core.
 *
 * Always holds: one figure stands here once, under the name of what it bounds,
 * unit last; the document says why.
 */

const DAY_SECONDS = 86_400;

/** A step of the clock by more is a large step (section 2). */
export const SMALL_STEP_SECONDS = 120;
/** Without a tick for so long, the clock is read each second instead (section 5). */
export const TICK_LOST_SECONDS = 2;

/** Seconds that output 1 waits after a restart; each further output one more (section 3). */
export const START_WAIT_SECONDS = 2;
export const WORK_LIGHT_SECONDS = 600;

/** From commit to the trial's end (section 4). */
export const TRIAL_SECONDS = 120;

/** A stopped clock further ahead of the last known time is not believed (section 5). */
export const BELIEVED_SECONDS = 40 * DAY_SECONDS;
/** The year 2000: seconds before its end were counted from 0 with time unknown (section 5). */
export const COUNTED_SECONDS = 366 * DAY_SECONDS;
/** 2100-01-01, where the battery clock ends. */
export const CLOCK_END_SECONDS = 36_525 * DAY_SECONDS;

/** What the chip's reference is taken for until somebody held it against a meter, and what it can be (data sheet, band gap; its spread from memory) (section 4). */
export const REFERENCE_MILLIVOLTS = 1_100;
export const REFERENCE_LEAST_MILLIVOLTS = 900;
export const REFERENCE_MOST_MILLIVOLTS = 1_300;

/** An open visit is answered *done* before, *late* from then on (section 7). */
export const LATE_SECONDS = 7_200;
/** After a longer outage visits that ended are counted, not told one by one. */
export const VISITS_PASSED_SECONDS = 14 * DAY_SECONDS;
/** Answers older than this are not taken back. */
export const TAKE_BACK_SECONDS = 7 * DAY_SECONDS;
/** A harvest reminds every so many days of its opening, and daily at its end. */
export const REMINDER_DAYS = 7;
export const REMINDER_LAST_DAYS = 3;

/** What the probe says before it has measured, 85.0 °C, in 1/16 °C; and from where on it may be true. */
export const PROBE_POWER_ON_SIXTEENTHS = 85 * 16;
export const HOT_SIXTEENTHS = 80 * 16;
/** Failed readings in a row until fault 4 (section 8). */
export const PROBE_FAILURES = 3;
/** Minutes outside the band in a row until fault 8. */
export const OUTSIDE_MINUTES = 120;

/** A fault entered again sooner is not logged (section 9). */
export const FAULT_QUIET_SECONDS = 3_600;
