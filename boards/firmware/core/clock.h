/*
 * clock.h: the battery clock, and what is known about the time.
 *
 * Always holds: the clock's stopped flag stays set until the host sets the time.
 */
#ifndef CLOCK_H
#define CLOCK_H

#include <stdbool.h>
#include <stdint.h>

/* The clock's second now, as last read or counted. */
extern uint32_t clock_second;

bool clock_known(void);
/* The time is known but not to be trusted, or not known. */
bool clock_estimated(void);
bool clock_answering(void);
/* The last-alive second found at the start; 0: none. */
uint32_t clock_last_alive(void);

/* The second that the log knows last, 0 without one: asked for only when nothing else tells the time. */
typedef uint32_t clock_logged(void);

/* At a start: finds the time. `kept_second` is the retained block's last second, 0 without one. */
void clock_start(uint32_t kept_second, clock_logged *logged);
/* Reads the clock. After silence the rules of a start apply. */
void clock_read(clock_logged *logged);
/* Sets the clock and clears its stopped flag; false when it does not answer. */
bool clock_set(uint32_t second);
/* Writes the last-alive minute. */
void clock_write_alive(uint32_t second);

#endif
