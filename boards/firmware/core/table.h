/*
 * table.h: the schedule table, read and evaluated where it lies in EEPROM.
 *
 * Always holds: a table is evaluated only after table_open accepted it; working
 * memory is this struct and a few words of stack.
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
};

/* Opens the table at EEPROM address `at` if it is whole, `length` bytes long and
 * sound in its contents; otherwise table->at is TABLE_NONE. */
bool table_open(struct table *table, uint16_t at, uint16_t length);
/* No table: all its sections are absent. */
void table_close(struct table *table);

uint16_t table_length(const struct table *table);
uint32_t table_crc(const struct table *table);
/* All outputs it binds, bit 0 is output 1; 0 without a table. */
uint8_t table_outputs(const struct table *table);

/* Level byte of `output` (0-based) at UTC second `second`, before lag. */
uint8_t table_level(const struct table *table, uint8_t output, uint32_t second);
/* For how many minutes after that one it surely is the same (at most 255). */
uint8_t table_lasting(void);

/* UTC offset in quarter hours at UTC second `second`; 0 without a table. */
int8_t table_quarters(const struct table *table, uint32_t second);
/* Civil day the wall clock shows, from 2000-01-01; UTC without a table. */
uint16_t table_civil_day(const struct table *table, uint32_t second);
/* Minute of that day. */
uint16_t table_minute_of_day(const struct table *table, uint32_t second);
/* Another table may run: what its wall clock shows is to be found anew. */
void table_forget(void);
/* A minute of a civil day. */
struct moment {
  uint16_t minute;
  uint16_t day;
  bool past; /* the wall clock has been set back, and shows an earlier one */
};
/* The latest moment that the wall clock has shown up to UTC second `second`. A moment's
 * first second (below) is not after `second` exactly when the moment is not after this. */
void table_reached(const struct table *table, uint32_t second, struct moment *moment);
/* First UTC second at which the wall clock reads `minute` of civil day `day`. */
uint32_t table_first_second(const struct table *table, uint16_t day, uint16_t minute);

/* Readers for the other sections. */
uint8_t table_u8(uint16_t at);
uint16_t table_u16(uint16_t at);
/* One past the body that begins at `body`, where table_at then is; 0 for an absent one. */
uint16_t table_end(uint16_t body);

/* The place in EEPROM at which the next byte is read; every reader above moves it. */
extern uint16_t table_at;
uint8_t table_next8(void);
uint16_t table_next16(void);
uint32_t table_next32(void);

#endif
