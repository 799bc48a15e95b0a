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
  uint8_t spare; /* EEPROM byte 0, the one that failing supplies are known to spoil, lies here */
  uint8_t seal;
  uint8_t confirm;
  uint8_t sequence;
  uint16_t length;
  uint16_t check; /* over sequence and length */
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
                                  offsetof(struct marks, seal) == STORE_MARK_SEAL && offsetof(struct marks, sequence) == STORE_MARK_SEQUENCE &&
                                  offsetof(struct marks, length) == STORE_MARK_LENGTH &&
                                  offsetof(struct marks, check) == STORE_MARK_CHECK
                              ? 1
                              : -1];
typedef char settings_lie_so[sizeof settings == STORE_SETTINGS_BYTES &&
                                     offsetof(struct settings, magic) == STORE_SETTINGS_AT_MAGIC &&
                                     offsetof(struct settings, unit) == STORE_SETTINGS_AT_UNIT &&
                                     offsetof(struct settings, identity_low) == STORE_SETTINGS_AT_IDENTITY &&
                                     offsetof(struct settings, reference) == STORE_SETTINGS_AT_REFERENCE &&
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

/* At most one bit is other than in `exact`. */
static bool near(uint8_t mark, uint8_t exact) {
  uint8_t off = mark ^ exact;
  return (off & (uint8_t)(off - 1u)) == 0;
}

/* Over the checked marks and the CRC behind them the CRC is 0. */
APART static bool checked(const struct marks *marks) { return crc16(&marks->sequence, CHECKED + 2u) == 0; }

/* Mends one wrong bit of the checked marks, which their CRC finds; false: more are wrong. */
APART static bool correct(struct marks *marks) {
  uint8_t *byte = &marks->sequence;
  if (checked(marks)) return true;
  for (uint8_t left = CHECKED + 2u; left > 0; left--, byte++) {
    for (uint8_t bit = 1; bit != 0; bit = (uint8_t)(bit << 1)) {
      *byte ^= bit;
      if (checked(marks)) return true;
      *byte ^= bit;
    }
  }
  return false;
}

static bool read_marks(uint8_t slot, struct marks *marks) {
  storage_read(slot_at(slot), marks, sizeof *marks);
  return correct(marks);
}

APART uint8_t slot_sequence(uint8_t slot) {
  struct marks marks;
  read_marks(slot, &marks);
  return marks.sequence;
}

/* Asked only of a slot that holds a table: then one wrong bit does not count. */
bool slot_confirmed(uint8_t slot) { return near(mark(slot, STORE_MARK_CONFIRM), STORE_CONFIRMED); }

bool slot_open(uint8_t slot, struct table *table) {
  struct marks marks;
  table_close(table);
  if (slot >= STORE_SLOT_COUNT) return false;
  if (!read_marks(slot, &marks) || !near(marks.seal, STORE_SEALED)) return false;
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

uint16_t storage_supply(void) {
  static uint16_t measured; /* all three are zero at a start: no supply is */
  static uint16_t reference;
  static uint16_t supply;
  uint16_t now = hal_supply();
  if (now != measured || settings.reference != reference) { /* a division takes long */
    measured = supply = now;
    reference = settings.reference;
    if (reference != STORE_REFERENCE_UNSET) supply = (uint16_t)((uint32_t)now * reference / LAW_REFERENCE_MILLIVOLTS);
  }
  return supply;
}

bool storage_supply_low(void) {
  uint16_t supply = storage_supply();
  return supply != 0 && supply < hal_supply_needed();
}

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
  storage_write((uint16_t)(slot_at(slot) + first), &work.marks.spare + first, count);
}

void storage_clear(uint8_t slot) {
  work.marks.seal = STORE_CLEARED;
  work.marks.confirm = STORE_UNCONFIRMED;
  write_marks(slot, STORE_MARK_SEAL, 2);
}

void storage_mark(uint8_t slot, uint8_t sequence, uint16_t length) {
  work.marks.sequence = sequence;
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

/* Rewrites marks that are not as they count, if a second reading finds them the same. */
static void mend_marks(uint8_t slot) {
  struct marks seen;
  struct table table;
  bool whole = slot_open(slot, &table);
  storage_read(slot_at(slot), &seen, sizeof seen);
  storage_read(slot_at(slot), &work.marks, sizeof work.marks);
  for (uint8_t at = 0; at < sizeof seen; at++) {
    if ((&seen.spare)[at] != (&work.marks.spare)[at]) return;
  }
  if (whole) {
    correct(&work.marks);
    work.marks.seal = STORE_SEALED;
    if (near(seen.confirm, STORE_CONFIRMED)) work.marks.confirm = STORE_CONFIRMED;
  }
  if (work.marks.seal != STORE_ERASED && work.marks.seal != STORE_SEALED) work.marks.seal = STORE_CLEARED;
  if (work.marks.confirm != STORE_CONFIRMED) work.marks.confirm = STORE_UNCONFIRMED;
  write_marks(slot, STORE_MARK_SEAL, sizeof work.marks - STORE_MARK_SEAL);
  (void)written();
}

APART static bool copy_read(uint16_t at) {
  storage_read(at, &settings, sizeof settings);
  return settings.magic == STORE_SETTINGS_MAGIC && settings.check == settings_check();
}

bool storage_start(uint8_t *copy) {
  bool found = true;
  *copy = 0; /* the one to mend */
  if (copy_read(COPY_0)) {
    *copy = 1;
  } else if (!copy_read(COPY_1)) {
    found = false;
    settings.unit = MAP_DEFAULT_UNIT;
    settings.identity_low = settings.identity_high = 0;
    settings.reference = STORE_REFERENCE_UNSET;
  }
  bool mend = !storage_supply_low(); /* by the reference just found */
  if (found && mend) write_settings(*copy == 0 ? COPY_0 : COPY_1);
  bool mended = written();
  for (uint8_t slot = 0; mend && slot < STORE_SLOT_COUNT; slot++) mend_marks(slot);
  return mended;
}
