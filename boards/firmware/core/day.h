/*
 * day.h: the civil day's totals, its trace, and the two records that end it.
 *
 * Always holds: the trace begins with the state at its first second and has
 * one entry for each second at which a target differs from the second before.
 */
#ifndef DAY_H
#define DAY_H

#include <stdbool.h>
#include <stdint.h>

/* Ends and opens days at the second being processed. */
void day_turn(bool whole_minute);
/* Another table runs: its civil day may differ. */
void day_doubt(void);
/* A large step: ends the day if its civil day is left, else marks it. */
void day_step(uint32_t new_second);
/* The targets changed, or the trace has yet to begin. */
void day_trace(void);
void day_count_reset(void);

#endif
