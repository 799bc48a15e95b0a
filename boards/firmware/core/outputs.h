/*
 * outputs.h: from what table and overlays ask for to what the pins show.
 *
 * Always holds: an output that waits after a start is off, whatever the rest
 * says. Outputs count from 0 here.
 */
#ifndef OUTPUTS_H
#define OUTPUTS_H

#include <stdbool.h>
#include <stdint.h>

/* At a start: all pins are off, and wait from the clock's second on. */
void outputs_start(uint32_t clock_second);
/* Asks the table afresh for every output (another table, a step of the clock). */
void outputs_refresh(void);
/* Targets and switching at the second being processed; true if any target differs from `kept.traced`. */
bool outputs_process(void);
/* Lets outputs react at once to an event. */
void outputs_react(void);
/* Counts on-times up to before `second`. */
void outputs_count(uint32_t second);
/* The wait after a start moves with a large step. */
void outputs_shift(uint32_t step);
bool outputs_waiting(void);

/* What `output` is to show by table and overlays at the last processed second. */
uint8_t outputs_target(uint8_t output);
/* What its pin shows. */
uint8_t outputs_level(uint8_t output);

#endif
