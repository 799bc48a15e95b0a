/*
 * pulse.h: what indicator and buzzer show in a second.
 *
 * Always holds: a function of the second, the visits, the room and the time's
 * being known.
 */
#ifndef PULSE_H
#define PULSE_H

#include <stdint.h>

/* Hands the four quarters of the last processed second, `second` of its minute, to the hardware. */
void pulse_second(uint8_t second);

#endif
