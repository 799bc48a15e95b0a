#include "map.h"

#include "../generated/contract.h"
#include "../hal.h"
#include "apart.h"
#include "outputs.h"
#include "overlays.h"
#include "second.h"
#include "state.h"
#include "storage.h"
#include "trial.h"
#include "visits.h"
#include "wire.h"

#define SMALLEST_TABLE (TABLE_HEADER_BYTES + TABLE_CRC_BYTES)
#define HIGH(address) ((uint8_t)((address) >> 8))
#define LOW(address) ((uint8_t)(address))
#define WORK_LIGHT (1u << MAP_WORK_LIGHT_COIL)

/* Steps of the work that a command asks for, each followed by the next one; the answer
 * of a command is its first. Apart from all exceptions. */
enum work {
  WORK_NONE = 0x40,
  WORK_CLEAR,
  WORK_CLEARED,
  WORK_MARKS,
  WORK_SEAL,
  WORK_SEALED,
  WORK_CONFIRM,
  WORK_CONFIRMED,
  WORK_COPY_0,
  WORK_COPY_1,
  WORK_COPIED
};

static struct {
  bool open; /* an upload */
  uint16_t length;
  uint8_t work; /* the next step of the command in work */
} map;

void map_start(void) {
  map.open = false;
  map.work = WORK_NONE;
}

bool map_upload_open(void) { return map.open; }
uint16_t map_upload_session(void) { return map.open || trial_running() ? kept.upload_session : 0; }

/* ---- coils ---- */

/* The coils of a request, bit n for coil n; 0 when they are not all in `there`. */
APART static uint16_t coils(uint16_t address, uint16_t count, uint16_t there) {
  if (address >= MAP_COIL_COUNT || count > MAP_COIL_COUNT) return 0;
  uint16_t asked = (uint16_t)(((1u << count) - 1u) << address);
  return (asked & ~there) == 0 ? asked : 0;
}

uint8_t map_read_coils(uint16_t address, uint16_t count, uint16_t *values) {
  uint16_t asked = coils(address, count, WORK_LIGHT | 0xFFu);
  if (asked == 0) return MAP_EXCEPTION_ADDRESS;
  uint16_t on = (uint16_t)(kept.shown | (work_running() ? WORK_LIGHT : 0));
  *values = (uint16_t)((on & asked) >> address);
  return MAP_OK;
}

uint8_t map_write_coils(uint16_t address, uint16_t count, uint16_t values, bool allowed) {
  uint16_t asked = coils(address, count, (uint16_t)(WORK_LIGHT | ((1u << hal_output_count()) - 1u)));
  if (asked == 0) return MAP_EXCEPTION_ADDRESS;
  if (!allowed) return MAP_EXCEPTION_VALUE;
  uint8_t outputs = (uint8_t)asked;
  uint16_t on = (uint16_t)((values << address) & asked);
  if (outputs != 0) hand_switch(outputs, (uint8_t)on, count > 1);
  if (on & WORK_LIGHT) {
    work_begin();
  } else if (asked & WORK_LIGHT) {
    work_finish();
  }
  outputs_react();
  return MAP_OK;
}

/* ---- commands: each answers with 0, an exception, or what work it asks for ---- */

static uint8_t begin_upload(uint16_t length) {
  if (length < SMALLEST_TABLE || length > TABLE_MAX_BYTES) return MAP_EXCEPTION_VALUE;
  if (trial_running() || storage_supply_low()) return MAP_EXCEPTION_BUSY;
  map.open = false;
  map.length = length;
  return WORK_CLEAR;
}

APART static uint16_t upload_at(void) { return (uint16_t)(slot_at(trial_free_slot()) + STORE_MARK_BYTES); }

static uint8_t write_table(uint16_t offset, uint8_t size, const uint8_t *bytes) {
  uint16_t end = (uint16_t)(offset + size);
  if (!map.open) return MAP_EXCEPTION_VALUE;
  if (end > map.length) { /* a last odd byte is padded */
    end--;
    size--;
  }
  if (end > map.length) return MAP_EXCEPTION_ADDRESS;
  if (storage_supply_low()) return MAP_EXCEPTION_BUSY;
  storage_write((uint16_t)(upload_at() + offset), bytes, size);
  return WORK_NONE;
}

/* Register `which` of a command. */
static uint16_t value(const uint8_t *bytes, uint8_t which) { return wire_register(bytes + 2u * which); }

/* The CRC that ends a command is the table's. */
static bool has_crc(const struct table *table, const uint8_t *bytes) {
  uint32_t crc = table_crc(table);
  for (uint8_t at = 7; at >= 4; at--, crc >>= 8) {
    if ((uint8_t)crc != bytes[at]) return false;
  }
  return true;
}

/* The uploaded bytes are a table that this board can run. */
static bool upload_good(const uint8_t *bytes) {
  struct table table;
  return table_open(&table, upload_at(), map.length) && has_crc(&table, bytes) &&
         (table_outputs(&table) >> hal_output_count()) == 0;
}

static uint8_t commit(uint16_t first, const uint8_t *bytes) {
  if (!map.open || first != map_upload_session()) return MAP_EXCEPTION_VALUE;
  if (storage_supply_low()) return MAP_EXCEPTION_BUSY;
  if (value(bytes, 1) != map.length || !upload_good(bytes)) return MAP_EXCEPTION_VALUE;
  return WORK_MARKS;
}

static uint8_t confirm(uint16_t first, const uint8_t *bytes) {
  if (running_slot == NO_SLOT || value(bytes, 1) != slot_sequence(running_slot)) return MAP_EXCEPTION_VALUE;
  if (!has_crc(&running, bytes)) return MAP_EXCEPTION_VALUE;
  if (!trial_running()) return slot_confirmed(running_slot) ? MAP_OK : MAP_EXCEPTION_VALUE;
  if (first != map_upload_session()) return MAP_EXCEPTION_VALUE;
  return storage_supply_low() ? MAP_EXCEPTION_BUSY : WORK_CONFIRM;
}

static uint8_t give_up(uint16_t session) {
  if (session == 0 || session != map_upload_session()) return MAP_EXCEPTION_VALUE;
  map.open = false;
  if (!trial_running()) return MAP_OK;
  trial_give_up();
  outputs_react();
  return WORK_NONE;
}

static uint8_t set_hand_minutes(uint16_t minutes) {
  if (minutes > MAP_MAX_HAND_MINUTES) return MAP_EXCEPTION_VALUE;
  if (minutes == 0) {
    hand_release();
    outputs_react();
    return MAP_OK;
  }
  kept.hand_minutes = minutes;
  kept_dirty = true;
  return MAP_OK;
}

static uint8_t answer_visit(uint16_t first, const uint8_t *bytes) {
  if (first >= VISIT_KINDS || value(bytes, 2) > MAP_VISIT_WHAT_TAKE_BACK) return MAP_EXCEPTION_VALUE;
  uint8_t kind = (uint8_t)first;
  bool done = value(bytes, 2) == MAP_VISIT_WHAT_DONE ? visits_answer(kind, value(bytes, 1))
                                                     : visits_take_back(kind, value(bytes, 1));
  return done ? MAP_OK : MAP_EXCEPTION_VALUE;
}

static uint8_t set_unit(uint16_t unit) {
  if ((uint16_t)(unit - 1u) > 246 || (uint8_t)unit == MAP_FORBIDDEN_UNIT) return MAP_EXCEPTION_VALUE;
  if (storage_supply_low()) return MAP_EXCEPTION_BUSY;
  settings.unit = (uint8_t)unit;
  return WORK_COPY_0;
}

static uint8_t set_identity(uint16_t first, const uint8_t *bytes) {
  if (storage_supply_low()) return MAP_EXCEPTION_BUSY;
  settings.identity_high = first;
  settings.identity_low = value(bytes, 1);
  return WORK_COPY_0;
}

/* Allowed where the supply is good by the new reference: by the old one it may have seemed too low. */
static uint8_t set_reference(uint16_t millivolts) {
  uint16_t before = settings.reference;
  if (millivolts < LAW_REFERENCE_LEAST_MILLIVOLTS || millivolts > LAW_REFERENCE_MOST_MILLIVOLTS) return MAP_EXCEPTION_VALUE;
  settings.reference = millivolts;
  if (!storage_supply_low()) return WORK_COPY_0;
  settings.reference = before;
  return MAP_EXCEPTION_BUSY;
}

static uint8_t set_clock(uint16_t first, const uint8_t *bytes) {
  uint32_t second = ((uint32_t)first << 16) | value(bytes, 1);
  if (value(bytes, 2) > 255 || second < LAW_COUNTED_SECONDS || second >= LAW_CLOCK_END_SECONDS - 1u) {
    return MAP_EXCEPTION_VALUE;
  }
  return second_set_clock(second, (uint8_t)value(bytes, 2)) ? MAP_OK : MAP_EXCEPTION_FAILURE;
}

static uint8_t command(uint8_t low, uint8_t count, const uint8_t *bytes) {
  uint16_t first = wire_register(bytes);
  if (count == 1) {
    if (low == LOW(MAP_HOLDING_BEGIN)) return begin_upload(first);
    if (low == LOW(MAP_HOLDING_GIVE_UP)) return give_up(first);
    if (low == LOW(MAP_HOLDING_HAND_MINUTES)) return set_hand_minutes(first);
    if (low == LOW(MAP_HOLDING_UNIT)) return set_unit(first);
    if (low == LOW(MAP_HOLDING_REFERENCE)) return set_reference(first);
  } else if (count == 2) {
    if (low == LOW(MAP_HOLDING_IDENTITY)) return set_identity(first, bytes);
  } else if (count == 3) {
    if (low == LOW(MAP_HOLDING_CLOCK)) return set_clock(first, bytes);
    if (low == LOW(MAP_HOLDING_VISIT)) return answer_visit(first, bytes);
  } else if (count == 4) {
    if (low == LOW(MAP_HOLDING_COMMIT)) return commit(first, bytes);
    if (low == LOW(MAP_HOLDING_CONFIRM)) return confirm(first, bytes);
  }
  return MAP_EXCEPTION_ADDRESS;
}

static uint8_t begin(uint16_t address, uint8_t count, const uint8_t *bytes) {
  uint8_t low = (uint8_t)address;
  uint8_t page = HIGH(address);
  if (page == HIGH(MAP_HOLDING_TABLE)) return write_table((uint16_t)(2u * low), (uint8_t)(2u * count), bytes);
  if (page != HIGH(MAP_HOLDING_BEGIN)) return MAP_EXCEPTION_ADDRESS;
  return command(low, count, bytes);
}

uint8_t map_write(uint16_t address, uint8_t count, const uint8_t *bytes) {
  if (!storage_idle()) return MAP_EXCEPTION_BUSY;
  uint8_t answer = begin(address, count, bytes);
  if (answer < WORK_NONE) return answer;
  map.work = answer;
  return map_go_on();
}

/* ---- work: what waits for bytes to be in ---- */

static void open_upload(void) {
  map.open = true;
  kept.upload_session++;
  if (kept.upload_session == 0) kept.upload_session = 1;
  kept_dirty = true;
  trial_cleared();
}

static void run_upload(void) {
  map.open = false;
  trial_commit();
  outputs_react();
}

/* The next step of the work; false when there is none. */
static bool next_step(void) {
  uint8_t slot = trial_free_slot();
  uint8_t step = map.work++;
  if (step == WORK_CLEARED) open_upload();
  if (step == WORK_SEALED) run_upload();
  if (step == WORK_CONFIRMED) trial_confirm();
  if (step == WORK_CLEAR) {
    storage_clear(slot);
  } else if (step == WORK_MARKS) {
    storage_mark(slot, running_slot == NO_SLOT ? 1 : (uint8_t)(slot_sequence(running_slot) + 1u), map.length);
  } else if (step == WORK_SEAL) {
    storage_seal(slot);
  } else if (step == WORK_CONFIRM) {
    storage_confirm(running_slot);
  } else if (step == WORK_COPY_0 || step == WORK_COPY_1) {
    storage_settings((uint8_t)(step - WORK_COPY_0));
  } else {
    return false;
  }
  return true;
}

uint8_t map_go_on(void) {
  uint8_t result;
  do {
    result = storage_step();
  } while (result == MAP_OK && next_step());
  if (result != MAP_WAIT) map.work = WORK_NONE;
  return result;
}
