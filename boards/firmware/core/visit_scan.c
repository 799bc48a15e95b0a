#include "visit_scan.h"

#include "../generated/contract.h"
#include "civil.h"
#include "state.h"

enum { EVERY, WEEKDAYS, ONCE, OPEN };

#define HALF_DAY ((uint32_t)43200u)

uint8_t visit_zones(void) {
  uint16_t at = running.section[TABLE_SECTION_VISITS - 1];
  return running_slot == NO_SLOT || at == 0 ? 0 : table_u8(at);
}

static uint16_t section_end(void) { return running.end[TABLE_SECTION_VISITS - 1]; }

static uint8_t entry_form(uint16_t entry) { return (uint8_t)(table_u8((uint16_t)(entry + 1u)) >> 6); }

static uint8_t entry_bytes(uint16_t entry) {
  uint8_t form = entry_form(entry);
  return form == ONCE ? 3 : form == OPEN ? 4 : 5;
}

static uint8_t binding_bytes(const struct visit_scan *scan) { return scan->wide ? 4 : 3; }

static uint16_t skip_entries(uint16_t at, uint8_t count) {
  for (; count > 0; count--) at = (uint16_t)(at + entry_bytes(at));
  return at;
}

static uint8_t group_entries(uint16_t group) { return (uint8_t)((table_u8(group) >> 4) + 1u); }

static uint16_t first_binding(const struct visit_scan *scan) {
  return skip_entries((uint16_t)(scan->group + 1u), group_entries(scan->group));
}

/* Puts the walker before the first binding of the entry it is at. */
static void enter_entry(struct visit_scan *scan) {
  scan->binding = first_binding(scan);
  scan->bindings_left = (uint8_t)((table_u8(scan->group) & 15u) + 1u);
  scan->day = 0;
}

static bool enter_group(struct visit_scan *scan) {
  if (scan->next_group >= section_end()) return false;
  scan->group = scan->next_group;
  scan->entry = (uint16_t)(scan->group + 1u);
  scan->entries_left = group_entries(scan->group);
  enter_entry(scan);
  scan->next_group = (uint16_t)(scan->binding + (uint16_t)(scan->bindings_left * binding_bytes(scan)));
  return true;
}

void visit_scan_start(struct visit_scan *scan, uint16_t from_day, uint16_t to_day) {
  uint8_t zones = visit_zones();
  scan->from_day = from_day;
  scan->to_day = to_day;
  scan->wide = zones > 8;
  scan->entries_left = 0;
  scan->bindings_left = 0;
  scan->next_group = zones == 0 ? section_end() : (uint16_t)(running.section[TABLE_SECTION_VISITS - 1] + 1u);
}

static bool next_binding(struct visit_scan *scan) {
  scan->day = 0;
  if (scan->bindings_left > 1) {
    scan->bindings_left--;
    scan->binding = (uint16_t)(scan->binding + binding_bytes(scan));
    return true;
  }
  if (scan->entries_left > 1) {
    scan->entries_left--;
    scan->entry = (uint16_t)(scan->entry + entry_bytes(scan->entry));
    enter_entry(scan);
    return true;
  }
  return enter_group(scan);
}

static uint8_t entry_byte(const struct visit_scan *scan, uint8_t at) {
  return table_u8((uint16_t)(scan->entry + at));
}

static uint8_t count_bits(uint8_t mask) {
  uint8_t count = 0;
  for (; mask != 0; mask = (uint8_t)(mask >> 1)) count = (uint8_t)(count + (mask & 1u));
  return count;
}

/* Whether the entry falls due on `day`, whose first possible day is `first`; *again gets the next day worth trying. */
static bool due_on(const struct visit_scan *scan, uint16_t first, uint16_t day, uint16_t *again) {
  uint16_t gone = (uint16_t)(day - first);
  uint8_t second = entry_byte(scan, 3);
  uint8_t third = entry_byte(scan, 4);
  *again = (uint16_t)(day + 1u);
  switch (entry_form(scan->entry)) {
    case EVERY: {
      uint16_t times = (uint16_t)(gone / second);
      uint8_t over = (uint8_t)(gone - times * second);
      if (over != 0) *again = (uint16_t)(day + second - over);
      if (times >= third) *again = 0xFFFFu;
      return over == 0 && times < third;
    }
    case WEEKDAYS:
      if (gone >= third) *again = 0xFFFFu;
      return gone < third && (second & (1u << civil_weekday(day))) != 0;
    default:
      *again = 0xFFFFu;
      return gone == 0;
  }
}

/* Seconds of half the entry's interval. */
static uint32_t half_interval(const struct visit_scan *scan) {
  switch (entry_form(scan->entry)) {
    case EVERY: return entry_byte(scan, 3) * HALF_DAY;
    case WEEKDAYS: return 7u * HALF_DAY / count_bits(entry_byte(scan, 3));
    case ONCE: return HALF_DAY;
    default: return 0;
  }
}

static void fill(const struct visit_scan *scan, uint16_t day, struct visit *visit) {
  uint16_t head = table_u16(scan->entry);
  bool open = entry_form(scan->entry) == OPEN;
  uint16_t zones_at = (uint16_t)(scan->binding + 2u);
  visit->kind = (head >> 11) & 7u;
  visit->minute = head & 0x7FFu;
  visit->zones = scan->wide ? table_u16(zones_at) : table_u8(zones_at);
  visit->day = day;
  visit->last_day = open ? (uint16_t)(day + entry_byte(scan, 3) - 1u) : day;
  visit->half = half_interval(scan);
}

/* The next due day of the entry and binding the walker is at; false: no more here. */
static bool next_here(struct visit_scan *scan, struct visit *visit) {
  uint16_t first = (uint16_t)(running.base_day + table_u16(scan->binding) + entry_byte(scan, 2));
  bool open = entry_form(scan->entry) == OPEN;
  uint16_t day = scan->day;
  if (day == 0) day = open || first > scan->from_day ? first : scan->from_day;
  while (day <= scan->to_day) {
    uint16_t again;
    bool due = due_on(scan, first, day, &again);
    scan->day = again;
    if (due) {
      fill(scan, day, visit);
      if (visit->last_day >= scan->from_day) return true;
    }
    if (again == 0xFFFFu) return false;
    day = again;
  }
  return false;
}

bool visit_scan_minute(uint16_t minute) {
  struct visit_scan scan;
  visit_scan_start(&scan, 0, 0);
  while (enter_group(&scan)) {
    for (; scan.entries_left > 0; scan.entries_left--) {
      if ((table_u16(scan.entry) & 0x7FFu) == minute) return true;
      scan.entry = (uint16_t)(scan.entry + entry_bytes(scan.entry));
    }
  }
  return false;
}

bool visit_scan_next(struct visit_scan *scan, struct visit *visit) {
  if (scan->entries_left == 0 && !enter_group(scan)) return false;
  for (;;) {
    if (scan->day != 0xFFFFu && next_here(scan, visit)) return true;
    if (!next_binding(scan)) return false;
  }
}

uint16_t visiting_hours_end(uint16_t minute) {
  uint16_t at = running.section[TABLE_SECTION_PULSE - 1];
  if (at == 0) return CIVIL_DAY_MINUTES;
  for (at++; at < running.end[TABLE_SECTION_PULSE - 1]; at = (uint16_t)(at + 4u)) {
    uint16_t until = table_u16((uint16_t)(at + 2u));
    if (minute >= table_u16(at) && minute < until) return until;
  }
  return CIVIL_DAY_MINUTES;
}

bool visiting_hours(uint16_t minute) {
  uint16_t at = running.section[TABLE_SECTION_PULSE - 1];
  if (running_slot == NO_SLOT || at == 0) return false;
  for (at++; at < running.end[TABLE_SECTION_PULSE - 1]; at = (uint16_t)(at + 4u)) {
    if (minute >= table_u16(at) && minute < table_u16((uint16_t)(at + 2u))) return true;
  }
  return false;
}

uint32_t visit_due(const struct visit *visit) { return table_first_second(&running, visit->day, visit->minute); }

uint32_t visit_end(const struct visit *visit) {
  uint16_t end = visiting_hours_end(visit->minute);
  if (end == CIVIL_DAY_MINUTES) return table_first_second(&running, (uint16_t)(visit->last_day + 1u), 0);
  return table_first_second(&running, visit->last_day, end);
}
