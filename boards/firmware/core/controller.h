/*
 * controller.h: the second, and everything that is not a second.
 *
 * Always holds: each UTC second is processed once, in order; events act at the
 * second last processed.
 */
#ifndef CONTROLLER_H
#define CONTROLLER_H

#include <stdbool.h>
#include <stdint.h>

/* After every reset, pins already off. */
void controller_start(void);
/* Whatever is due: ticks, presses, requests, writes. Called when the hardware woke. */
void controller_poll(void);

/* Sets the clock on request; false when it does not answer. */
bool controller_set_clock(uint32_t second, uint8_t sub_second);
/* The value that differs from start to start. */
uint16_t controller_session(void);
uint8_t controller_cause(void);

#endif
