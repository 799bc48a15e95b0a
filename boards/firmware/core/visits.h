/*
 * visits.h: which visits are open, answered, missed.
 *
 * Always holds: the closed days can be rebuilt from the log's visit records.
 */
#ifndef VISITS_H
#define VISITS_H

#include <stdbool.h>
#include <stdint.h>

#include "visit_scan.h"

/* At a start, or when the log answers again: rebuilds the closed days from the log. */
void visits_rebuild(void);
/* At a whole minute and a start: logs the windows that ended since the previous check, finds what is open. */
void visits_check(void);
/* Finds what is open now; after every answer, another table, a large step. */
void visits_refresh(void);

/* A short press. */
void visits_press(void);
/* Answers over the link; false: nothing to answer. */
bool visits_answer(uint8_t kind, uint16_t zones);
/* Takes back the newest answer; false: none. */
bool visits_take_back(uint8_t kind, uint16_t zones);

/* Zones with an open visit of `kind`. */
uint16_t visits_open(uint8_t kind);
/* Zones whose pulse is on: open looks, lifts, turns, and harvests whose reminder is on. */
uint16_t visits_pulsing(void);
/* One of the pulsing visits became due in this minute. */
bool visits_due_now(void);
/* Set at each whole minute and whenever any of this may have changed. */
extern bool visits_news;

#endif
