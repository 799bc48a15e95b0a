/*
 * reading.h: what stands behind coils and registers that are read.
 *
 * Always holds: addresses as on the wire; the map is walked in order, in blocks
 * of 128 registers, and what of it was asked for is sent.
 */
#ifndef READING_H
#define READING_H

#include <stdbool.h>
#include <stdint.h>

/* Whether `count` (1 to 125) input or holding registers from `address` can be read: 0 or an exception. */
uint8_t reading_check(bool inputs, uint16_t address, uint8_t count);
/* Sends them, after that said yes. */
void reading_send(bool inputs, uint16_t address, uint8_t count);

#endif
