#include "log.h"

#include "../hal.h"
#include "civil.h"
#include "crc.h"

#define PAGES (LOG_RING_PAGES + LOG_SCRATCH_PAGES)

/* Earlier seconds were counted from 0 with time unknown. */
#define COUNTED_SECONDS (366u * (uint32_t)CIVIL_DAY_SECONDS)

static struct {
  uint32_t newest;
  bool present;
} ring;

typedef char log_fills_its_memory[PAGES * LOG_PAGE_BYTES == LOG_BYTES ? 1 : -1];

static uint16_t page_at(uint8_t page) { return (uint16_t)(page * LOG_PAGE_BYTES); }

static uint8_t ring_page(uint32_t sequence) { return (uint8_t)((sequence >> 1) % LOG_RING_PAGES); }

static uint8_t scratch_page(uint32_t sequence) {
  return (uint8_t)(LOG_RING_PAGES + ((sequence >> 1) & (LOG_SCRATCH_PAGES - 1u)));
}

static uint32_t sequence_of(const uint8_t *record) {
  return record[0] | ((uint32_t)record[1] << 8) | ((uint32_t)record[2] << 16);
}

/* CRC and type are right. */
static bool record_whole(const uint8_t *record) {
  uint8_t type = record[3] & 0x3Fu;
  if (type < LOG_RECORD_TYPE_LIGHT || type > LOG_RECORD_TYPE_VISITS_PASSED) return false;
  return crc16(record, 14) == (uint16_t)(record[14] | (record[15] << 8));
}

/* The record in half `half` of page `page` is whole and may lie there. */
static bool record_placed(const uint8_t *record, uint8_t page, uint8_t half) {
  if (!record_whole(record)) return false;
  uint32_t sequence = sequence_of(record);
  if (sequence == 0 || (sequence & 1u) != half) return false;
  return page == ring_page(sequence) || (half == 0 && page == scratch_page(sequence));
}

static bool read_half(uint8_t page, uint8_t half, uint8_t *record) {
  uint16_t at = (uint16_t)(page_at(page) + half * LOG_RECORD_BYTES);
  if (hal_log_read(at, record, LOG_RECORD_BYTES)) return true;
  ring.present = false;
  return false;
}

/* The greatest sequence number in all pages; 0: none. */
static uint32_t scan(void) {
  uint32_t found = 0;
  uint8_t record[LOG_RECORD_BYTES];
  for (uint8_t page = 0; page < PAGES; page++) {
    for (uint8_t half = 0; half < 2; half++) {
      if (!read_half(page, half, record)) return 0;
      if (record_placed(record, page, half) && sequence_of(record) > found) found = sequence_of(record);
    }
  }
  return found;
}

/* Writes the pair that ends with the odd `record` to the ring; its partner comes from scratch. */
static bool write_pair(uint32_t sequence, const uint8_t *record) {
  uint8_t page[LOG_PAGE_BYTES];
  uint32_t partner = sequence - 1u;
  bool whole = partner != 0 && read_half(scratch_page(partner), 0, page) && record_whole(page) &&
               sequence_of(page) == partner;
  for (uint8_t at = 0; at < LOG_RECORD_BYTES; at++) {
    if (!whole) page[at] = 0xFFu;
    page[LOG_RECORD_BYTES + at] = record[at];
  }
  return ring.present && hal_log_write(page_at(ring_page(sequence)), page, LOG_PAGE_BYTES);
}

static bool write_single(uint32_t sequence, const uint8_t *record) {
  uint8_t page[LOG_PAGE_BYTES];
  for (uint8_t at = 0; at < LOG_RECORD_BYTES; at++) {
    page[at] = record[at];
    page[LOG_RECORD_BYTES + at] = 0xFFu;
  }
  return hal_log_write(page_at(scratch_page(sequence)), page, LOG_PAGE_BYTES);
}

/* A torn ring page lost the newest's partner, which scratch still has. */
static void mend_pair(void) {
  uint8_t record[LOG_RECORD_BYTES];
  uint32_t partner = ring.newest - 1u;
  if ((ring.newest & 1u) == 0 || partner == 0) return;
  if (!read_half(ring_page(partner), 0, record)) return;
  if (record_whole(record) && sequence_of(record) == partner) return;
  if (!read_half(scratch_page(partner), 0, record)) return;
  if (!record_whole(record) || sequence_of(record) != partner) return;
  if (read_half(ring_page(ring.newest), 1, record)) ring.present = write_pair(ring.newest, record);
}

void log_start(void) {
  ring.present = true;
  ring.newest = scan();
  if (ring.present) mend_pair();
}

bool log_present(void) { return ring.present; }
uint32_t log_newest(void) { return ring.newest; }
uint32_t log_oldest(void) {
  return ring.newest < LOG_RING_RECORDS ? (ring.newest != 0 ? LOG_FIRST_SEQUENCE : 0)
                                        : ring.newest - (LOG_RING_RECORDS - 1u);
}

bool log_read(uint32_t sequence, uint8_t *record) {
  if (sequence == 0 || sequence > ring.newest || sequence < log_oldest() || !ring.present) return false;
  uint8_t half = (uint8_t)(sequence & 1u);
  if (!read_half(ring_page(sequence), half, record)) return false;
  if (record_whole(record) && sequence_of(record) == sequence) return true;
  if (half == 1 || !read_half(scratch_page(sequence), 0, record)) return false;
  return record_whole(record) && sequence_of(record) == sequence;
}

/* The second a record carries; of a day record its day's midnight. */
static uint32_t second_of(const uint8_t *record) {
  uint16_t low = (uint16_t)(record[4] | (record[5] << 8));
  uint8_t type = record[3] & 0x3Fu;
  if (type == LOG_RECORD_TYPE_LIGHT || type == LOG_RECORD_TYPE_PROOF) return low * (uint32_t)CIVIL_DAY_SECONDS;
  return low | ((uint32_t)record[6] << 16) | ((uint32_t)record[7] << 24);
}

bool log_last_second(uint32_t *second) {
  uint8_t record[LOG_RECORD_BYTES];
  for (uint32_t sequence = ring.newest; sequence != 0 && sequence >= log_oldest(); sequence--) {
    if (!log_read(sequence, record)) continue;
    *second = second_of(record);
    if (*second >= COUNTED_SECONDS) return true;
  }
  return false;
}
void record_begin(struct record *record, uint8_t type_and_flags) {
  for (uint8_t at = 0; at < LOG_RECORD_BYTES; at++) record->bytes[at] = 0;
  record->bytes[3] = type_and_flags;
  record->at = 4;
}

void record_u8(struct record *record, uint8_t value) { record->bytes[record->at++] = value; }

void record_u16(struct record *record, uint16_t value) {
  record_u8(record, (uint8_t)value);
  record_u8(record, (uint8_t)(value >> 8));
}

void record_u32(struct record *record, uint32_t value) {
  record_u16(record, (uint16_t)value);
  record_u16(record, (uint16_t)(value >> 16));
}

void record_write(struct record *record) {
  if (!ring.present) return;
  uint32_t sequence = ring.newest + 1u;
  uint8_t *bytes = record->bytes;
  bytes[0] = (uint8_t)sequence;
  bytes[1] = (uint8_t)(sequence >> 8);
  bytes[2] = (uint8_t)(sequence >> 16);
  uint16_t crc = crc16(bytes, 14);
  bytes[14] = (uint8_t)crc;
  bytes[15] = (uint8_t)(crc >> 8);
  ring.present = (sequence & 1u) ? write_pair(sequence, bytes) : write_single(sequence, bytes);
  if (!ring.present) return;
  ring.newest = sequence;
}
