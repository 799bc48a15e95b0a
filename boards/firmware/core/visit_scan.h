/*
 * visit_scan.h: walks the visits of the running table around a second.
 *
 * Always holds: a visit is weighed by its day and minute on the wall clock,
 * against the latest that clock has shown: its instant has come exactly when
 * that is not earlier.
 */
#ifndef VISIT_SCAN_H
#define VISIT_SCAN_H

#include <stdbool.h>
#include <stdint.h>

#include "table.h"

#define VISIT_KINDS 4

enum question {
  ASK_MISSED, /* windows that ended after `before` */
  ASK_OPEN,   /* open: all that is to be shown */
  ASK_PRESS,  /* open; a harvest only while its reminder is on */
  ASK_LINK,   /* open */
  ASK_COMING  /* not due yet, by about half their interval at most */
};

/* A walk: what is asked, and the visit it is at. */
struct scan {
  enum question question;
  uint8_t kind; /* VISIT_KINDS: all */
  struct moment now;
  struct moment before; /* ASK_MISSED: at the previous check; else a minute ago */
  uint16_t next;        /* the day's next minute at which a visit may become due or a window end */

  bool wide;         /* zone masks have two bytes */
  uint16_t bindings; /* the group's, as addresses */
  uint16_t bindings_end;

  /* The entry: due on weekdays of `mask`, every so many days so many times, from its first. */
  uint8_t visit_kind;
  uint16_t minute;    /* due */
  uint16_t until;     /* end of the visiting hours that hold it */
  uint8_t first;      /* from the binding's start day */
  uint8_t every;
  uint8_t times;
  uint8_t mask;
  uint8_t more_days;  /* open on so many after its due day */
  bool fresh;         /* the due minute came after `before` */
  uint16_t after_day; /* the days that count come after this */
  uint16_t to_day;    /* and run to this */

  /* The visit. */
  uint16_t zones;
  uint16_t day; /* due */
};

/* Calls visit_found, which visits.c has, at each visit the question may be about; true:
 * the later ones of that entry and binding do not matter. */
void visit_scan(struct scan *scan);
bool visit_found(struct scan *scan);
/* The latest day up to which all visits of a kind are closed in these zones; visits.c has it too. */
uint16_t visits_closed(uint8_t kind, uint16_t zones);

/* The visit may be answered `ahead` seconds early: half its interval at most. */
bool visit_early(const struct scan *scan, uint32_t ahead);

/* The end of the visiting hours that hold `minute` of the day; OUTSIDE_HOURS, later than
 * all minutes of a day, if none do. */
#define OUTSIDE_HOURS 1441u
uint16_t visiting_hours(uint16_t minute);

#endif
