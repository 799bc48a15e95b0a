/** The review for machines: everything that the text and the page say, days as ISO dates, instants in UTC. */

import type { ResolvedPlan } from '../../../compiler/plan/plan.ts';
import { itemAt } from '../../../shared/assert.ts';
import { isoDate, isoInstant } from '../../../shared/civil.ts';
import { utcSeconds } from '../../../shared/units.ts';
import { photosOf } from '../book/photos.ts';
import type { CropReview } from '../crop/crop.ts';
import { cropJson } from '../crop/json.ts';
import type { ForecastWeek, MassGuess } from '../visits/forecast.ts';
import type { Incident } from './incidents.ts';
import type { Review, ReviewedController, ReviewedDay } from './review.ts';
import type { Verdict } from './verdict.ts';

type Json = Readonly<Record<string, unknown>>;

/** The whole review. Hours are rounded to thousandths. */
export function reviewJson(
  plan: ResolvedPlan,
  review: Review,
  verdicts: readonly Verdict[],
  forecast: readonly ForecastWeek[],
  crop: CropReview | undefined,
): Json {
  return {
    from: isoDate(review.from),
    until: isoDate(review.until),
    zones: verdicts.map((verdict) => zoneJson(plan, review, verdict)),
    incidents: review.incidents.map(incidentJson),
    room: review.room.map((day) => ({ ...day, day: isoDate(day.day) })),
    controllers: review.controllers.map(controllerJson),
    harvest: forecast.map((week) => ({
      week: isoDate(week.monday),
      bags: week.bags,
      grams: week.grams && massJson(week.grams),
      entries: week.entries.map((one) => ({
        ...one,
        opens: isoDate(one.opens),
        closes: isoDate(one.closes),
      })),
    })),
    crop: crop ? cropJson(plan, crop) : null,
    photos: photosOf(review.notes).map((one) => ({ ...one, day: isoDate(one.day) })),
  };
}

/** A mass with its range, where it has one. */
function massJson({ mean, low, high }: MassGuess): Json {
  const range = low === undefined || high === undefined ? {} : { low: rounded(low), high: rounded(high) };
  return { mean: rounded(mean), ...range };
}

function zoneJson(
  plan: ResolvedPlan,
  review: Review,
  { zone, batch, totals, share, visits, room, line, todo }: Verdict,
): Json {
  const days = review.days.filter((day) => day.zone === zone && day.batch === batch);
  return {
    zone: itemAt(plan.zones, zone).name,
    batch: itemAt(plan.batches, batch).name,
    verdict: line,
    todo,
    share: share === undefined ? null : rounded(share),
    ...hoursJson({ ...totals }),
    visits,
    roomOutside: room.map(({ zone: _, ...rest }) => rest),
    days: days.map(dayJson),
  };
}

function dayJson({ zone: _, batch: __, day, lost, ...rest }: ReviewedDay): Json {
  return { day: isoDate(day), ...hoursJson(rest), lost: hoursJson(lost) };
}

/** Numbers rounded, everything else as it is; one level of sides within. */
function hoursJson(values: Readonly<Record<string, unknown>>): Json {
  return Object.fromEntries(
    Object.entries(values).map(([key, value]) => {
      if (typeof value === 'number') return [key, rounded(value)];
      if (typeof value === 'object' && value !== null) return [key, hoursJson({ ...value })];
      return [key, value];
    }),
  );
}

function incidentJson(incident: Incident): Json {
  const times = Object.fromEntries(
    Object.entries(incident).map(([key, value]) => {
      const isTime = (key === 'at' || key === 'from' || key === 'until') && typeof value === 'number';
      if (isTime) return [key, isoInstant(utcSeconds(Math.round(value)))];
      if (key === 'day') return [key, isoDate(value)];
      return [key, value ?? null];
    }),
  );
  return times;
}

function controllerJson({ readUntil, ...rest }: ReviewedController): Json {
  const read = readUntil === undefined ? null : isoInstant(utcSeconds(Math.round(readUntil)));
  return { ...rest, readUntil: read };
}

function rounded(value: number): number {
  return Math.round(value * 1000) / 1000;
}
