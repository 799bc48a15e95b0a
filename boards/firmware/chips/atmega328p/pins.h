/*
 * pins.h: outputs, indicator, buzzer, button.
 *
 * Always holds: a pin's level is set before it becomes an output, so that no
 * active-low relay clicks.
 */
#ifndef PINS_H
#define PINS_H

#include <stdbool.h>
#include <stdint.h>

/* First of all after a reset, and when the program has hung: outputs off, then
 * driven. Uses no memory: none can be trusted then. */
void pins_start(void);
/* Outputs whose pin does not read as it is driven, bit 0 is output 1. */
uint8_t pins_differ(void);

/* Shows the quarter of the second that it is now. */
void signals_poll(uint8_t quarter);
/* The signals change within this second. */
bool signals_change(void);

/* Looks at the button; coarse time now. */
void button_poll(uint16_t now);
/* The button is down or settling. */
bool button_active(void);

#endif
