#include "storage.h"

#include "../generated/contract.h"
#include "../hal.h"
#include "crc.h"

#define MARKS_FROM STORE_MARK_SEQUENCE
#define MARKS_COUNT 6u

struct settings settings;

static struct {
  enum storage_job job;
  uint8_t slot;
  uint8_t index;
  uint16_t offset;
  const uint8_t *bytes;
  uint8_t count;
  uint8_t marks[MARKS_COUNT];
} work;

typedef char slots_fit[STORE_SLOT_COUNT * STORE_SLOT_BYTES == STORE_SETTINGS_AT ? 1 : -1];
typedef char table_fits_slot[TABLE_MAX_BYTES + STORE_MARK_BYTES == STORE_SLOT_BYTES ? 1 : -1];

uint16_t slot_at(uint8_t slot) { return (uint16_t)(slot * STORE_SLOT_BYTES); }

static uint8_t mark(uint8_t slot, uint8_t which) { return hal_eeprom_read((uint16_t)(slot_at(slot) + which)); }

uint8_t slot_sequence(uint8_t slot) { return mark(slot, STORE_MARK_SEQUENCE); }
bool slot_sealed(uint8_t slot) { return mark(slot, STORE_MARK_SEAL) == STORE_SEALED; }
bool slot_confirmed(uint8_t slot) { return mark(slot, STORE_MARK_CONFIRM) == STORE_CONFIRMED; }

static uint16_t marks_crc(uint8_t slot) {
  uint16_t crc = 0xFFFFu;
  for (uint8_t at = STORE_MARK_SEQUENCE; at < STORE_MARK_CHECK; at++) crc = crc16_step(crc, mark(slot, at));
  return crc;
}

bool slot_open(uint8_t slot, struct table *table) {
  uint16_t at = slot_at(slot);
  table_close(table);
  if (!slot_sealed(slot) || table_u16((uint16_t)(at + STORE_MARK_CHECK)) != marks_crc(slot)) return false;
  return table_open(table, (uint16_t)(at + STORE_MARK_BYTES), table_u16((uint16_t)(at + STORE_MARK_LENGTH)));
}

static void write_and_wait(uint16_t at, uint8_t value) {
  hal_eeprom_write(at, value);
  while (hal_eeprom_busy()) hal_idle();
}

static void mend_marks(uint8_t slot) {
  uint8_t seal = mark(slot, STORE_MARK_SEAL);
  uint8_t confirm = mark(slot, STORE_MARK_CONFIRM);
  if (seal != STORE_ERASED && seal != STORE_SEALED && seal != STORE_CLEARED) {
    write_and_wait((uint16_t)(slot_at(slot) + STORE_MARK_SEAL), STORE_CLEARED);
  }
  if (confirm != STORE_UNCONFIRMED && confirm != STORE_CONFIRMED) {
    write_and_wait((uint16_t)(slot_at(slot) + STORE_MARK_CONFIRM), STORE_UNCONFIRMED);
  }
}

static uint16_t copy_at(uint8_t copy) {
  return (uint16_t)(STORE_SETTINGS_AT + copy * STORE_SETTINGS_COPY_BYTES);
}

static uint8_t copy_byte(uint8_t copy, uint8_t at) { return hal_eeprom_read((uint16_t)(copy_at(copy) + at)); }

static bool copy_read(uint8_t copy) {
  uint16_t crc = 0xFFFFu;
  for (uint8_t at = 0; at < STORE_SETTINGS_AT_CHECK; at++) crc = crc16_step(crc, copy_byte(copy, at));
  if (copy_byte(copy, STORE_SETTINGS_AT_MAGIC) != STORE_SETTINGS_MAGIC) return false;
  if (table_u16((uint16_t)(copy_at(copy) + STORE_SETTINGS_AT_CHECK)) != crc) return false;
  settings.unit = copy_byte(copy, STORE_SETTINGS_AT_UNIT);
  settings.identity = table_u16((uint16_t)(copy_at(copy) + STORE_SETTINGS_AT_IDENTITY)) |
                      ((uint32_t)table_u16((uint16_t)(copy_at(copy) + STORE_SETTINGS_AT_IDENTITY + 2u)) << 16);
  return true;
}

/* Byte `at` before the check of a settings copy, as the settings are now. */
static uint8_t settings_plain(uint8_t at) {
  if (at == STORE_SETTINGS_AT_MAGIC) return STORE_SETTINGS_MAGIC;
  if (at == STORE_SETTINGS_AT_UNIT) return settings.unit;
  if (at >= STORE_SETTINGS_AT_SPARE) return 0xFFu;
  return (uint8_t)(settings.identity >> (8u * (at - STORE_SETTINGS_AT_IDENTITY)));
}

static uint8_t settings_byte(uint8_t at) {
  uint16_t crc = 0xFFFFu;
  if (at < STORE_SETTINGS_AT_CHECK) return settings_plain(at);
  for (uint8_t before = 0; before < STORE_SETTINGS_AT_CHECK; before++) {
    crc = crc16_step(crc, settings_plain(before));
  }
  return (uint8_t)(at == STORE_SETTINGS_AT_CHECK ? crc : crc >> 8);
}

static bool copies_differ(void) {
  for (uint8_t at = 0; at < STORE_SETTINGS_BYTES; at++) {
    if (copy_byte(0, at) != copy_byte(1, at)) return true;
  }
  return false;
}

static void mend_copy(uint8_t copy) {
  for (uint8_t at = 0; at < STORE_SETTINGS_BYTES; at++) {
    uint8_t value = settings_byte(at);
    if (copy_byte(copy, at) != value) write_and_wait((uint16_t)(copy_at(copy) + at), value);
  }
}

/* Which copy had to be mended, or STORE_SETTINGS_COPIES. */
static uint8_t settings_start(void) {
  settings.unit = MAP_DEFAULT_UNIT;
  settings.identity = 0;
  uint8_t bad = 0;
  if (copy_read(0)) {
    if (!copies_differ()) return STORE_SETTINGS_COPIES;
    bad = 1;
  } else if (!copy_read(1)) {
    return STORE_SETTINGS_COPIES;
  }
  mend_copy(bad);
  return bad;
}

/* Sequence numbers wrap at 256. */
static bool newer(uint8_t one, uint8_t other) { return one != other && (uint8_t)(one - other) < 128; }

bool storage_start(uint8_t *copy) {
  work.job = JOB_NONE;
  for (uint8_t slot = 0; slot < STORE_SLOT_COUNT; slot++) mend_marks(slot);
  *copy = settings_start();
  return *copy < STORE_SETTINGS_COPIES;
}

uint8_t storage_choose(struct table *table, uint8_t *damaged) {
  bool holds[STORE_SLOT_COUNT];
  *damaged = 0;
  for (uint8_t slot = 0; slot < STORE_SLOT_COUNT; slot++) {
    holds[slot] = slot_open(slot, table);
    if (slot_sealed(slot) && !holds[slot]) *damaged = (uint8_t)(*damaged | (1u << slot));
    if (!slot_confirmed(slot)) holds[slot] = false;
  }
  uint8_t chosen = holds[0] ? 0 : 1;
  if (holds[0] && holds[1]) chosen = newer(slot_sequence(1), slot_sequence(0)) ? 1 : 0;
  if (!holds[chosen]) {
    table_close(table);
    return 0xFFu;
  }
  slot_open(chosen, table);
  return chosen;
}

void storage_begin(enum storage_job job, uint8_t slot) {
  work.job = job;
  work.slot = slot;
  work.index = 0;
}

void storage_table_bytes(uint16_t offset, const uint8_t *bytes, uint8_t count) {
  work.offset = offset;
  work.bytes = bytes;
  work.count = count;
}

void storage_marks(uint8_t sequence, uint16_t length) {
  uint16_t crc = 0xFFFFu;
  work.marks[0] = sequence;
  work.marks[1] = 0xFFu;
  work.marks[2] = (uint8_t)length;
  work.marks[3] = (uint8_t)(length >> 8);
  for (uint8_t at = 0; at < 4; at++) crc = crc16_step(crc, work.marks[at]);
  work.marks[4] = (uint8_t)crc;
  work.marks[5] = (uint8_t)(crc >> 8);
}

/* Place and value of byte `index` of the job; false beyond its last. */
static bool job_byte(uint8_t index, uint16_t *at, uint8_t *value) {
  uint16_t base = slot_at(work.slot);
  *at = (uint16_t)(base + STORE_MARK_SEAL);
  *value = STORE_CLEARED;
  switch (work.job) {
    case JOB_BEGIN:
      if (index == 1) {
        *at = (uint16_t)(base + STORE_MARK_CONFIRM);
        *value = STORE_UNCONFIRMED;
      }
      return index < 2;
    case JOB_TABLE:
      if (index >= work.count) return false;
      *at = (uint16_t)(base + STORE_MARK_BYTES + work.offset + index);
      *value = work.bytes[index];
      return true;
    case JOB_MARKS:
      if (index < MARKS_COUNT) {
        *at = (uint16_t)(base + MARKS_FROM + index);
        *value = work.marks[index];
      } else {
        *value = STORE_SEALED;
      }
      return index <= MARKS_COUNT;
    case JOB_CONFIRM:
      *at = (uint16_t)(base + STORE_MARK_CONFIRM);
      *value = STORE_CONFIRMED;
      return index < 1;
    case JOB_GIVE_UP:
      return index < 1;
    case JOB_SETTINGS:
      if (index >= 2u * STORE_SETTINGS_BYTES) return false;
      *at = (uint16_t)(copy_at(index / STORE_SETTINGS_BYTES) + index % STORE_SETTINGS_BYTES);
      *value = settings_byte(index % STORE_SETTINGS_BYTES);
      return true;
    default:
      return false;
  }
}

enum storage_result storage_step(void) {
  uint16_t at;
  uint8_t value;
  if (hal_eeprom_busy()) return STORAGE_BUSY;
  if (work.index > 0 && job_byte((uint8_t)(work.index - 1u), &at, &value) && hal_eeprom_read(at) != value) {
    work.job = JOB_NONE;
    return STORAGE_FAILED;
  }
  while (job_byte(work.index, &at, &value)) {
    work.index++;
    if (hal_eeprom_read(at) == value) continue; /* already so: spare the cell */
    hal_eeprom_write(at, value);
    return STORAGE_BUSY;
  }
  work.job = JOB_NONE;
  return STORAGE_DONE;
}

bool storage_idle(void) { return work.job == JOB_NONE; }
