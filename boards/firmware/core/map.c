#include "map.h"

#include "../generated/contract.h"
#include "../hal.h"
#include "clock.h"
#include "controller.h"
#include "faults.h"
#include "log.h"
#include "outputs.h"
#include "overlays.h"
#include "room.h"
#include "state.h"
#include "storage.h"
#include "trial.h"
#include "visits.h"

#define SUPPLY_NEEDED 4500u
#define SMALLEST_TABLE (TABLE_HEADER_BYTES + TABLE_CRC_BYTES)
#define HOLDING_LOW_END 0x0200u
#define HOLDING_TABLE_END 0x2100u
#define CLOCK_END 3155760000u /* 2100-01-01, where the battery clock ends */
#define LOG_NOTHING 0xFFFFFFFFu

static struct {
  bool open; /* an upload */
  uint8_t slot;
  uint16_t length;
  enum storage_job work; /* in work for the link */
  uint32_t cached;       /* sequence of `record`; LOG_NOTHING: none */
  bool cached_whole;
  uint8_t record[LOG_RECORD_BYTES];
} map;

void map_start(void) {
  map.open = false;
  map.work = JOB_NONE;
  map.cached = LOG_NOTHING;
}

/* ---- reading ---- */

uint8_t map_check_coils(uint16_t address, uint16_t count) {
  return (uint32_t)address + count <= MAP_COIL_COUNT ? MAP_OK : MAP_EXCEPTION_ADDRESS;
}

uint8_t map_check_inputs(uint16_t address, uint16_t count) {
  map.cached = LOG_NOTHING;
  if ((uint32_t)address + count > MAP_INPUT_END) return MAP_EXCEPTION_ADDRESS;
  bool log = (uint32_t)address + count > MAP_LOG_BLOCKS;
  return log && !log_present() ? MAP_EXCEPTION_FAILURE : MAP_OK;
}

uint8_t map_check_holdings(uint16_t address, uint16_t count) {
  uint32_t end = (uint32_t)address + count;
  bool low = address >= MAP_HOLDING_BEGIN && end <= HOLDING_LOW_END;
  bool table = address >= MAP_HOLDING_TABLE && end <= HOLDING_TABLE_END;
  return low || table ? MAP_OK : MAP_EXCEPTION_ADDRESS;
}

bool map_coil(uint16_t address) {
  return address == MAP_WORK_LIGHT_COIL ? work_running() : (kept.shown & (1u << address)) != 0;
}

static uint16_t high(uint32_t value) { return (uint16_t)(value >> 16); }

static uint16_t upload_session(void) { return map.open || trial_running() ? kept.upload_session : 0; }

static uint16_t state_flags(void) {
  uint16_t flags = 0;
  if (running_slot != NO_SLOT) flags |= MAP_STATE_FLAG_TABLE;
  if (trial_running()) flags |= MAP_STATE_FLAG_TRIAL;
  if (work_running()) flags |= MAP_STATE_FLAG_WORK_LIGHT;
  if (hand_running()) flags |= MAP_STATE_FLAG_HAND;
  if (visits_pulsing() != 0) flags |= MAP_STATE_FLAG_VISIT_DUE;
  if (room_outside()) flags |= MAP_STATE_FLAG_ROOM_OUTSIDE;
  if (outputs_waiting()) flags |= MAP_STATE_FLAG_STARTING;
  if (map.open) flags |= MAP_STATE_FLAG_UPLOAD;
  return flags;
}

static uint32_t digest(void) {
  uint32_t value = 0;
  for (uint8_t at = 0; at < 4; at++) value = (value << 8) | table_u8((uint16_t)(running.at + 7u + at));
  return value;
}

static uint16_t table_register(uint8_t which) {
  if (running_slot == NO_SLOT) return which == MAP_STATUS_SLOT ? MAP_NO_SLOT : 0;
  switch (which) {
    case MAP_STATUS_SLOT: return running_slot;
    case MAP_STATUS_TABLE_SEQUENCE: return slot_sequence(running_slot);
    case MAP_STATUS_TABLE_CRC: return high(table_crc(&running));
    case MAP_STATUS_TABLE_CRC + 1u: return (uint16_t)table_crc(&running);
    case MAP_STATUS_TABLE_LENGTH: return table_length(&running);
    case MAP_STATUS_DIGEST: return high(digest());
    default: return (uint16_t)digest();
  }
}

static uint16_t temperature(void) {
  int16_t sixteenths;
  return room_last(&sixteenths) ? (uint16_t)sixteenths : MAP_NO_TEMPERATURE_REGISTER;
}

static uint16_t level_pair(uint8_t first) {
  uint8_t odd = first < hal_output_count() ? outputs_level(first) : 0;
  uint8_t even = first + 1u < hal_output_count() ? outputs_level((uint8_t)(first + 1u)) : 0;
  return (uint16_t)((odd << 8) | even);
}

static uint16_t status_register(uint8_t which) {
  switch (which) {
    case MAP_STATUS_SESSION: return controller_session();
    case MAP_STATUS_OWN_ADDRESS: return 0;
    case MAP_STATUS_MAP_VERSION: return MAP_VERSION;
    case MAP_STATUS_BOARD: return hal_board_number();
    case MAP_STATUS_SECONDS: return high(clock_second);
    case MAP_STATUS_SECONDS + 1u: return (uint16_t)clock_second;
    case MAP_STATUS_SUB_SECOND: return hal_sub_second();
    case MAP_STATUS_TIME_FLAGS:
      return (uint16_t)((clock_known() ? MAP_TIME_FLAG_KNOWN : 0) |
                        (clock_estimated() ? MAP_TIME_FLAG_ESTIMATED : 0));
    case MAP_STATUS_OFFSET: return (uint16_t)(int16_t)table_quarters(&running, last_second());
    case MAP_STATUS_STATE: return state_flags();
    case MAP_STATUS_OUTPUTS: return kept.shown;
    case MAP_STATUS_FAULTS: return kept.fault_present;
    case MAP_STATUS_TRIAL_LEFT: return trial_left();
    case MAP_STATUS_RESETS: return kept.resets;
    case MAP_STATUS_BOOT_CAUSE: return controller_cause();
    case MAP_STATUS_LOG_NEWEST: return high(log_newest());
    case MAP_STATUS_LOG_NEWEST + 1u: return (uint16_t)log_newest();
    case MAP_STATUS_LOG_OLDEST: return high(log_oldest());
    case MAP_STATUS_LOG_OLDEST + 1u: return (uint16_t)log_oldest();
    case MAP_STATUS_TEMPERATURE: return temperature();
    case MAP_STATUS_SUPPLY: return hal_supply();
    case MAP_STATUS_IDENTITY: return high(settings.identity);
    case MAP_STATUS_IDENTITY + 1u: return (uint16_t)settings.identity;
    case MAP_STATUS_HAND_MINUTES: return kept.hand_minutes;
    case MAP_STATUS_OVERLAY_LEFT: return overlays_left();
    case MAP_STATUS_UPLOAD_SESSION: return upload_session();
    case MAP_STATUS_OUTAGE: return kept.outage;
    default: break;
  }
  if (which >= MAP_STATUS_LEVELS && which < MAP_STATUS_FAULTS) {
    return level_pair((uint8_t)(2u * (which - MAP_STATUS_LEVELS)));
  }
  if (which >= MAP_STATUS_SLOT && which < MAP_STATUS_TRIAL_LEFT) return table_register(which);
  if (which >= MAP_STATUS_DUE && which < MAP_STATUS_SUPPLY) return visits_open((uint8_t)(which - MAP_STATUS_DUE));
  return 0;
}

/* Two bytes of a slot from `offset`, 0xFFFF beyond it. */
static uint16_t slot_register(uint8_t slot, uint16_t offset) {
  if (offset >= STORE_SLOT_BYTES) return 0xFFFFu;
  uint16_t at = (uint16_t)(slot_at(slot) + offset);
  return (uint16_t)((hal_eeprom_read(at) << 8) | hal_eeprom_read((uint16_t)(at + 1u)));
}

static uint16_t table_block_register(uint16_t address) {
  uint16_t within = address & (MAP_BLOCK_STRIDE - 1u);
  uint16_t block = (uint16_t)((address - MAP_TABLE_BLOCKS) / MAP_BLOCK_STRIDE);
  if (block >= STORE_SLOT_COUNT * MAP_SLOT_STRIDE / MAP_BLOCK_STRIDE) return 0;
  if (within == 0) return controller_session();
  if (within == 1) return (uint16_t)(address - 1u);
  if (within >= MAP_BLOCK_REGISTERS) return 0;
  uint16_t offset = (uint16_t)((block & 3u) * MAP_BLOCK_BYTES + 2u * (within - MAP_BLOCK_HEAD_REGISTERS));
  return slot_register((uint8_t)(block >> 2), offset);
}

/* The newest block with address number `low` (0-255) that has begun. */
static uint32_t log_block(uint8_t low) {
  uint32_t newest = log_newest() / MAP_RECORDS_PER_BLOCK;
  uint32_t block = (newest - (newest & 0xFFu)) + low;
  return block > newest && block >= MAP_LOG_BLOCK_ADDRESSES ? block - MAP_LOG_BLOCK_ADDRESSES : block;
}

static uint16_t log_register(uint16_t address) {
  uint16_t within = address & (MAP_BLOCK_STRIDE - 1u);
  uint32_t block = log_block((uint8_t)((address - MAP_LOG_BLOCKS) / MAP_BLOCK_STRIDE));
  if (within == 0) return controller_session();
  if (within == 1) return (uint16_t)block;
  if (within >= MAP_BLOCK_REGISTERS) return 0;
  within = (uint16_t)(within - MAP_BLOCK_HEAD_REGISTERS);
  uint32_t sequence = block * MAP_RECORDS_PER_BLOCK + within / 8u;
  if (sequence != map.cached) {
    map.cached = sequence;
    map.cached_whole = log_read(sequence, map.record);
  }
  if (!map.cached_whole) return 0xFFFFu;
  uint8_t at = (uint8_t)(2u * (within & 7u));
  return (uint16_t)((map.record[at] << 8) | map.record[at + 1u]);
}

uint16_t map_input(uint16_t address) {
  if (address < MAP_STATUS_REGISTERS) return status_register((uint8_t)address);
  if (address < MAP_TABLE_BLOCKS) return 0;
  return address < MAP_LOG_BLOCKS ? table_block_register(address) : log_register(address);
}

uint16_t map_holding(uint16_t address) {
  switch (address) {
    case MAP_HOLDING_BEGIN: return upload_session();
    case MAP_HOLDING_CLOCK: return high(clock_second);
    case MAP_HOLDING_CLOCK + 1u: return (uint16_t)clock_second;
    case MAP_HOLDING_CLOCK + 2u: return hal_sub_second();
    case MAP_HOLDING_HAND_MINUTES: return kept.hand_minutes;
    case MAP_HOLDING_UNIT: return settings.unit;
    case MAP_HOLDING_IDENTITY: return high(settings.identity);
    case MAP_HOLDING_IDENTITY + 1u: return (uint16_t)settings.identity;
    default: return 0;
  }
}

/* ---- coils ---- */

bool map_has_coil(uint16_t coil) { return coil < hal_output_count() || coil == MAP_WORK_LIGHT_COIL; }

uint8_t map_write_coils(uint16_t address, uint16_t count, uint16_t values) {
  uint8_t outputs = 0;
  uint8_t on = 0;
  if (map_check_coils(address, count) != MAP_OK) return MAP_EXCEPTION_ADDRESS;
  for (uint16_t at = 0; at < count; at++) {
    uint16_t coil = (uint16_t)(address + at);
    if (!map_has_coil(coil)) return MAP_EXCEPTION_ADDRESS;
    if (coil == MAP_WORK_LIGHT_COIL) continue;
    outputs = (uint8_t)(outputs | (1u << coil));
    if (values & (1u << at)) on = (uint8_t)(on | (1u << coil));
  }
  if (outputs != 0) hand_switch(outputs, on, count > 1);
  if (address + count > MAP_WORK_LIGHT_COIL) {
    if (values & (1u << (MAP_WORK_LIGHT_COIL - address))) {
      work_begin();
    } else {
      work_finish();
    }
  }
  outputs_react();
  return MAP_OK;
}

/* ---- holding registers ---- */

static uint16_t value(const uint8_t *bytes, uint8_t which) {
  return (uint16_t)((bytes[2u * which] << 8) | bytes[2u * which + 1u]);
}

static uint32_t value32(const uint8_t *bytes, uint8_t which) {
  return ((uint32_t)value(bytes, which) << 16) | value(bytes, (uint8_t)(which + 1u));
}

static bool supply_low(void) {
  uint16_t supply = hal_supply();
  return supply != 0 && supply < SUPPLY_NEEDED;
}

static uint8_t work_on(enum storage_job job, uint8_t slot) {
  map.work = job;
  storage_begin(job, slot);
  return map_go_on();
}

static uint8_t begin_upload(uint16_t length) {
  if (length < SMALLEST_TABLE || length > TABLE_MAX_BYTES) return MAP_EXCEPTION_VALUE;
  if (trial_running() || supply_low()) return MAP_EXCEPTION_BUSY;
  map.open = false;
  map.slot = trial_free_slot();
  map.length = length;
  return work_on(JOB_BEGIN, map.slot);
}

static uint8_t write_table(uint16_t offset, uint16_t count, const uint8_t *bytes) {
  if (!map.open) return MAP_EXCEPTION_VALUE;
  uint16_t padded = (uint16_t)((map.length + 1u) & ~1u);
  if (offset + 2u * count > padded) return MAP_EXCEPTION_ADDRESS;
  if (supply_low()) return MAP_EXCEPTION_BUSY;
  uint8_t size = (uint8_t)(2u * count);
  if (offset + size > map.length) size--;
  storage_table_bytes(offset, bytes, size);
  return work_on(JOB_TABLE, map.slot);
}

/* The uploaded bytes are a table that this board can run. */
static bool upload_good(uint32_t crc) {
  struct table table;
  if (!table_open(&table, (uint16_t)(slot_at(map.slot) + STORE_MARK_BYTES), map.length)) return false;
  return table_crc(&table) == crc && (table_outputs(&table) >> hal_output_count()) == 0;
}

static uint8_t commit(const uint8_t *bytes) {
  if (!map.open || value(bytes, 0) != kept.upload_session) return MAP_EXCEPTION_VALUE;
  if (supply_low()) return MAP_EXCEPTION_BUSY;
  if (value(bytes, 1) != map.length || !upload_good(value32(bytes, 2))) return MAP_EXCEPTION_VALUE;
  uint8_t sequence = running_slot == NO_SLOT ? 1 : (uint8_t)(slot_sequence(running_slot) + 1u);
  storage_marks(sequence, map.length);
  return work_on(JOB_MARKS, map.slot);
}

static uint8_t confirm(const uint8_t *bytes) {
  if (running_slot == NO_SLOT || value(bytes, 1) != slot_sequence(running_slot)) return MAP_EXCEPTION_VALUE;
  if (value32(bytes, 2) != table_crc(&running)) return MAP_EXCEPTION_VALUE;
  if (!trial_running()) return slot_confirmed(running_slot) ? MAP_OK : MAP_EXCEPTION_VALUE;
  if (value(bytes, 0) != kept.upload_session) return MAP_EXCEPTION_VALUE;
  if (supply_low()) return MAP_EXCEPTION_BUSY;
  return work_on(JOB_CONFIRM, running_slot);
}

static uint8_t give_up(uint16_t session) {
  if (upload_session() == 0 || session != kept.upload_session) return MAP_EXCEPTION_VALUE;
  map.open = false;
  if (!trial_running()) return MAP_OK;
  (void)trial_give_up();
  outputs_react();
  map.work = JOB_GIVE_UP;
  return map_go_on();
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

static uint8_t answer_visit(const uint8_t *bytes) {
  uint16_t kind = value(bytes, 0);
  uint16_t zones = value(bytes, 1);
  uint16_t what = value(bytes, 2);
  if (kind >= VISIT_KINDS || what > MAP_VISIT_WHAT_TAKE_BACK) return MAP_EXCEPTION_VALUE;
  bool done = what == MAP_VISIT_WHAT_DONE ? visits_answer((uint8_t)kind, zones)
                                          : visits_take_back((uint8_t)kind, zones);
  return done ? MAP_OK : MAP_EXCEPTION_VALUE;
}

static uint8_t set_unit(uint16_t unit) {
  if (unit < 1 || unit > 247 || unit == MAP_FORBIDDEN_UNIT) return MAP_EXCEPTION_VALUE;
  if (supply_low()) return MAP_EXCEPTION_BUSY;
  settings.unit = (uint8_t)unit;
  return work_on(JOB_SETTINGS, 0);
}

static uint8_t set_identity(uint32_t identity) {
  if (supply_low()) return MAP_EXCEPTION_BUSY;
  settings.identity = identity;
  return work_on(JOB_SETTINGS, 0);
}

static uint8_t set_clock(const uint8_t *bytes) {
  if (value(bytes, 2) > 255 || value32(bytes, 0) >= CLOCK_END - 1u) return MAP_EXCEPTION_VALUE;
  if (!controller_set_clock(value32(bytes, 0), (uint8_t)value(bytes, 2))) return MAP_EXCEPTION_FAILURE;
  return MAP_OK;
}

/* How many registers a write at `address` takes; 0: none there. */
static uint8_t write_size(uint16_t address) {
  switch (address) {
    case MAP_HOLDING_BEGIN:
    case MAP_HOLDING_GIVE_UP:
    case MAP_HOLDING_HAND_MINUTES:
    case MAP_HOLDING_UNIT: return 1;
    case MAP_HOLDING_IDENTITY: return 2;
    case MAP_HOLDING_CLOCK:
    case MAP_HOLDING_VISIT: return 3;
    case MAP_HOLDING_COMMIT:
    case MAP_HOLDING_CONFIRM: return 4;
    default: return 0;
  }
}

static uint8_t write_one(uint16_t address, const uint8_t *bytes) {
  switch (address) {
    case MAP_HOLDING_BEGIN: return begin_upload(value(bytes, 0));
    case MAP_HOLDING_COMMIT: return commit(bytes);
    case MAP_HOLDING_CONFIRM: return confirm(bytes);
    case MAP_HOLDING_GIVE_UP: return give_up(value(bytes, 0));
    case MAP_HOLDING_CLOCK: return set_clock(bytes);
    case MAP_HOLDING_HAND_MINUTES: return set_hand_minutes(value(bytes, 0));
    case MAP_HOLDING_VISIT: return answer_visit(bytes);
    case MAP_HOLDING_UNIT: return set_unit(value(bytes, 0));
    default: return set_identity(value32(bytes, 0));
  }
}

uint8_t map_write(uint16_t address, uint16_t count, const uint8_t *bytes) {
  if (!storage_idle()) return MAP_EXCEPTION_BUSY;
  if (address >= MAP_HOLDING_TABLE && address < HOLDING_TABLE_END) {
    return write_table((uint16_t)(2u * (address - MAP_HOLDING_TABLE)), count, bytes);
  }
  if (write_size(address) != count) return MAP_EXCEPTION_ADDRESS;
  return write_one(address, bytes);
}

/* What follows once the bytes of a job are in. */
static void complete(enum storage_job job) {
  switch (job) {
    case JOB_BEGIN:
      map.open = true;
      kept.upload_session++;
      if (kept.upload_session == 0) kept.upload_session = 1;
      kept_dirty = true;
      trial_cleared(map.slot);
      return;
    case JOB_MARKS:
      map.open = false;
      trial_commit(map.slot);
      outputs_react();
      return;
    case JOB_CONFIRM: trial_confirm(); return;
    default: return;
  }
}

uint8_t map_go_on(void) {
  enum storage_job job = map.work;
  if (!storage_idle()) {
    enum storage_result result = storage_step();
    if (result == STORAGE_BUSY) return MAP_WAIT;
    if (result == STORAGE_FAILED) {
      map.work = JOB_NONE;
      return MAP_EXCEPTION_FAILURE;
    }
  }
  map.work = JOB_NONE;
  complete(job);
  return MAP_OK;
}
