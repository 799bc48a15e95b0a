/*
 * second.h: what the controller does in a second, and the clock's steps.
 *
 * Always holds: each UTC second is processed once, in order; a step too large
 * to live through moves the deadlines along.
 */
#ifndef SECOND_H
#define SECOND_H

#include <stdbool.h>
#include <stdint.h>

/* The clock's tick; `silent`: it did not come when it was due. */
void second_tick(bool silent);
/* Sets the clock on request; false when it does not answer. */
bool second_set_clock(uint32_t second, uint8_t sub_second);

/* At a start, once the time is found: the seconds go on from the retained one, or at the clock's. */
void second_start(bool retained);
/* The clock's second, or the last processed where that is a small step ahead of it. */
uint32_t second_later(void);
/* Tells of the faults that there are. */
void second_find_faults(void);
/* Processes the first second of a start. */
void second_first(void);

#endif
