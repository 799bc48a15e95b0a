#include "storage.h"

#include <stddef.h>

#include "../hal.h"
#include "apart.h"
#include "crc.h"

#define NOWHERE 0xFFu
#define COPY_0 STORE_SETTINGS_AT
#define COPY_1 (STORE_SETTINGS_AT + STORE_SETTINGS_COPY_BYTES)

struct settings settings;

/* A slot's first bytes, as they lie in the EEPROM. */
struct marks {
  uint8_t seal;
  uint8_t confirm;
  uint8_t sequence;
  uint8_t spare;
  uint16_t length;
  uint16_t check; /* over sequence, spare and length */
};
#define CHECKED (STORE_MARK_CHECK - STORE_MARK_SEQUENCE)

static struct {
  const uint8_t *bytes;
  uint16_t at;
  uint8_t count; /* bytes that are not in yet; 0: idle */
  bool begun;    /* the first of them was given to the EEPROM */
  struct marks marks; /* being written */
} work;

typedef char slots_fit[STORE_SLOT_COUNT * STORE_SLOT_BYTES == STORE_SETTINGS_AT ? 1 : -1];
typedef char table_fits_slot[TABLE_MAX_BYTES + STORE_MARK_BYTES == STORE_SLOT_BYTES ? 1 : -1];
typedef char two_slots[STORE_SLOT_COUNT == 2 && STORE_SETTINGS_COPIES == 2 ? 1 : -1];
typedef char marks_lie_so[sizeof(struct marks) == STORE_MARK_BYTES && offsetof(struct marks, seal) == STORE_MARK_SEAL &&
                                  offsetof(struct marks, confirm) == STORE_MARK_CONFIRM &&
                                  offsetof(struct marks, sequence) == STORE_MARK_SEQUENCE &&
                                  offsetof(struct marks, length) == STORE_MARK_LENGTH &&
                                  offsetof(struct marks, check) == STORE_MARK_CHECK
                              ? 1
                              : -1];
typedef char settings_lie_so[sizeof settings == STORE_SETTINGS_BYTES &&
                                     offsetof(struct settings, magic) == STORE_SETTINGS_AT_MAGIC &&
                                     offsetof(struct settings, unit) == STORE_SETTINGS_AT_UNIT &&
                                     offsetof(struct settings, identity_low) == STORE_SETTINGS_AT_IDENTITY &&
                                     offsetof(struct settings, spare) == STORE_SETTINGS_AT_SPARE &&
                                     offsetof(struct settings, check) == STORE_SETTINGS_AT_CHECK
                                 ? 1
                                 : -1];

/* ---- reading ---- */

void storage_read(uint16_t at, void *bytes, uint8_t count) {
  uint8_t *to = bytes;
  while (count-- > 0) *to++ = hal_eeprom_read(at++);
}

APART uint16_t slot_at(uint8_t slot) { return slot == 0 ? 0 : STORE_SLOT_BYTES; }

APART static uint8_t mark(uint8_t slot, uint8_t which) { return hal_eeprom_read((uint16_t)(slot_at(slot) + which)); }

APART uint8_t slot_sequence(uint8_t slot) { return mark(slot, STORE_MARK_SEQUENCE); }
bool slot_confirmed(uint8_t slot) { return mark(slot, STORE_MARK_CONFIRM) == STORE_CONFIRMED; }

bool slot_open(uint8_t slot, struct table *table) {
  struct marks marks;
  table_close(table);
  if (slot >= STORE_SLOT_COUNT) return false;
  storage_read(slot_at(slot), &marks, sizeof marks);
  if (marks.seal != STORE_SEALED || marks.check != crc16(&marks.sequence, CHECKED)) return false;
  return table_open(table, (uint16_t)(slot_at(slot) + STORE_MARK_BYTES), marks.length);
}

/* Sequence numbers wrap at 256. */
static bool newer(uint8_t one, uint8_t other) { return (uint8_t)(one - other - 1) < 127; }

uint8_t storage_choose(struct table *table, uint8_t *damaged) {
  uint8_t chosen = NOWHERE;
  *damaged = 0;
  for (uint8_t slot = 0; slot < STORE_SLOT_COUNT; slot++) {
    if (!slot_open(slot, table)) {
      if (mark(slot, STORE_MARK_SEAL) == STORE_SEALED) *damaged = (uint8_t)(*damaged | (slot + 1u)); /* its bit */
    } else if (slot_confirmed(slot) && (chosen == NOWHERE || newer(slot_sequence(1), slot_sequence(0)))) {
      chosen = slot;
    }
  }
  slot_open(chosen, table);
  return chosen;
}

/* ---- writing ---- */

bool storage_idle(void) { return work.count == 0; }

APART void storage_write(uint16_t at, const void *bytes, uint8_t count) {
  work.at = at;
  work.bytes = bytes;
  work.count = count;
  work.begun = false;
}

uint8_t storage_step(void) {
  if (hal_eeprom_busy()) return STORAGE_BUSY;
  for (; work.count > 0; work.count--, work.at++, work.bytes++, work.begun = false) {
    if (hal_eeprom_read(work.at) == *work.bytes) continue; /* in, or already so: spare the cell */
    if (work.begun) {
      work.count = 0;
      return STORAGE_FAILED;
    }
    hal_eeprom_write(work.at, *work.bytes);
    work.begun = true;
    return STORAGE_BUSY;
  }
  return STORAGE_DONE;
}

static void write_marks(uint8_t slot, uint8_t first, uint8_t count) {
  storage_write((uint16_t)(slot_at(slot) + first), &work.marks.seal + first, count);
}

void storage_clear(uint8_t slot) {
  work.marks.seal = STORE_CLEARED;
  work.marks.confirm = STORE_UNCONFIRMED;
  write_marks(slot, STORE_MARK_SEAL, 2);
}

void storage_mark(uint8_t slot, uint8_t sequence, uint16_t length) {
  work.marks.sequence = sequence;
  work.marks.spare = 0xFFu;
  work.marks.length = length;
  work.marks.check = crc16(&work.marks.sequence, CHECKED);
  write_marks(slot, STORE_MARK_SEQUENCE, CHECKED + 2u);
}

void storage_seal(uint8_t slot) {
  work.marks.seal = STORE_SEALED;
  write_marks(slot, STORE_MARK_SEAL, 1);
}

void storage_confirm(uint8_t slot) {
  work.marks.confirm = STORE_CONFIRMED;
  write_marks(slot, STORE_MARK_CONFIRM, 1);
}

APART static uint16_t settings_check(void) { return crc16(&settings.magic, STORE_SETTINGS_AT_CHECK); }

APART static void write_settings(uint16_t at) { storage_write(at, &settings, sizeof settings); }

void storage_settings(uint8_t copy) {
  settings.magic = STORE_SETTINGS_MAGIC;
  settings.spare = 0xFFFFu;
  settings.check = settings_check();
  write_settings(copy == 0 ? COPY_0 : COPY_1);
}

/* ---- a start ---- */

/* Sees the write through; true if there was anything to write. */
APART static bool written(void) {
  bool any = false;
  while (storage_step() == STORAGE_BUSY) {
    any = true;
    hal_idle();
  }
  return any;
}

static void mend_marks(uint8_t slot) {
  storage_read(slot_at(slot), &work.marks, 2);
  if (work.marks.seal != STORE_ERASED && work.marks.seal != STORE_SEALED) work.marks.seal = STORE_CLEARED;
  if (work.marks.confirm != STORE_CONFIRMED) work.marks.confirm = STORE_UNCONFIRMED;
  write_marks(slot, STORE_MARK_SEAL, 2);
  (void)written();
}

APART static bool copy_read(uint16_t at) {
  storage_read(at, &settings, sizeof settings);
  return settings.magic == STORE_SETTINGS_MAGIC && settings.check == settings_check();
}

bool storage_start(uint8_t *copy) {
  for (uint8_t slot = 0; slot < STORE_SLOT_COUNT; slot++) mend_marks(slot);
  *copy = 0; /* the one to mend */
  if (copy_read(COPY_0)) {
    *copy = 1;
    write_settings(COPY_1);
  } else if (copy_read(COPY_1)) {
    write_settings(COPY_0);
  } else {
    settings.unit = MAP_DEFAULT_UNIT;
    settings.identity_low = settings.identity_high = 0;
  }
  return written();
}
