/*
 * visit_scan.h: walks the occurrences of visits that the running table holds
 * around a second.
 *
 * Always holds: no state but the walker's own; days are civil days.
 */
#ifndef VISIT_SCAN_H
#define VISIT_SCAN_H

#include <stdbool.h>
#include <stdint.h>

/* One visit due on one day. */
struct visit {
  uint8_t kind;
  uint16_t zones;
  uint16_t day;      /* due day */
  uint16_t last_day; /* the day on which its window ends (the due day, but for a harvest) */
  uint16_t minute;   /* due minute of the day */
  uint32_t half;     /* half its interval, seconds; 0 for a harvest */
};

struct visit_scan {
  uint16_t from_day; /* occurrences whose last day is on or after this */
  uint16_t to_day;   /* and whose due day is on or before this */
  uint16_t group;    /* addresses in the table */
  uint16_t next_group;
  uint16_t entry;
  uint16_t binding;
  uint8_t entries_left;
  uint8_t bindings_left;
  uint16_t day; /* next due day to try */
  bool wide;    /* zone masks have two bytes */
};

void visit_scan_start(struct visit_scan *scan, uint16_t from_day, uint16_t to_day);
bool visit_scan_next(struct visit_scan *scan, struct visit *visit);

/* True when some entry of the table falls due at `minute` of a day. */
bool visit_scan_minute(uint16_t minute);

/* Number of zones of the running table, 0 without visits. */
uint8_t visit_zones(void);
uint32_t visit_due(const struct visit *visit);
/* One past the window's last second. */
uint32_t visit_end(const struct visit *visit);
/* The end of the visiting hours (minute of the day, or 1440) that hold `minute`. */
uint16_t visiting_hours_end(uint16_t minute);
/* True when `minute` of the day lies inside visiting hours. */
bool visiting_hours(uint16_t minute);

#endif
