/*
 * table.h: the schedule table, read and evaluated where it lies in EEPROM.
 *
 * Always holds: a table is evaluated only after table_open accepted it; working
 * memory is this struct and a few words of stack. Days and minutes count from
 * the table's base day, minutes of UTC unless called wall minutes.
 */
#ifndef TABLE_H
#define TABLE_H

#include <stdbool.h>
#include <stdint.h>

#define TABLE_SECTIONS 8
#define TABLE_NONE 0xFFFFu

struct table {
  uint16_t at; /* EEPROM address of its first byte; TABLE_NONE: no table */
  uint16_t base_day;
  uint16_t section[TABLE_SECTIONS]; /* EEPROM address of each body, 0: absent */
  uint16_t end[TABLE_SECTIONS];     /* and one past it */
};

struct table_limits {
  uint16_t dwell;           /* seconds */
  uint16_t longest_minutes; /* 0: no limit */
};

/* Opens the table at EEPROM address `at` if it is whole, `length` bytes long and
 * sound in its contents; otherwise table->at is TABLE_NONE. */
bool table_open(struct table *table, uint16_t at, uint16_t length);
void table_close(struct table *table);

uint16_t table_length(const struct table *table);
uint32_t table_crc(const struct table *table);
/* True when the CRC-32 over its bytes is still right. */
bool table_sound(const struct table *table);
/* All outputs it binds, bit 0 is output 1; 0 without a table. */
uint8_t table_outputs(const struct table *table);
struct table_limits table_limits(const struct table *table);

/* Level byte of `output` (0-based) at UTC second `second`, before lag; *still gets
 * how many minutes after this one surely have the same (at most 255). */
uint8_t table_level(const struct table *table, uint8_t output, uint32_t second, uint8_t *still);

/* UTC offset in quarter hours at UTC second `second`; 0 without a table. */
int8_t table_quarters(const struct table *table, uint32_t second);
/* Civil day the wall clock shows, from 2000-01-01; UTC without a table. */
uint16_t table_civil_day(const struct table *table, uint32_t second);
/* Minute of that day. */
uint16_t table_minute_of_day(const struct table *table, uint32_t second);
/* First UTC second at which the wall clock reads `minute` of civil day `day`. */
uint32_t table_first_second(const struct table *table, uint16_t day, uint16_t minute);

/* Readers for the other sections. */
uint8_t table_u8(uint16_t at);
uint16_t table_u16(uint16_t at);

#endif
