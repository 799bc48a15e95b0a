/*
 * overlays.h: hand switching and work light: what lies over the table.
 *
 * Always holds: overlays last in seconds processed, so the second that a large
 * step of the clock leads to is told to overlays_repeat; every beginning and
 * every end is logged once, also of what is asked for again meanwhile. Whatever changes here, the outputs follow in the same
 * second, and mark `kept` as changed.
 */
#ifndef OVERLAYS_H
#define OVERLAYS_H

#include <stdbool.h>
#include <stdint.h>

/* Switches `outputs` by hand: those in `on` fully on, the others off. */
void hand_switch(uint8_t outputs, uint8_t on, bool staggered);
/* Ends all hand switching. */
void hand_release(void);
bool hand_running(void);

void work_begin(void);
void work_finish(void);
bool work_running(void);

/* A second more is being processed; logs the overlays that end at it. */
void overlays_second(void);
/* The second processed next is the last one again, by another time. */
void overlays_repeat(void);
/* Seconds left of the longest overlay. */
uint16_t overlays_left(void);

#endif
