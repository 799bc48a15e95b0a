#include "day.h"

#include "../generated/contract.h"
#include "clock.h"
#include "crc.h"
#include "log.h"
#include "outputs.h"
#include "room.h"
#include "state.h"

#define PARTIAL 0x40u

#if defined(__BYTE_ORDER__) && __BYTE_ORDER__ != __ORDER_LITTLE_ENDIAN__
#error "The bodies of records are kept as they lie in the log, low byte first."
#endif
typedef char light_is_a_body[sizeof kept.day.light == LOG_BODY_BYTES ? 1 : -1];
typedef char proof_is_a_body[sizeof kept.day.proof == LOG_BODY_BYTES ? 1 : -1];

static BY_ADDRESS void close_day(struct kept_day *day) {
  uint8_t partial = day->partial ? PARTIAL : 0;
  day->proof.mean = room_mean(day);
  log_put((uint8_t)(LOG_RECORD_TYPE_LIGHT | partial), (const uint8_t *)&day->light);
  log_put((uint8_t)(LOG_RECORD_TYPE_PROOF | partial), (const uint8_t *)&day->proof);
  day->open = false;
  kept_dirty = true;
}

static BY_ADDRESS void start_trace(struct kept_day *day) {
  day->proof.trace = 0xFFFFu;
  day->trace_begun = false;
  kept_dirty = true;
}

static BY_ADDRESS void open_day(struct kept_day *day, uint16_t number, bool partial) {
  uint8_t *bytes = (uint8_t *)day;
  for (uint8_t left = sizeof *day; left > 0; left--) *bytes++ = 0;
  day->open = true;
  day->partial = partial;
  day->light.number = day->proof.number = number;
  day->proof.least = day->proof.greatest = ROOM_NONE;
  for (struct kept_output *own = kept.out; own < kept.out + OUTPUTS; own++) own->on_rest = ON_UNIT / 2u; /* rounds */
  kept.on_counted = (uint16_t)last_second();
  start_trace(day);
}

/* Civil days turn at whole minutes; set when anything else may have turned one. */
static bool doubt;

void day_doubt(void) { doubt = true; }

void day_turn(bool whole_minute) {
  if (!clock_known() || !(whole_minute || doubt || !kept.day.open)) return;
  doubt = false;
  uint16_t day = table_civil_day(&running, last_second());
  if (!kept.day.open) open_day(&kept.day, day, true);
  if (day <= kept.day.light.number) return;
  outputs_count(false);
  close_day(&kept.day);
  /* Whole if the wall clock, which may have been set back, never showed it before. */
  struct moment before;
  table_reached(&running, last_second() - 1u, &before);
  open_day(&kept.day, day, before.day >= day);
}

void day_step(uint32_t new_second) {
  doubt = true;
  if (!kept.day.open) return;
  outputs_count(true);
  kept.day.partial = true;
  if (table_civil_day(&running, new_second) != kept.day.light.number) {
    close_day(&kept.day);
  } else {
    kept.on_counted = (uint16_t)new_second;
    start_trace(&kept.day);
  }
}

void day_trace(void) {
  if (!kept.day.open) return;
  uint16_t trace = kept.day.proof.trace;
  uint32_t second = last_second();
  for (uint8_t left = 4; left > 0; left--) {
    trace = crc16_step(trace, (uint8_t)second);
    second >>= 8;
  }
  for (uint8_t output = 0; output < OUTPUTS; output++) {
    trace = crc16_step(trace, kept.out[output].traced);
  }
  kept.day.proof.trace = trace;
  kept.day.trace_begun = true;
  kept_dirty = true;
}

void day_count_reset(void) {
  if (kept.day.proof.resets < 255) kept.day.proof.resets++;
  kept_dirty = true;
}
