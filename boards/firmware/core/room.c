#include "room.h"

#include "../generated/contract.h"
#include "../hal.h"
#include "faults.h"
#include "state.h"

#define FAILURES 3
#define OUTSIDE_MINUTES 120
#define NONE (-128)

static struct {
  int16_t last;
  bool read;
  bool outside;
} room;

bool room_last(int16_t *sixteenths) {
  *sixteenths = room.last;
  return room.read;
}

bool room_outside(void) { return room.outside; }

static bool band(int16_t *low, int16_t *high) {
  uint16_t at = running.section[TABLE_SECTION_ROOM - 1];
  if (running_slot == NO_SLOT || at == 0) return false;
  *low = (int16_t)table_u16(at);
  *high = (int16_t)table_u16((uint16_t)(at + 2u));
  return true;
}

static void count_day(int16_t reading) {
  if (kept.room_count == 0 || reading < kept.room_min) kept.room_min = reading;
  if (kept.room_count == 0 || reading > kept.room_max) kept.room_max = reading;
  kept.room_sum += reading;
  kept.room_count++;
  if (room.outside) kept.room_outside++;
}

static void note_reading(int16_t reading, bool day_open) {
  int16_t low, high;
  bool has_band = band(&low, &high);
  room.last = reading;
  room.read = true;
  room.outside = has_band && (reading < low || reading > high);
  kept.room_silence = 0;
  fault_set(LOG_FAULT_PROBE_MISSING, false, 0);
  if (day_open) count_day(reading);
  if (!room.outside) {
    kept.room_run = 0;
    fault_set(LOG_FAULT_ROOM_OUTSIDE, false, (uint32_t)(int32_t)reading);
    return;
  }
  if (kept.room_run < OUTSIDE_MINUTES) kept.room_run++;
  if (kept.room_run == OUTSIDE_MINUTES) fault_set(LOG_FAULT_ROOM_OUTSIDE, true, (uint32_t)(int32_t)reading);
}

void room_minute(bool day_open) {
  int16_t reading, low, high;
  bool has_band = band(&low, &high);
  kept_dirty = true;
  if (hal_probe(&reading)) {
    note_reading(reading, day_open);
    return;
  }
  room.read = false;
  if (kept.room_silence < FAILURES) kept.room_silence++;
  if (!has_band) kept.room_run = 0;
  if (kept.room_silence == FAILURES) fault_set(LOG_FAULT_PROBE_MISSING, true, 0);
  if (!has_band) fault_set(LOG_FAULT_ROOM_OUTSIDE, false, 0);
}

void room_clear_day(void) {
  kept.room_sum = 0;
  kept.room_count = 0;
  kept.room_outside = 0;
}

/* floor((value + half) / whole), then kept within what a record can say. */
static int8_t halves(int32_t value, int32_t whole) {
  int32_t shifted = value + whole / 2;
  int32_t result = shifted >= 0 ? shifted / whole : -((whole - 1 - shifted) / whole);
  return (int8_t)(result < -127 ? -127 : result > 127 ? 127 : result);
}

void room_day(int8_t *least, int8_t *mean, int8_t *greatest) {
  *least = *mean = *greatest = NONE;
  if (kept.room_count == 0) return;
  *least = halves(kept.room_min, 8);
  *greatest = halves(kept.room_max, 8);
  *mean = halves(kept.room_sum, 8 * (int32_t)kept.room_count);
}
