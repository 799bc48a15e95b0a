/*
 * civil.h: seconds from 2000-01-01 and the battery clock's BCD registers.
 *
 * Always holds: 2000 to 2099 only, where every fourth year is a leap year.
 */
#ifndef CIVIL_H
#define CIVIL_H

#include <stdbool.h>
#include <stdint.h>

#define CIVIL_DAY_SECONDS 86400u
#define CIVIL_DAY_MINUTES 1440
#define CIVIL_CLOCK_REGISTERS 7u

#define CIVIL_NONE 0xFFFFFFFFu

/* Seconds from 2000 of registers 00-06; CIVIL_NONE when they hold no date. */
uint32_t civil_from_registers(const uint8_t *registers);
/* Seconds from 2000 to registers 00-06. */
void civil_to_registers(uint32_t seconds, uint8_t *registers);
/* Day of the week, 0 Monday; day 0 (2000-01-01) was a Saturday. */
uint8_t civil_weekday(uint16_t day);

#endif
