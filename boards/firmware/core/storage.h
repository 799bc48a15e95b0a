/*
 * storage.h: slots, marks and settings in the chip's EEPROM.
 *
 * Always holds: one run of bytes is written at a time, one byte at a time, each
 * read back; the seal is written last; one wrong bit in a mark takes no table
 * away that is otherwise whole.
 */
#ifndef STORAGE_H
#define STORAGE_H

#include <stdbool.h>
#include <stdint.h>

#include "../generated/contract.h"
#include "table.h"

#define STORAGE_DONE 0u
#define STORAGE_BUSY 0xFFu
#define STORAGE_FAILED MAP_EXCEPTION_FAILURE

/* As a copy lies in the EEPROM, low bytes first. */
struct settings {
  uint8_t magic;
  uint8_t unit;
  uint16_t identity_low;
  uint16_t identity_high;
  uint16_t reference; /* mV of the chip's reference; STORE_REFERENCE_UNSET: not held against a meter */
  uint16_t check;
};
extern struct settings settings;

/* EEPROM address of slot `slot`. */
uint16_t slot_at(uint8_t slot);
uint8_t slot_sequence(uint8_t slot);
bool slot_confirmed(uint8_t slot);
/* Opens the table of a slot whose marks are exact; false: it holds none, or is no slot. */
bool slot_open(uint8_t slot, struct table *table);

/* The supply in mV, by the reference as it was set; 0 when it cannot be measured. */
uint16_t storage_supply(void);
/* It is measured too low for writing. */
bool storage_supply_low(void);

/* Finds the settings; at good supply rewrites torn marks and mends copies. True when a settings copy was mended (its number in *copy). */
bool storage_start(uint8_t *copy);
/* The confirmed slot that runs after a start, or 0xFF; `damaged` gets the slots (bit) that are sealed but hold no table. */
uint8_t storage_choose(struct table *table, uint8_t *damaged);

/* Each of these begins to write; only while idle. */
/* `count` bytes, which stay until they are in. */
void storage_write(uint16_t at, const void *bytes, uint8_t count);
/* Seal and confirm mark of a slot cleared, the seal first. */
void storage_clear(uint8_t slot);
/* Length, sequence and their CRC. */
void storage_mark(uint8_t slot, uint8_t sequence, uint16_t length);
void storage_seal(uint8_t slot);
void storage_confirm(uint8_t slot);
/* The settings into copy `copy`. */
void storage_settings(uint8_t copy);

/* Goes on: checks the byte that is in by reading back, begins the next one that differs. */
uint8_t storage_step(void);
bool storage_idle(void);
/* Reads `count` bytes from `at` on. */
void storage_read(uint16_t at, void *bytes, uint8_t count);

#endif
