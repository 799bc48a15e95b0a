/*
 * storage.h: slots, marks and settings in the chip's EEPROM.
 *
 * Always holds: one job at a time, one byte at a time; the seal is written
 * last; a mark that is neither erased nor exact is rewritten before use.
 */
#ifndef STORAGE_H
#define STORAGE_H

#include <stdbool.h>
#include <stdint.h>

#include "table.h"

enum storage_job {
  JOB_NONE,
  JOB_BEGIN,    /* clear seal and confirm mark of a slot */
  JOB_TABLE,    /* table bytes */
  JOB_MARKS,    /* length, sequence, their CRC, then the seal */
  JOB_CONFIRM,  /* the confirm mark */
  JOB_GIVE_UP,  /* clear the seal */
  JOB_SETTINGS  /* both copies */
};

enum storage_result { STORAGE_BUSY, STORAGE_DONE, STORAGE_FAILED };

struct settings {
  uint8_t unit;
  uint32_t identity;
};
extern struct settings settings;

/* EEPROM address of slot `slot`. */
uint16_t slot_at(uint8_t slot);
uint8_t slot_sequence(uint8_t slot);
bool slot_sealed(uint8_t slot);
bool slot_confirmed(uint8_t slot);
/* Opens the table of a slot whose marks are exact; false: it holds none. */
bool slot_open(uint8_t slot, struct table *table);

/* Rewrites torn marks and mends settings; true when a settings copy was mended (its number in *copy). */
bool storage_start(uint8_t *copy);
/* The confirmed slot that runs after a start, or 0xFF; `damaged` gets the slots (bit) that are sealed but hold no table. */
uint8_t storage_choose(struct table *table, uint8_t *damaged);

/* Begins a job on `slot`. */
void storage_begin(enum storage_job job, uint8_t slot);
/* What JOB_TABLE writes, and where in the table. */
void storage_table_bytes(uint16_t offset, const uint8_t *bytes, uint8_t count);
/* What JOB_MARKS writes. */
void storage_marks(uint8_t sequence, uint16_t length);
/* Goes on with the job: writes the next byte when the last is in, checks it by reading back. */
enum storage_result storage_step(void);
bool storage_idle(void);

#endif
