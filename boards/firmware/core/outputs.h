/*
 * outputs.h: from what table and overlays ask for to what the pins show.
 *
 * Always holds: an output that waits after a start is off, whatever the rest
 * says; one whose turn has not come keeps its level. Outputs count from 0 here.
 */
#ifndef OUTPUTS_H
#define OUTPUTS_H

#include <stdbool.h>
#include <stdint.h>

/* At a start, with all pins off: they wait from `second` on. */
void outputs_start(uint32_t second);
/* Many may switch at once: output n keeps its level until n seconds after `second`. */
void outputs_in_turn(uint32_t second);
/* Asks the table afresh for every output (another table, a step of the clock). */
void outputs_refresh(void);
/* Targets and switching at the second being processed, `in_minute` of its
 * minute; true if any target is another than at the second before. `kept.traced`
 * gets the targets. */
bool outputs_process(uint8_t in_minute);
/* Lets outputs react at once to an event. */
void outputs_react(void);
/* Counts on-times up to before the last processed second, or `with_last` with
 * it. Comes at least once a minute while a day is open. */
void outputs_count(bool with_last);
/* The wait after a start moves with a large step. */
void outputs_shift(uint32_t step);
bool outputs_waiting(void);
/* No overlay runs, no output waits or is kept from its target. */
bool outputs_settled(void);

/* What the pin of `output` shows. */
uint8_t outputs_level(uint8_t output);

#endif
