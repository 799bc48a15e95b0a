#include "day.h"

#include "../generated/contract.h"
#include "clock.h"
#include "crc.h"
#include "faults.h"
#include "log.h"
#include "outputs.h"
#include "room.h"
#include "state.h"

#define PARTIAL 0x40u
#define ON_TIME_UNIT 360u
#define ON_TIME_MOST 255u

static uint8_t day_type(uint8_t type) {
  return (uint8_t)(record_type(type) | (kept.day_partial ? PARTIAL : 0u));
}

static void write_light(void) {
  struct record record;
  record_begin(&record, day_type(LOG_RECORD_TYPE_LIGHT));
  record_u16(&record, kept.day);
  for (uint8_t output = 0; output < OUTPUTS; output++) {
    uint32_t units = (kept.out[output].on_seconds + ON_TIME_UNIT / 2u) / ON_TIME_UNIT;
    record_u8(&record, (uint8_t)(units > ON_TIME_MOST ? ON_TIME_MOST : units));
  }
  record_write(&record);
}

static void write_proof(void) {
  struct record record;
  int8_t least, mean, greatest;
  room_day(&least, &mean, &greatest);
  record_begin(&record, day_type(LOG_RECORD_TYPE_PROOF));
  record_u16(&record, kept.day);
  record_u16(&record, kept.trace);
  record_u8(&record, (uint8_t)least);
  record_u8(&record, (uint8_t)mean);
  record_u8(&record, (uint8_t)greatest);
  record_u16(&record, kept.room_outside);
  record_u8(&record, kept.day_resets);
  record_write(&record);
}

static void close_day(void) {
  write_light();
  write_proof();
  kept.day_open = false;
  kept_dirty = true;
}

static void start_trace(void) {
  kept.trace = 0xFFFFu;
  kept.trace_begun = false;
  kept_dirty = true;
}

static void open_day(uint16_t day, bool partial) {
  kept.day_open = true;
  kept.day_partial = partial;
  kept.day = day;
  kept.day_resets = 0;
  for (uint8_t output = 0; output < OUTPUTS; output++) kept.out[output].on_seconds = 0;
  kept.on_counted = last_second();
  room_clear_day();
  start_trace();
}

/* Civil days turn at whole minutes; set when anything else may have turned one. */
static bool doubt;

void day_doubt(void) { doubt = true; }

void day_turn(bool whole_minute) {
  if (!clock_known() || !(whole_minute || doubt || !kept.day_open)) return;
  doubt = false;
  if (!kept.day_open) open_day(table_civil_day(&running, last_second()), true);
  uint16_t day = table_civil_day(&running, last_second());
  if (day <= kept.day) return;
  outputs_count(last_second());
  close_day();
  open_day(day, last_second() != table_first_second(&running, day, 0));
}

void day_step(uint32_t new_second) {
  doubt = true;
  if (!kept.day_open) return;
  outputs_count(last_second() + 1u);
  kept.day_partial = true;
  if (table_civil_day(&running, new_second) != kept.day) {
    close_day();
  } else {
    kept.on_counted = new_second;
    start_trace();
  }
}

static uint16_t add_u32(uint16_t crc, uint32_t value) {
  for (uint8_t byte = 0; byte < 4; byte++) crc = crc16_step(crc, (uint8_t)(value >> (8u * byte)));
  return crc;
}

void day_trace(void) {
  if (!kept.day_open) return;
  kept.trace = add_u32(kept.trace, last_second());
  for (uint8_t output = 0; output < OUTPUTS; output++) {
    kept.out[output].traced = outputs_target(output);
    kept.trace = crc16_step(kept.trace, kept.out[output].traced);
  }
  kept.trace_begun = true;
  kept_dirty = true;
}

void day_count_reset(void) {
  if (kept.day_resets < 255) kept.day_resets++;
  kept_dirty = true;
}
