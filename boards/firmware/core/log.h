/*
 * log.h: the run log in the battery clock's EEPROM.
 *
 * Always holds: a record is whole on the log memory or does not count; the
 * head is found by reading, never stored. Every record written gets the
 * estimated flag as the clock is then.
 */
#ifndef LOG_H
#define LOG_H

#include <stdbool.h>
#include <stdint.h>

#include "../generated/contract.h"

/* Bytes of a record between its type and its CRC. */
#define LOG_BODY_BYTES 10u

/* Reads all pages and finds newest and oldest record. */
void log_start(void);
/* False once the log memory did not answer, until log_start finds it again. */
bool log_present(void);
/* The same, asked anew. */
bool log_answers(void);
/* Newest and oldest sequence number; 0: none. */
uint32_t log_newest(void);
uint32_t log_oldest(void);
/* Reads record `sequence`; false when there is none. */
bool log_read(uint32_t sequence, uint8_t *record);
/* Reads the newest record but `age`, below LOG_RING_RECORDS. */
bool log_read_back(uint8_t age, uint8_t *record);
/* The second (a day record: its day's midnight) that the newest readable record carries; 0 without one. */
uint32_t log_last_second(void);

/* Numbers and stores a record of `type` (with the partial flag, if any). */
void log_put(uint8_t type, const uint8_t *body);
/* An event's record: the second last processed (of a clock set: the clock's), then three words. */
void log_event(uint8_t type, uint16_t first, uint16_t second, uint16_t third);

#endif
