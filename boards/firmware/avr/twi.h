/*
 * twi.h: the two-wire bus to the battery clock and its EEPROM.
 *
 * Always holds: every wait has an end; a bus that hangs is freed with nine
 * clocks, and a transfer that failed says so.
 */
#ifndef TWI_H
#define TWI_H

#include <stdbool.h>
#include <stdint.h>

void twi_start(void);
/* Sends `head` (an address within the part), then reads or writes `count` bytes. */
bool twi_read(uint8_t part, const uint8_t *head, uint8_t head_count, uint8_t *bytes, uint8_t count);
bool twi_write(uint8_t part, const uint8_t *head, uint8_t head_count, const uint8_t *bytes, uint8_t count);

#endif
