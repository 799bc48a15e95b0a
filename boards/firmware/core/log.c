#include "log.h"

#include "../hal.h"
#include "apart.h"
#include "civil.h"
#include "clock.h"
#include "crc.h"
#include "state.h"

/* The memory is counted in places of one record. A record lies in the ring at its
 * sequence number's rest by the ring's 240 places, so a pair shares a page; an even
 * one waits in scratch, at the same low four bits of the place. As 240 is a multiple
 * of 16 and no record is 65,536 numbers behind, places and the low half of a number
 * tell all but where the newest is. */
#define PLACES (LOG_BYTES / LOG_RECORD_BYTES)
#define SEQUENCE_MASK 0xFFFFFFu
#define TYPE_MASK 0x3Fu
#define ESTIMATED 0x80u

static struct {
  uint32_t newest;
  uint8_t place; /* the newest's in the ring */
  bool present;
} ring;

typedef char scratch_fills_the_rest[PLACES == 0x100 && LOG_RING_RECORDS == 0xF0 ? 1 : -1];

static uint8_t scratch_place(uint8_t place) { return (uint8_t)(LOG_RING_RECORDS | place); }
static uint16_t address(uint8_t place) { return (uint16_t)(place * LOG_RECORD_BYTES); }

static uint8_t type_of(const uint8_t *record) { return record[3] & TYPE_MASK; }

static uint32_t u32_at(const uint8_t *bytes) {
  return bytes[0] | ((uint32_t)bytes[1] << 8) | ((uint32_t)bytes[2] << 16) | ((uint32_t)bytes[3] << 24);
}

/* Reads what lies at `place`; false if it is no record. */
static APART bool read_place(uint8_t place, uint8_t *record) {
  if (ring.present) ring.present = hal_log_read(address(place), record, LOG_RECORD_BYTES);
  if (!ring.present || crc16(record, LOG_RECORD_BYTES) != 0) return false;
  return type_of(record) >= LOG_RECORD_TYPE_LIGHT && type_of(record) <= LOG_RECORD_TYPE_VISITS_PASSED;
}

/* Reads the record with that low half of its number, which belongs to `place`. */
static APART bool find(uint8_t place, uint16_t low, uint8_t *record) {
  return read_place(place, record) && (uint16_t)(record[0] | (record[1] << 8)) == low;
}

static void write_page(uint8_t place, const uint8_t *page) {
  if (ring.present) ring.present = hal_log_write(address(place), page, LOG_PAGE_BYTES);
}

/* Takes the record read from `place` for the newest if it is newer and may lie there. */
static void take_newer(uint8_t place, const uint8_t *record) {
  uint32_t sequence = u32_at(record) & SEQUENCE_MASK;
  if (sequence <= ring.newest) return;
  uint8_t own = (uint8_t)(sequence % LOG_RING_RECORDS);
  if (place != own && ((place & 1u) != 0 || place != scratch_place(own))) return;
  ring.newest = sequence;
  ring.place = own;
}

/* A torn ring page lost the newest's partner, which scratch still has. */
static void mend_pair(uint8_t *page) {
  uint8_t place = (uint8_t)(ring.place - 1u);
  uint16_t low = (uint16_t)(ring.newest - 1u);
  if ((low & 1u) != 0 || find(place, low, page) || !find(scratch_place(place), low, page)) return;
  if (find(ring.place, (uint16_t)(low + 1u), page + LOG_RECORD_BYTES)) write_page(place, page);
}

void log_start(void) {
  uint8_t page[LOG_PAGE_BYTES];
  uint8_t place = 0;
  ring.present = true;
  ring.newest = 0;
  ring.place = 0;
  do {
    if (read_place(place, page)) take_newer(place, page);
  } while (++place != 0);
  mend_pair(page);
}

bool log_present(void) { return ring.present; }

bool log_answers(void) {
  uint8_t byte;
  if (ring.present) ring.present = hal_log_read(0, &byte, 1);
  return ring.present;
}

uint32_t log_newest(void) { return ring.newest; }
uint32_t log_oldest(void) {
  if (ring.newest >= LOG_RING_RECORDS) return ring.newest - (LOG_RING_RECORDS - 1u);
  return ring.newest != 0 ? LOG_FIRST_SEQUENCE : 0;
}

bool log_read_back(uint8_t age, uint8_t *record) {
  uint8_t place = (uint8_t)(ring.place - age);
  uint16_t low = (uint16_t)(ring.newest - age);
  if (age >= ring.newest) return false;
  if (age > ring.place) place = (uint8_t)(place + LOG_RING_RECORDS);
  return find(place, low, record) || ((low & 1u) == 0 && find(scratch_place(place), low, record));
}

bool log_read(uint32_t sequence, uint8_t *record) {
  uint32_t age = ring.newest - sequence;
  return age < LOG_RING_RECORDS && log_read_back((uint8_t)age, record);
}

uint32_t log_last_second(void) {
  uint8_t record[LOG_RECORD_BYTES];
  for (uint8_t age = 0; age < LOG_RING_RECORDS; age++) {
    if (!log_read_back(age, record)) continue;
    uint32_t second = u32_at(record + 4);
    /* A day's records are written as it ends. */
    if (type_of(record) <= LOG_RECORD_TYPE_PROOF) second = table_first_second(&running, (uint16_t)(second + 1u), 0);
    if (second >= LAW_COUNTED_SECONDS && second < LAW_CLOCK_END_SECONDS) return second;
  }
  return 0;
}

void log_put(uint8_t type, const uint8_t *body) {
  uint8_t page[LOG_PAGE_BYTES];
  uint8_t *record = page;
  uint8_t *other = page + LOG_RECORD_BYTES;
  uint32_t sequence = ring.newest + 1u;
  uint8_t place = (uint8_t)(ring.place + 1u);
  if (place == LOG_RING_RECORDS) place = 0;
  uint8_t at = scratch_place(place); /* an even one waits there */
  bool paired = false;
  if ((place & 1u) != 0) { /* the pair goes to the ring */
    record = other;
    other = page;
    at = ring.place;
    paired = find(scratch_place(at), (uint16_t)(sequence - 1u), page);
  }
  for (uint8_t left = LOG_RECORD_BYTES; !paired && left > 0; left--) *other++ = 0xFFu;
  record[0] = (uint8_t)sequence;
  record[1] = (uint8_t)(sequence >> 8);
  record[2] = (uint8_t)(sequence >> 16);
  record[3] = (uint8_t)(clock_estimated() ? type | ESTIMATED : type);
  for (uint8_t byte = 0; byte < LOG_BODY_BYTES; byte++) record[4 + byte] = body[byte];
  uint16_t crc = crc16(record, LOG_RECORD_BYTES - 2u);
  record[LOG_RECORD_BYTES - 2u] = (uint8_t)crc;
  record[LOG_RECORD_BYTES - 1u] = (uint8_t)(crc >> 8);
  write_page(at, page);
  if (!ring.present) return;
  ring.newest = sequence;
  ring.place = place;
}

void log_event(uint8_t type, uint16_t first, uint16_t second, uint16_t third) {
  uint8_t body[LOG_BODY_BYTES];
  uint32_t time = type == LOG_RECORD_TYPE_CLOCK_SET ? clock_second : last_second();
  body[0] = (uint8_t)time;
  body[1] = (uint8_t)(time >> 8);
  body[2] = (uint8_t)(time >> 16);
  body[3] = (uint8_t)(time >> 24);
  body[4] = (uint8_t)first;
  body[5] = (uint8_t)(first >> 8);
  body[6] = (uint8_t)second;
  body[7] = (uint8_t)(second >> 8);
  body[8] = (uint8_t)third;
  body[9] = (uint8_t)(third >> 8);
  log_put(type, body);
}
