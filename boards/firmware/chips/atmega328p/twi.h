/*
 * twi.h: the two-wire bus to the battery clock and its EEPROM.
 *
 * Always holds: every wait has an end; a bus that hangs is freed with nine
 * clocks, and a transfer that failed says so.
 */
#ifndef TWI_H
#define TWI_H

void twi_start(void);

#endif
