/*
 * log.h: the run log in the battery clock's EEPROM.
 *
 * Always holds: a record is whole on the log memory or does not count; the
 * head is found by reading, never stored.
 */
#ifndef LOG_H
#define LOG_H

#include <stdbool.h>
#include <stdint.h>

#include "../generated/contract.h"

/* A record being written, field by field after its head. */
struct record {
  uint8_t bytes[LOG_RECORD_BYTES];
  uint8_t at;
};

/* Reads all pages and finds newest and oldest record. */
void log_start(void);
/* False once the log memory did not answer, until log_start finds it again. */
bool log_present(void);
/* Newest and oldest sequence number; 0: none. */
uint32_t log_newest(void);
uint32_t log_oldest(void);
/* Reads record `sequence`; false when there is none. */
bool log_read(uint32_t sequence, uint8_t *record);
/* The second (a day record: its day's midnight) that the newest readable record carries; false without one. */
bool log_last_second(uint32_t *second);

void record_begin(struct record *record, uint8_t type_and_flags);
void record_u8(struct record *record, uint8_t value);
void record_u16(struct record *record, uint16_t value);
void record_u32(struct record *record, uint32_t value);
/* Numbers the record and stores it. */
void record_write(struct record *record);

#endif
