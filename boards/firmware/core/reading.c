#include "reading.h"

#include "../generated/contract.h"
#include "../hal.h"
#include "apart.h"
#include "clock.h"
#include "log.h"
#include "map.h"
#include "outputs.h"
#include "overlays.h"
#include "room.h"
#include "state.h"
#include "storage.h"
#include "trial.h"
#include "visits.h"
#include "wire.h"

#define HIGH(address) ((uint8_t)((address) >> 8))
#define BLOCKS_PER_SLOT (MAP_SLOT_STRIDE / MAP_BLOCK_STRIDE)
#define SLOT_BLOCKS (STORE_SLOT_COUNT * MAP_SLOT_STRIDE)
#define HOLDING(address) ((address)-MAP_HOLDING_BEGIN)

static struct {
  uint8_t at;    /* register of the block that comes next */
  uint8_t first; /* those before are not asked for */
  uint8_t left;  /* still to send */
} walk;

/* The next register of the block. */
static void put(uint16_t value) {
  if (walk.at++ < walk.first || walk.left == 0) return;
  walk.left--;
  wire_word(value);
}

APART static void put_long(uint32_t value) {
  put((uint16_t)(value >> 16));
  put((uint16_t)value);
}

/* Zeros up to register `at` of the block. */
static void skip_to(uint8_t at) {
  while (walk.at < at) put(0);
}

static void put_identity(void) {
  put(settings.identity_high);
  put(settings.identity_low);
}

APART static void put_byte(uint8_t value) { put(value); }

static void put_clock(void) {
  put_long(clock_second);
  put_byte(hal_sub_second());
}

/* ---- the status block ---- */

typedef char flags_stand_so[MAP_STATE_FLAG_TABLE == 1 && MAP_STATE_FLAG_TRIAL == 2 &&
                                    MAP_STATE_FLAG_WORK_LIGHT == 4 && MAP_STATE_FLAG_HAND == 8 && MAP_STATE_FLAG_VISIT_DUE == 16 &&
                                    MAP_STATE_FLAG_ROOM_OUTSIDE == 32 && MAP_STATE_FLAG_STARTING == 64 &&
                                    MAP_STATE_FLAG_UPLOAD == 128
                                ? 1
                                : -1];

static inline uint8_t also(uint8_t flags, bool flag) { return (uint8_t)(2u * flags + flag); }

/* Bit 0 is asked last. */
static uint8_t state_flags(void) {
  uint8_t flags = map_upload_open();
  flags = also(flags, outputs_waiting());
  flags = also(flags, room_outside());
  flags = also(flags, visits_pulsing() != 0);
  flags = also(flags, hand_running());
  flags = also(flags, work_running());
  flags = also(flags, trial_running());
  return also(flags, running_slot != NO_SLOT);
}

static void put_levels(void) {
  uint16_t levels = 0;
  for (uint8_t output = 0; output < OUTPUTS; output++) {
    levels = (uint16_t)((levels << 8) | outputs_level(output));
    if (output & 1u) put(levels);
  }
}

/* Two bytes of EEPROM, the high one first. */
static void put_stored(uint16_t at) {
  uint8_t bytes[2];
  storage_read(at, bytes, 2);
  put(wire_register(bytes));
}

static void put_table(void) {
  put((uint16_t)(int8_t)running_slot); /* none: 0xFFFF */
  if (running_slot == NO_SLOT) return;
  put_byte(slot_sequence(running_slot));
  put_long(table_crc(&running));
  put(table_length(&running));
  put_stored((uint16_t)(running.at + 7u)); /* the digest */
  put_stored((uint16_t)(running.at + 9u));
}

static void put_temperature(void) {
  int16_t sixteenths;
  put(room_last(&sixteenths) ? (uint16_t)sixteenths : MAP_NO_TEMPERATURE_REGISTER);
}

/* In the order of their numbers. */
static void put_status(void) {
  put(boot.session);
  put_byte(0); /* own address */
  put_byte(MAP_VERSION);
  put(hal_board_number());
  put_clock();
  put_byte(also(clock_estimated(), clock_known()));
  put((uint16_t)(int16_t)table_quarters(&running, last_second()));
  put_byte(state_flags());
  put_byte(kept.shown);
  put_levels();
  put(kept.fault_present);
  put_table();
  skip_to(MAP_STATUS_TRIAL_LEFT);
  put_byte(trial_left());
  put(kept.resets);
  put_byte(boot.cause);
  put_long(log_newest());
  put_long(log_oldest());
  put_temperature();
  for (uint8_t kind = 0; kind < VISIT_KINDS; kind++) put(visits_open(kind));
  put(storage_supply());
  put_identity();
  put(kept.hand_minutes);
  put(overlays_left());
  put(map_upload_session());
  put(kept.outage);
}

/* ---- blocks of slots and of the log ---- */

static void put_head(uint16_t own_address) {
  put(boot.session);
  put(own_address);
}

static void put_slot_block(uint16_t address, uint8_t number) {
  uint16_t offset = (uint16_t)((number & (BLOCKS_PER_SLOT - 1u)) * MAP_BLOCK_BYTES);
  uint16_t at = slot_at(number & BLOCKS_PER_SLOT);
  put_head(address);
  while (walk.at < MAP_BLOCK_REGISTERS) {
    if (offset < STORE_SLOT_BYTES) {
      put_stored((uint16_t)(at + offset));
    } else {
      put(0xFFFFu);
    }
    offset = (uint16_t)(offset + 2u);
  }
}

/* The newest block with address number `low` (0-255) that has begun. */
static void put_log_block(uint8_t low) {
  uint32_t block = log_newest() / MAP_RECORDS_PER_BLOCK;
  block -= (uint8_t)(block - low);
  if ((int32_t)block < 0) block = low; /* not begun yet */
  uint32_t sequence = block * MAP_RECORDS_PER_BLOCK;
  put_head((uint16_t)block);
  for (; walk.at < MAP_BLOCK_REGISTERS && walk.left > 0; sequence++) {
    uint8_t record[LOG_RECORD_BYTES];
    bool whole = log_read(sequence, record);
    for (uint8_t at = 0; at < LOG_RECORD_BYTES; at = (uint8_t)(at + 2u)) {
      put(whole ? wire_register(record + at) : 0xFFFFu);
    }
  }
}

/* ---- the walk ---- */

static void put_inputs(uint16_t address) {
  uint8_t number = (uint8_t)(address / MAP_BLOCK_STRIDE); /* without its ninth bit */
  if (address == 0) {
    put_status();
  } else if (HIGH(address) >= HIGH(MAP_LOG_BLOCKS)) {
    put_log_block((uint8_t)(number - MAP_LOG_BLOCKS / MAP_BLOCK_STRIDE));
  } else if ((HIGH(address) & ~HIGH(SLOT_BLOCKS - 1u)) == HIGH(MAP_TABLE_BLOCKS)) {
    put_slot_block(address, number);
  }
}

static void put_holdings(void) {
  put(map_upload_session());
  skip_to(HOLDING(MAP_HOLDING_CLOCK));
  put_clock();
  skip_to(HOLDING(MAP_HOLDING_HAND_MINUTES));
  put(kept.hand_minutes);
  skip_to(HOLDING(MAP_HOLDING_UNIT));
  put_byte(settings.unit);
  skip_to(HOLDING(MAP_HOLDING_IDENTITY));
  put_identity();
  put(settings.reference == STORE_REFERENCE_UNSET ? LAW_REFERENCE_MILLIVOLTS : settings.reference);
}

uint8_t reading_check(bool inputs, uint16_t address, uint8_t count) {
  uint16_t last = (uint16_t)(address + count - 1u);
  uint8_t page = HIGH(last);
  if (!inputs) {
    bool there = page == HIGH(MAP_HOLDING_BEGIN) || page == HIGH(MAP_HOLDING_TABLE);
    return there && page == HIGH(address) ? MAP_OK : MAP_EXCEPTION_ADDRESS;
  }
  if (last < address || page >= HIGH(MAP_INPUT_END)) return MAP_EXCEPTION_ADDRESS;
  return page >= HIGH(MAP_LOG_BLOCKS) && !log_answers() ? MAP_EXCEPTION_FAILURE : MAP_OK;
}

void reading_send(bool inputs, uint16_t address, uint8_t count) {
  walk.first = address % MAP_BLOCK_STRIDE;
  walk.left = count;
  address = (uint16_t)(address - walk.first);
  do {
    walk.at = 0;
    if (inputs) {
      put_inputs(address);
    } else if (address == MAP_HOLDING_BEGIN) {
      put_holdings();
    }
    skip_to(MAP_BLOCK_STRIDE);
    walk.first = 0;
    address = (uint16_t)(address + MAP_BLOCK_STRIDE);
  } while (walk.left > 0);
}
