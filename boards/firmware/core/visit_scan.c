#include "visit_scan.h"

#include "../generated/contract.h"
#include "../hal.h"
#include "apart.h"
#include "civil.h"
#include "state.h"

enum { EVERY, WEEKDAYS, ONCE, OPEN };

#define ALL_DAYS 0x7Fu
#define HALF_WEEK 302400u /* seconds */

uint16_t visiting_hours(uint16_t minute) {
  uint16_t section = running.section[TABLE_SECTION_PULSE - 1];
  uint16_t end = table_end(section);
  for (uint16_t at = (uint16_t)(section + 1u); at < end; at = (uint16_t)(at + 4u)) {
    uint16_t from = table_u16(at);
    uint16_t until = table_next16();
    if (minute < until) return minute >= from ? until : OUTSIDE_HOURS;
  }
  return OUTSIDE_HOURS;
}

APART static uint16_t next_entry(uint16_t entry) {
  uint8_t form = table_u8((uint16_t)(entry + 1u)) >> 6;
  return (uint16_t)(entry + (form < ONCE ? 5u : form + 1u));
}

/* The newest day whose `minute` has come at `moment`; notes a minute that is still to come. */
APART static uint16_t day_reached(struct scan *scan, const struct moment *moment, uint16_t minute) {
  if (moment->minute >= minute) return moment->day;
  if (minute < scan->next) scan->next = minute;
  return (uint16_t)(moment->day - 1u);
}

/* Half the interval times the weekdays, so that nothing is divided. */
bool visit_early(const struct scan *scan, uint32_t ahead) {
  uint32_t weekdays = 0;
  uint32_t half = 0;
  for (uint8_t mask = scan->mask; mask != 0; mask = (uint8_t)(mask >> 1)) {
    if (mask & 1u) weekdays += ahead;
  }
  for (uint8_t left = scan->every; left > 0; left--) half += HALF_WEEK;
  return weekdays <= half;
}

/* Reads an entry. Every form is a case of one: each so many days, so often, on weekdays of a mask. */
static void read_entry(struct scan *scan, uint16_t entry) {
  uint16_t minute = scan->minute;
  uint16_t head = table_u16(entry);
  uint8_t form = (uint8_t)(head >> 14);
  scan->first = table_next8();
  uint8_t second = table_next8();
  uint8_t third = table_next8();
  scan->visit_kind = (head >> 11) & 7u;
  scan->minute = head & 0x7FFu;
  scan->every = 1;
  scan->times = 1;
  scan->mask = ALL_DAYS;
  scan->more_days = 0;
  if (form == OPEN) scan->more_days = (uint8_t)(second - 1u);
  if (form == EVERY) scan->every = second;
  if (form == WEEKDAYS) scan->mask = second;
  if (form < ONCE) scan->times = third;
  if (scan->minute != minute) scan->until = visiting_hours(scan->minute); /* most are due at one time */
}

/* Finds the days of an entry that count, from the minutes alone; false: none does. */
static bool find_days(struct scan *scan) {
  bool missed = scan->question == ASK_MISSED;
  uint16_t due = day_reached(scan, &scan->now, scan->minute);
  uint16_t ended = day_reached(scan, &scan->now, scan->until);
  uint16_t before = day_reached(scan, &scan->before, missed ? scan->until : scan->minute);
  scan->fresh = before != due;
  if (missed) {
    due = ended;
    ended = before;
  } else if (scan->question == ASK_COMING) {
    ended = due;
    due = (uint16_t)(due + scan->every / 2u + 4u); /* weekdays: half a week */
  }
  scan->after_day = ended;
  scan->to_day = due;
  return (uint16_t)(due + scan->more_days) > ended;
}

/* The entry's visits of one binding. */
APART static void pass_binding(struct scan *scan, uint16_t first) {
  /* A missed window counts by its last day. */
  uint8_t more = scan->question == ASK_MISSED ? scan->more_days : 0;
  uint16_t from = (uint16_t)(scan->after_day + 1u - scan->more_days);
  uint16_t closed = visits_closed(scan->visit_kind, scan->zones);
  if (closed >= from) from = (uint16_t)(closed + 1u);
  /* From one of its days to the next: at most `times` steps, whatever lies between. */
  int32_t reach = (int32_t)scan->to_day - more - first;
  uint16_t end = (uint16_t)(scan->every * scan->times);
  uint16_t gone = 0;
  if (from > first) gone = (uint16_t)(from - first);
  if (gone >= end) return;
  if (gone % scan->every != 0) gone = (uint16_t)(gone + scan->every - gone % scan->every);
  for (; gone < end && gone <= reach; gone = (uint16_t)(gone + scan->every)) {
    scan->day = (uint16_t)(first + gone);
    if (scan->mask != ALL_DAYS && !((uint8_t)(scan->mask >> civil_weekday(scan->day)) & 1u)) continue;
    if (visit_found(scan)) return;
  }
}

/* All visits of the entry at `entry` that the question may be about. */
APART static void pass_entry(struct scan *scan, uint16_t entry) {
  hal_working(); /* a table may have hundreds */
  read_entry(scan, entry);
  if (!find_days(scan)) return;
  for (uint16_t at = scan->bindings; at < scan->bindings_end;) {
    uint16_t first = (uint16_t)(table_u16(at) + running.base_day + scan->first);
    scan->zones = scan->wide ? table_next16() : table_next8();
    at = table_at;
    pass_binding(scan, first);
  }
}

void visit_scan(struct scan *scan) {
  uint16_t end = table_end(running.section[TABLE_SECTION_VISITS - 1]);
  scan->next = CIVIL_DAY_MINUTES;
  scan->minute = CIVIL_DAY_MINUTES; /* none */
  if (end == 0) return;
  scan->wide = table_next8() > 8;
  for (uint16_t at = table_at; at < end; at = scan->bindings_end) {
    uint8_t head = table_u8(at++);
    uint16_t bindings = at;
    for (uint8_t left = (uint8_t)((head >> 4) + 1u); left > 0; left--) bindings = next_entry(bindings);
    scan->bindings = bindings;
    scan->bindings_end = (uint16_t)(bindings + (uint8_t)(((head & 15u) + 1u) * (scan->wide ? 4u : 3u)));
    for (; at < bindings; at = next_entry(at)) pass_entry(scan, at);
  }
}
